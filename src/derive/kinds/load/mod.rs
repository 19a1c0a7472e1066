//! Current on load against the primary current that another measurement gave: its ratio, its direction, and
//! the three phases of a circuit against each other and against their neutral.

use crate::derive::deriving::{Deriving, exact, written};
use crate::derive::formula::{Symbol, formulas, symbol};
use crate::derive::outcome::Outcome;
use crate::derive::workings::Value;
use crate::ground::quantity::Reading;
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::record::kinds::load::{Load, LoadRow, Rotation, Sense};
use crate::record::phase::Phase;
use crate::record::readings::Measure::{Angle, Current};
use crate::trade::{Pair, mark};
use std::f64::consts::TAU;

const EXPECTED_CURRENT: Symbol = symbol("e", "A", "secondary current by the rated ratio");
const READ: Symbol = symbol("i", "A", "secondary current on load");
const RATED: Symbol = symbol("Isr", "A", "rated secondary current");
const PHASORS: &str = "addition of phasors";
const A: Symbol = symbol("a", "A", "current of L1");
const B: Symbol = symbol("b", "A", "current of L2");
const C: Symbol = symbol("c", "A", "current of L3");
const X: Symbol = symbol("x", "rad", "angle of L1");
const Y: Symbol = symbol("y", "rad", "angle of L2");
const Z: Symbol = symbol("z", "rad", "angle of L3");
const NEUTRAL: Symbol = symbol("n", "A", "current of the neutral");

formulas! {
    static EXPECTED = "load-expected", "secondary current by the rated ratio":
        "I/n" ("A") of [
            symbol("I", "A", "primary current on load"),
            symbol("n", "", "rated ratio of the pair in service"),
        ], |[i, n]| i / n, "rated transformation ratio";

    static DEVIATION = "load-deviation", "deviation of the secondary current on load":
        "100*(i - e)/e" ("%") of [READ, EXPECTED_CURRENT],
        |[i, e]| (i - e) / e * 100.0, "relative deviation";

    static SHARE = "load-share", "share of rated secondary current":
        "100*e/Isr" ("%") of [EXPECTED_CURRENT, RATED],
        |[e, isr]| e / isr * 100.0, "rated secondary current of the plate";

    static SHARE_READ = "load-share-read", "share of rated secondary current, as read":
        "100*i/Isr" ("%") of [READ, RATED],
        |[i, isr]| i / isr * 100.0, "rated secondary current of the plate";

    static TURNED = "load-angle-off", "angle between secondary and primary current":
        "atan2(sin(a - p), cos(a - p))" ("rad") of [
            symbol("a", "rad", "angle of the secondary current"),
            symbol("p", "rad", "angle of the primary current"),
        ], |[a, p]| (a - p).sin().atan2((a - p).cos()), "difference of two angles, within half a turn";

    static BEHIND = "load-behind", "angle by which a phase is off its place behind another":
        "atan2(sin(a - b - s), cos(a - b - s))" ("rad") of [
            symbol("a", "rad", "angle of the earlier phase, as leading"),
            symbol("b", "rad", "angle of the later phase, as leading"),
            symbol("s", "rad", "angle by which it is to be behind"),
        ], |[a, b, s]| (a - b - s).sin().atan2((a - b - s).cos()),
        "difference of two angles, within half a turn";

    static ALONG = "load-sum-along", "sum of the phase currents along the reference":
        "a*cos(x) + b*cos(y) + c*cos(z)" ("A") of [A, B, C, X, Y, Z],
        |[a, b, c, x, y, z]| a * x.cos() + b * y.cos() + c * z.cos(), PHASORS;

    static ACROSS = "load-sum-across", "sum of the phase currents across the reference":
        "a*sin(x) + b*sin(y) + c*sin(z)" ("A") of [A, B, C, X, Y, Z],
        |[a, b, c, x, y, z]| a * x.sin() + b * y.sin() + c * z.sin(), PHASORS;

    static SUM = "load-sum", "sum of the three phasors":
        "hypot(x, y)" ("A") of [
            symbol("x", "A", "sum along the reference"),
            symbol("y", "A", "sum across it"),
        ], |[x, y]| x.hypot(y), PHASORS;

    static SPILL = "load-neutral", "neutral current against the mean phase current":
        "300*n/(a + b + c)" ("%") of [NEUTRAL, A, B, C],
        |[n, a, b, c]| n * 300.0 / (a + b + c), "mean of three";

    static SPILL_OFF = "load-neutral-off", "neutral current less the sum of the phasors, against the mean phase current":
        "300*(n - s)/(a + b + c)" ("%") of [NEUTRAL, symbol("s", "A", "sum of the three phasors"), A, B, C],
        |[n, s, a, b, c]| (n - s) * 300.0 / (a + b + c), "mean of three";
}

/// One reading on load beside what the primary current makes of it.
#[derive(Clone, Debug)]
pub struct OnLoad {
    pub test: usize,
    /// Its place in the section.
    pub row: usize,
    pub pair: Pair,
    /// Secondary current by the rated ratio, ampere.
    pub expected: Value,
    /// The reading's deviation from it, per cent.
    pub deviation: Value,
    /// Share of rated secondary current that is expected, per cent.
    pub share: Option<Value>,
    pub readings: Vec<Span>,
}

/// A secondary current beside the direction of the primary one.
#[derive(Clone, Debug)]
pub struct Turned {
    pub test: usize,
    /// Its place in the section.
    pub row: usize,
    pub pair: Pair,
    /// Angle from the primary to the secondary current, radian, within half a turn.
    pub off: Value,
    /// Share of rated secondary current that was read, per cent.
    pub share: Option<Value>,
    pub readings: Vec<Span>,
}

/// A current of a phase that a source does not drive.
#[derive(Clone, Debug)]
pub struct Undriven {
    pub test: usize,
    /// Its place in the section.
    pub row: usize,
    pub pair: Pair,
    /// Share of rated secondary current that was read, per cent; a bound of the reading is one of it.
    pub share: Outcome,
    pub readings: Vec<Span>,
}

/// The three phases of one relay or meter.
#[derive(Clone, Debug)]
pub struct Three {
    pub test: usize,
    /// Place of the row of L1, and of the neutral's where there is one.
    pub row: usize,
    pub neutral_row: Option<usize>,
    pub pair: Pair,
    /// Which way angles count; as leading where nobody wrote it.
    pub sense: Option<Sense>,
    /// In which order the phases of the network follow one another, where somebody wrote it.
    pub rotation: Option<Rotation>,
    /// By how much L2 is off a third of a turn behind L1, and L3 off two thirds, radian; the other way round in a
    /// network whose phases follow in the other order.
    pub behind: [Value; 2],
    /// The least share of rated secondary current that was read, per cent.
    pub share: Option<Value>,
    /// Sum of the three phasors, ampere.
    pub sum: Value,
    pub neutral: Option<Neutral>,
    pub readings: Vec<Span>,
}

/// The neutral beside the three phases.
#[derive(Clone, Copy, Debug)]
pub struct Neutral {
    /// Its current against the mean phase current, per cent.
    pub spill: Value,
    /// Its current less the sum of the phasors, per cent of the mean phase current.
    pub off: Value,
}

/// What the readings on load of a visit give.
#[derive(Clone, Debug, Default)]
pub struct Seen {
    pub ratios: Vec<OnLoad>,
    pub turned: Vec<Turned>,
    pub three: Vec<Three>,
    pub unfed: Vec<Undriven>,
}

/// A row with its readings in the ledger.
struct Entered<'a> {
    place: usize,
    row: &'a LoadRow,
    pair: Pair,
    /// Nominal ratio as connected.
    ratio: f64,
    current: Option<Value>,
    angle: Option<Value>,
}

impl Entered<'_> {
    /// Whether another one was read at the same place.
    fn is_beside(&self, other: &Self) -> bool {
        let same = match (self.row.at.value(), other.row.at.value()) {
            (Some(at), Some(there)) => mark::is_one(at, there),
            (at, there) => at.is_none() && there.is_none(),
        };
        self.pair == other.pair && same
    }

    fn both(&self) -> Option<(Value, Value)> {
        self.current.zip(self.angle)
    }

    fn spans(&self) -> [Option<Span>; 2] {
        [self.row.current.span(), self.row.angle.span()]
    }
}

/// Derives all of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Seen {
    let mut seen = Seen::default();
    for (index, test, load) in d.visit.of(Test::load) {
        let rows = load.rows.iter().enumerate();
        let rows = rows.filter_map(|(place, row)| entered(d, test, place, row));
        let rows: Vec<Entered<'_>> = rows.collect();
        for one in &rows {
            seen.ratios.extend(ratio(d, (index, load), one));
            seen.unfed.extend(undriven(d, (index, test, load), one));
        }
        let angle = exact(&load.primary_angle);
        let angle = angle.map(|angle| {
            (
                d.w.stated("angle of the primary current", angle),
                angle.span,
            )
        });
        for one in &rows {
            seen.turned.extend(turned(d, (index, load), one, angle));
        }
        for first in &rows {
            seen.three.extend(rounds(d, (index, load), &rows, first));
        }
    }
    seen
}

fn entered<'a>(
    d: &mut Deriving<'_>,
    test: &Test,
    place: usize,
    row: &'a LoadRow,
) -> Option<Entered<'a>> {
    let (pair, ratio) = d.serving(row.core?).ok()?;
    Some(Entered {
        place,
        row,
        pair,
        ratio,
        current: d.read_exact(test, Current, "secondary current on load", &row.current),
        angle: d.read_exact(test, Angle, "angle of the secondary current", &row.angle),
    })
}

/// The primary current that makes a reading: its own, else the section's where it goes through this phase.
/// A neutral on load carries what the phases leave, but of a unit that stands in it; of one driven phase it carries all.
pub fn primary_of<'a>(load: &'a Load, row: &'a LoadRow, own: Option<Phase>) -> Option<&'a Reading> {
    let phase = row.phase.value().copied();
    let carries = match (load.is_injected(), phase) {
        (_, None) => true,
        (false, Some(phase)) => (phase == Phase::N) == (own == Some(Phase::N)),
        (true, Some(Phase::N)) => true,
        (true, Some(phase)) => own == Some(phase),
    };
    let of_section = || exact(&load.primary_current).filter(|_| carries);
    let primary = exact(&row.primary).or_else(of_section);
    primary.filter(|primary| primary.value.si > 0.0)
}

fn ratio(d: &mut Deriving<'_>, (test, load): (usize, &Load), one: &Entered<'_>) -> Option<OnLoad> {
    let i = one.current?;
    let primary = primary_of(load, one.row, d.phase())?;
    let at = d.core(one.pair)?.span;
    let p = d.w.stated("primary current on load", primary);
    let what = match d.feeder() {
        None => "rated ratio of the pair in service",
        Some(_) => "overall rated ratio of the main CT and the pair in service",
    };
    let n = d.w.number(what, "", one.ratio, at);
    let expected = d.w.step(&EXPECTED, [p, n])?;
    let isr = d.isr(one.pair);
    Some(OnLoad {
        test,
        row: one.place,
        pair: one.pair,
        expected,
        deviation: d.w.step(&DEVIATION, [i, expected])?,
        share: isr.and_then(|isr| d.w.step(&SHARE, [expected, isr])),
        readings: written([one.row.current.span(), Some(primary.span)]),
    })
}

/// What is shown of a phase beside the one that a source drives.
fn undriven(
    d: &mut Deriving<'_>,
    (index, test, load): (usize, &Test, &Load),
    one: &Entered<'_>,
) -> Option<Undriven> {
    let (own, phase) = (d.phase()?, *one.row.phase.value()?);
    let beside = load.is_injected() && phase != own && phase != Phase::N;
    let driven = exact(&one.row.primary).is_some_and(|primary| primary.value.si > 0.0);
    if !beside || driven || one.row.primary.is_unreadable() {
        return None;
    }
    let (reading, isr) = (one.row.current.get()?, d.isr(one.pair)?);
    let read = || d.read(test, Current, "secondary current on load", reading);
    let i = one.current.unwrap_or_else(read);
    let share = d.w.step(&SHARE_READ, [i, isr])?;
    Some(Undriven {
        test: index,
        row: one.place,
        pair: one.pair,
        share: Outcome::read(share, reading.value.bound),
        readings: written([one.row.current.span()]),
    })
}

fn share(d: &mut Deriving<'_>, one: &Entered<'_>) -> Option<Value> {
    let (i, isr) = (one.current?, d.isr(one.pair)?);
    d.w.step(&SHARE_READ, [i, isr])
}

/// The direction of a reading of this unit's own phase.
fn turned(
    d: &mut Deriving<'_>,
    (test, load): (usize, &Load),
    one: &Entered<'_>,
    primary: Option<(Value, Span)>,
) -> Option<Turned> {
    let phase = one.row.phase.value().copied();
    let is_own = phase.is_none() || phase == load.own(d.phase());
    let ((_, a), (p, at)) = one.both().filter(|_| is_own).zip(primary)?;
    let [_, angle] = one.spans();
    Some(Turned {
        test,
        row: one.place,
        pair: one.pair,
        off: d.w.step(&TURNED, [a, p])?,
        share: share(d, one),
        readings: written([angle, Some(at)]),
    })
}

/// The phases that stand with the first row of L1 at a place. Where phases were read several times there, each
/// reading is in one of the rounds; what was read less often is in more of them.
fn rounds(
    d: &mut Deriving<'_>,
    section: (usize, &Load),
    rows: &[Entered<'_>],
    first: &Entered<'_>,
) -> Vec<Three> {
    let of = |phase: Phase| {
        let is_it = move |one: &&Entered<'_>| {
            let is_read = one.both().is_some() || (phase == Phase::N && one.current.is_some());
            is_read && one.is_beside(first) && one.row.phase.value() == Some(&phase)
        };
        rows.iter().filter(is_it).collect::<Vec<_>>()
    };
    let all = [Phase::L1, Phase::L2, Phase::L3, Phase::N].map(of);
    let begins = all.first().and_then(|l1| l1.first());
    if section.1.is_injected() || begins.is_none_or(|l1| l1.place != first.place) {
        return Vec::new();
    }
    let count = all.iter().map(Vec::len).max().unwrap_or(0);
    let of_round = |round: usize| {
        let pick = |rows: &Vec<_>| rows.get(round).or(rows.last()).copied();
        all.each_ref().map(pick)
    };
    let all = (0..count).map(of_round);
    all.filter_map(|round| three(d, section, round)).collect()
}

fn three(
    d: &mut Deriving<'_>,
    (test, load): (usize, &Load),
    [l1, l2, l3, fourth]: [Option<&Entered<'_>>; 4],
) -> Option<Three> {
    let (l1, l2, l3) = (l1?, l2?, l3?);
    let ((a, x), (b, y), (c, z)) = (l1.both()?, l2.both()?, l3.both()?);
    let sense = load.angles.value().copied();
    let mut behind = |later: Value, thirds: f64| {
        let what = "angle by which it is to be behind";
        let s = d.w.constant(
            what,
            "rad",
            thirds * TAU / 3.0,
            "three phases, by definition",
        );
        let (earlier, later) = match sense {
            Some(Sense::Lagging) => (later, x),
            Some(Sense::Leading) | None => (x, later),
        };
        d.w.step(&BEHIND, [earlier, later, s])
    };
    let is_reversed = load.rotation.value().is_some_and(|one| one.is_reversed());
    let turn = match is_reversed {
        true => [2.0, 1.0],
        false => [1.0, 2.0],
    };
    let [second, third] = turn;
    let behind = [behind(y, second)?, behind(z, third)?];
    let shares = [l1, l2, l3].map(|one| share(d, one));
    let shares: Option<Vec<Value>> = shares.into_iter().collect();
    let shares = shares.unwrap_or_default().into_iter();
    let along = d.w.step(&ALONG, [a, b, c, x, y, z])?;
    let across = d.w.step(&ACROSS, [a, b, c, x, y, z])?;
    let sum = d.w.step(&SUM, [along, across])?;
    let fourth = fourth.and_then(|row| Some((row, row.current?)));
    let neutral = fourth.and_then(|(_, n)| {
        Some(Neutral {
            spill: d.w.step(&SPILL, [n, a, b, c])?,
            off: d.w.step(&SPILL_OFF, [n, sum, a, b, c])?,
        })
    });
    let spans = [l1, l2, l3].map(Entered::spans).into_iter().flatten();
    Some(Three {
        test,
        row: l1.place,
        neutral_row: fourth.map(|(row, _)| row.place),
        pair: l1.pair,
        sense,
        rotation: load.rotation.value().copied(),
        behind,
        share: shares.min_by(|a, b| a.si.total_cmp(&b.si)),
        sum,
        neutral,
        readings: spans.flatten().collect(),
    })
}

#[cfg(test)]
mod tests;
