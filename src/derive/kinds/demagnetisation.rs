//! Demagnetisation: from how far above the knee, or above rated current, and whether down to zero.

use super::excitation::{Excited, best};
use crate::derive::deriving::{Deriving, unreadable, written};
use crate::derive::excitation::{AT_RATED_FREQUENCY, VOLTAGE_BY_TURNS};
use crate::derive::formula::{formulas, symbol};
use crate::derive::knee::{Knee, KneeRule};
use crate::derive::workings::Value;
use crate::ground::quantity::Reading;
use crate::ground::span::Span;
use crate::ground::unit::Dimension;
use crate::record::kinds::Test;
use crate::record::kinds::demagnetisation::{Demagnetisation, DemagnetisationRow, Method};
use crate::record::readings::Measure::{Current, Voltage};
use crate::trade::Pair;

formulas! {
    static OVER_KNEE = "demagnetisation-over-knee", "start of the demagnetisation over the knee":
        "V/E" ("") of [
            symbol("V", "V", "voltage at the start"),
            symbol("E", "V", "knee point voltage on the driven pair"),
        ], |[v, e]| v / e,
        "the core must be saturated before it is brought down; common practice, no source";

    static OVER_RATED = "demagnetisation-over-rated",
        "start of the demagnetisation over rated primary current":
        "I/Ir" ("") of [
            symbol("I", "A", "primary current at the start"),
            symbol("Ir", "A", "rated primary current"),
        ], |[i, r]| i / r,
        "closed method: primary current from 1.2 times rated (a calibration-practice article)";
}

/// What the start is held against.
#[derive(Clone, Copy, Debug)]
pub enum Start {
    /// Multiple of the knee on the driven pair, at the same flux.
    OverKnee(Value),
    /// The curve ends before its knee; the multiple is less than this.
    OverKneeLess(Value),
    /// Multiple of rated primary current.
    OverRated(Value),
    /// A start was written, but there is nothing to hold it against.
    Alone,
    /// Nobody wrote where it started.
    Unstated,
}

/// Where it ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    Zero,
    /// Above a hundredth of the start (own convention: what a source shows at its stop counts as zero).
    Above,
    Unstated,
}

/// One core brought down.
#[derive(Clone, Debug)]
pub struct Brought {
    pub test: usize,
    pub pair: Pair,
    pub method: Method,
    pub start: Start,
    /// The rule of the knee that it is held against.
    pub knee: Option<&'static str>,
    pub end: End,
    /// Start, end, in this order.
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

/// Derives all of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Brought> {
    let mut found = Vec::new();
    for (index, test, body) in d.visit.of(Test::demagnetisation) {
        let rows = body.rows.iter();
        found.extend(rows.filter_map(|row| one(d, (index, test, body), row)));
    }
    found
}

fn one(
    d: &mut Deriving<'_>,
    (index, test, body): (usize, &Test, &Demagnetisation),
    row: &DemagnetisationRow,
) -> Option<Brought> {
    let pair = row.on?.value.ascending();
    let start = row.start.get().filter(|start| start.value.is_exact());
    let by_current = start.is_some_and(|start| start.value.unit.dimension == Dimension::Current);
    let fitting = if by_current {
        Method::Closed
    } else {
        Method::Open
    };
    let method = body.method.value().copied().unwrap_or(fitting);
    let held = match start {
        Some(start) if method != fitting => Err(start),
        Some(start) if by_current => over_rated(d, test, pair, start).ok_or(start),
        Some(start) => {
            let frequency = row.frequency.get().or(body.frequency.get());
            over_knee(d, (test, frequency), pair, start).ok_or(start)
        }
        None => Ok((Start::Unstated, None)),
    };
    let (start, knee) = held.unwrap_or((Start::Alone, None));
    let mut readings = written([row.start.span(), row.end.span()]);
    if readings.is_empty() {
        readings.push(row.span);
    }
    Some(Brought {
        test: index,
        pair,
        method,
        start,
        knee,
        end: end(row),
        readings,
        doubtful: test
            .doubtful
            .or(unreadable([&row.start, &row.end, &row.frequency])),
    })
}

fn end(row: &DemagnetisationRow) -> End {
    let start = row.start.value().map_or(0.0, |start| start.si.abs());
    match row.end.value() {
        None => End::Unstated,
        Some(end) if end.si.abs() <= start / 100.0 => End::Zero,
        Some(_) => End::Above,
    }
}

/// What a start is held against, with the rule of the knee.
type Held = (Start, Option<&'static str>);

fn over_knee(
    d: &mut Deriving<'_>,
    (test, frequency): (&Test, Option<&Reading>),
    pair: Pair,
    start: &Reading,
) -> Option<Held> {
    let sound = |excited: &&Excited| {
        excited.doubtful.is_none() && excited.curve.is_some() && excited.pair.core == pair.core
    };
    let derived = d.derived;
    let before = derived.before.iter().rev().map(|before| &before.excitation);
    let mut curves = std::iter::once(&derived.excitation).chain(before);
    let excited = curves.find_map(|curves| {
        let own = best(curves, pair).filter(sound);
        own.or_else(|| curves.iter().find(sound))
    })?;
    let (knee, held, rule) = knee(d, excited)?;
    let on_pair = if pair == excited.pair.ascending() {
        knee
    } else {
        let (n, m) = (d.turns_of(pair)?, d.turns_of(excited.pair)?);
        let what = "knee point voltage on the driven pair";
        d.w.step_as(what, &VOLTAGE_BY_TURNS, [knee, n, m])?
    };
    let mut v = d.read(test, Voltage, "voltage at the start", start);
    // The curve's voltages are at rated frequency, so the start is taken there too.
    if let Some(f) = frequency {
        let fr = d.rated_frequency()?;
        let f = d.w.stated("frequency of the source", f);
        v = d.w.step(&AT_RATED_FREQUENCY, [v, fr, f])?;
    }
    let share = d.w.step(&OVER_KNEE, [v, on_pair])?;
    Some((held(share), Some(rule)))
}

/// What a multiple of a knee is to the start.
type Multiple = fn(Value) -> Start;

/// The knee by the plate's rule, what a multiple of it is, and the rule. No other rule's knee stands in for
/// one that the readings do not reach: it may lie well below.
fn knee(d: &Deriving<'_>, excited: &Excited) -> Option<(Value, Multiple, &'static str)> {
    let rule = KneeRule::of(d.record.plate.family(), d.core(excited.pair)?);
    let name = match rule {
        KneeRule::Iec => "10 % rule",
        KneeRule::Tangent45 => "45° tangent",
        KneeRule::Tangent30 => "30° tangent",
    };
    match excited.knee(rule) {
        Knee::At(point) => Some((point.voltage, Start::OverKnee, name)),
        Knee::NotReached { beyond } => Some((beyond, Start::OverKneeLess, name)),
        Knee::Lacking(_) => None,
    }
}

fn over_rated(d: &mut Deriving<'_>, test: &Test, pair: Pair, start: &Reading) -> Option<Held> {
    let rated = d.rated_primary(pair).filter(|rated| *rated > 0.0)?;
    let core = d.core(pair)?;
    let i = d.read(test, Current, "primary current at the start", start);
    let rated = d.w.number("rated primary current", "A", rated, core.span);
    let share = d.w.step(&OVER_RATED, [i, rated])?;
    Some((Start::OverRated(share), None))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::testing::Derivation;

    fn brought(text: &str) -> Brought {
        let text = format!(
            "frequency: 50 Hz\n[core S]\nratio: 400/5 A\n[visit 2026-01-05]\n[demagnetisation S1-S2]\n{text}\n"
        );
        Derivation::of(&text).derived.demagnetisation.remove(0)
    }

    #[test]
    fn the_closed_method_is_held_against_rated_current() {
        let one = brought("start: 480 A\nend: 0 A");
        assert!(
            matches!(one.start, Start::OverRated(value) if (value.si - 1.2).abs() < 1e-12),
            "{one:?}"
        );
        assert_eq!((one.method, one.end), (Method::Closed, End::Zero));
    }

    #[test]
    fn without_a_curve_a_voltage_stands_alone() {
        let one = brought("start: 480 V\nend: 12 V");
        assert!(matches!(one.start, Start::Alone) && one.end == End::Above);
        let one = brought("method: open");
        assert!(matches!(one.start, Start::Unstated) && one.end == End::Unstated);
    }
}
