//! Demagnetisation: from how far above the knee, or above rated current, and whether down to zero.

use super::Derived;
use super::excitation::{Excited, for_pair};
use crate::derive::case::Case;
use crate::derive::formula::formulas;
use crate::derive::formula::symbol;
use crate::derive::input;
use crate::derive::knee::Knee;
use crate::derive::workings::{Value, Workings};
use crate::ground::quantity::Reading;
use crate::ground::span::{Given, Span};
use crate::ground::unit::Dimension;
use crate::record::kinds::Test;
pub use crate::record::kinds::demagnetisation::Method;
use crate::record::kinds::demagnetisation::{Demagnetisation, DemagnetisationRow};
use crate::record::readings::Measure;
use crate::trade::Pair;

formulas! {
    static AT_RATED = "demagnetisation-rated-frequency",
        "voltage at rated frequency for the same flux":
        "V*fr/f" ("V") of [
            symbol("V", "V", "voltage at the start"),
            symbol("fr", "Hz", "rated frequency"),
            symbol("f", "Hz", "frequency of the source"),
        ], |[v, fr, f]| v * fr / f,
        "law of induction: e.m.f. proportional to frequency at the same flux";

    static KNEE_ON_PAIR = "knee-by-turns", "knee point voltage on the driven pair":
        "E*n/m" ("V") of [
            symbol("E", "V", "knee point voltage of the curve"),
            symbol("n", "", "turns of the driven pair"),
            symbol("m", "", "turns of the pair of the curve"),
        ], |[e, n, m]| e * n / m, "volts per turn are the same in evenly spread turns";

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
pub fn derive(case: &Case<'_>, w: &mut Workings, derived: &Derived) -> Vec<Brought> {
    let mut found = Vec::new();
    for (index, test, body) in case.visit.of(Test::demagnetisation) {
        found.extend(
            body.rows
                .iter()
                .filter_map(|row| one(case, w, derived, (index, test, body), row)),
        );
    }
    found
}

fn one(
    case: &Case<'_>,
    w: &mut Workings,
    derived: &Derived,
    (index, test, body): (usize, &Test, &Demagnetisation),
    row: &DemagnetisationRow,
) -> Option<Brought> {
    let pair = row.on?.value.ascending();
    let written = row.start.get().filter(|start| start.value.is_exact());
    let by_current = written.is_some_and(|start| start.value.unit.dimension == Dimension::Current);
    let method = match body.method.value() {
        Some(method) => *method,
        None if by_current => Method::Closed,
        None => Method::Open,
    };
    let (start, knee) = match (written, method, by_current) {
        (None, _, _) => (Start::Unstated, None),
        (Some(start), Method::Open, false) => {
            over_knee(case, w, derived, (test, body), pair, start)
        }
        (Some(start), Method::Closed, true) => (
            over_rated(case, w, test, pair, start).unwrap_or(Start::Alone),
            None,
        ),
        (Some(_), _, _) => (Start::Alone, None),
    };
    let mut readings: Vec<Span> = [row.start.span(), row.end.span()]
        .into_iter()
        .flatten()
        .collect();
    if readings.is_empty() {
        readings.push(row.span);
    }
    let unreadable = [&row.start, &row.end]
        .into_iter()
        .find(|given| given.is_unreadable())
        .and_then(Given::span);
    Some(Brought {
        test: index,
        pair,
        method,
        start,
        knee,
        end: end(row),
        readings,
        doubtful: test.doubtful.or(unreadable),
    })
}

fn end(row: &DemagnetisationRow) -> End {
    let Some(end) = row.end.value() else {
        return End::Unstated;
    };
    let start = row.start.value().map_or(0.0, |start| start.si.abs());
    if end.si.abs() <= start / 100.0 {
        End::Zero
    } else {
        End::Above
    }
}

fn over_knee(
    case: &Case<'_>,
    w: &mut Workings,
    derived: &Derived,
    (test, body): (&Test, &Demagnetisation),
    pair: Pair,
    start: &Reading,
) -> (Start, Option<&'static str>) {
    let mut held = || {
        let sound = |excited: &&Excited| {
            excited.doubtful.is_none() && excited.curve.is_some() && excited.pair.core == pair.core
        };
        let excited = for_pair(case, derived, pair)
            .filter(sound)
            .or_else(|| derived.excitation.iter().find(sound))?;
        let (knee, reached, rule) = knee(excited)?;
        let on_pair = on_pair(case, w, knee, pair, excited.pair)?;
        let v = input::reading(
            w,
            case,
            test,
            Measure::Voltage,
            "voltage at the start",
            start,
        );
        let v = at_rated(case, w, body, v)?;
        let share = w.step(&OVER_KNEE, [v, on_pair])?;
        Some((
            if reached {
                Start::OverKnee(share)
            } else {
                Start::OverKneeLess(share)
            },
            Some(rule),
        ))
    };
    held().unwrap_or((Start::Alone, None))
}

/// The knee that serves, whether it was reached, and its rule.
fn knee(excited: &Excited) -> Option<(Value, bool, &'static str)> {
    let known = |knee: &Knee| match knee {
        Knee::At(point) => Some(point.voltage),
        Knee::NotReached { .. } | Knee::Lacking(_) => None,
    };
    let rules = [
        (&excited.iec, "10 % rule"),
        (&excited.knee_45, "45° tangent"),
        (&excited.knee_30, "30° tangent"),
    ];
    let found = rules
        .iter()
        .find_map(|(knee, rule)| Some((known(knee)?, true, *rule)));
    found.or(match excited.iec {
        Knee::NotReached { beyond } => Some((beyond, false, "10 % rule")),
        Knee::At(_) | Knee::Lacking(_) => None,
    })
}

fn on_pair(
    case: &Case<'_>,
    w: &mut Workings,
    knee: Value,
    pair: Pair,
    curve: Pair,
) -> Option<Value> {
    if pair == curve.ascending() {
        return Some(knee);
    }
    let core = case.core(pair)?;
    let mut turns = |of: Pair| {
        let turns = case.turns(of).filter(|turns| *turns > 0.0)?;
        Some(input::plate_number(
            w,
            format!("turns of {}", case.record.pair_text(of)),
            "",
            turns,
            core.span,
        ))
    };
    let (n, m) = (turns(pair)?, turns(curve)?);
    w.step(&KNEE_ON_PAIR, [knee, n, m])
}

/// The curve's voltages are at rated frequency, so the start is taken there too.
fn at_rated(case: &Case<'_>, w: &mut Workings, body: &Demagnetisation, v: Value) -> Option<Value> {
    let Some(f) = body.frequency.get() else {
        return Some(v);
    };
    let rated = case.record.plate.frequency.get()?;
    let fr = input::plate(w, "rated frequency", rated);
    let f = input::stated(w, "frequency of the source", f);
    w.step(&AT_RATED, [v, fr, f])
}

fn over_rated(
    case: &Case<'_>,
    w: &mut Workings,
    test: &Test,
    pair: Pair,
    start: &Reading,
) -> Option<Start> {
    let rated = case.rated_primary(pair).filter(|rated| *rated > 0.0)?;
    let core = case.core(pair)?;
    let i = input::reading(
        w,
        case,
        test,
        Measure::Current,
        "primary current at the start",
        start,
    );
    let rated = input::plate_number(w, "rated primary current", "A", rated, core.span);
    w.step(&OVER_RATED, [i, rated]).map(Start::OverRated)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::source::Source;
    use crate::record::criteria::Criteria;

    fn brought(text: &str) -> Vec<Brought> {
        let text = format!(
            "format: 1\n\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n\n[core S]\nratio: 400/5 A\n\n[visit 2026-01-05]\n\
             purpose: commissioning\n\n[demagnetisation S1-S2]\n{text}\n"
        );
        let (record, found) = crate::record::read_alone(&Source::new("t.ctr", text.as_bytes()).0);
        assert!(
            !found
                .iter()
                .any(crate::ground::diagnostic::Diagnostic::is_error),
            "{found:?}"
        );
        let criteria = Criteria::default();
        let case = Case {
            record: &record,
            visit: &record.visits[0],
            index: 0,
            instruments: None,
            criteria: &criteria,
        };
        derive(&case, &mut Workings::new(), &Derived::default())
    }

    #[test]
    fn the_closed_method_is_held_against_rated_current() {
        let one = &brought("start: 480 A\nend: 0 A")[0];
        assert!(
            matches!(one.start, Start::OverRated(value) if (value.si - 1.2).abs() < 1e-12),
            "{one:?}"
        );
        assert_eq!((one.method, one.end), (Method::Closed, End::Zero));
    }

    #[test]
    fn without_a_curve_a_voltage_stands_alone() {
        let one = &brought("start: 480 V\nend: 12 V")[0];
        assert!(matches!(one.start, Start::Alone) && one.end == End::Above);
        let one = &brought("method: open")[0];
        assert!(matches!(one.start, Start::Unstated) && one.end == End::Unstated);
    }
}
