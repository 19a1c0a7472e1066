//! Excitation curves: points, flaws, the three knees.

pub mod against;
mod emf;
mod scaled;
pub mod shape;
pub mod straight;

pub use emf::EmfBy;

use self::emf::Taken;
use super::Derived;
use crate::derive::case::Case;
use crate::derive::curve::{Curve, CurveFlaw};
use crate::derive::deriving::{Deriving, written};
use crate::derive::knee::{Knee, KneeRule};
use crate::derive::outcome::Reason;
use crate::derive::workings::{Value, Workings};
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::trade::Pair;

/// One curve as taken on its pair, voltage and current at the rated frequency's e.m.f. scale.
#[derive(Clone, Debug)]
pub struct Excited {
    pub test: usize,
    /// The driven pair; of a scaled curve the pair that it was scaled to.
    pub pair: Pair,
    /// The driven pair, when this curve was scaled from another one by turns.
    pub scaled_from: Option<Pair>,
    /// `None` when too few readings are usable.
    pub curve: Option<Curve>,
    /// Peak current against the same voltage, where peaks were recorded.
    pub peaks: Option<Curve>,
    /// Spans of the rows, in the order in which the curve's points count them (`Point::at`).
    pub rows: Vec<Span>,
    pub flaws: Vec<CurveFlaw>,
    pub iec: Knee,
    pub knee_45: Knee,
    pub knee_30: Knee,
    /// How the voltage of the curve came from the voltage read.
    pub emf: EmfBy,
    /// Highest voltage read at the driven pair, volt.
    pub highest: Option<Value>,
    /// The voltage across the whole winding at that reading, volt, when a tap was driven.
    pub open_terminals: Option<Value>,
    /// Taken at another frequency than the rated one, in hertz: currents are on the low side below saturation.
    pub other_frequency: Option<f64>,
    /// The circuit was connected: what was read is not the exciting current alone.
    pub with_burden: bool,
    pub doubtful: Option<Span>,
    /// The same curve on the other pairs that are declared or in service; none of a scaled curve.
    pub scaled: Vec<Excited>,
}

impl Excited {
    /// The knee by one rule.
    #[must_use]
    pub fn knee(&self, rule: KneeRule) -> Knee {
        match rule {
            KneeRule::Iec => self.iec,
            KneeRule::Tangent45 => self.knee_45,
            KneeRule::Tangent30 => self.knee_30,
        }
    }

    /// The knee that the plate's rule asks for.
    #[must_use]
    pub fn deciding(&self, case: &Case<'_>) -> Knee {
        let rule = case.core(self.pair).map_or(KneeRule::Iec, |core| {
            KneeRule::of(case.record.plate.family(), core)
        });
        self.knee(rule)
    }

    /// The knee that the plate's rule asks for, else the last reading, volt; `None` without a curve.
    #[must_use]
    pub fn knee_or_end(&self, case: &Case<'_>) -> Option<f64> {
        let end = self.curve.as_ref()?.last().v.si;
        Some(match self.deciding(case) {
            Knee::At(point) => point.voltage.si,
            Knee::NotReached { .. } | Knee::Lacking(_) => end,
        })
    }

    /// The rows of the readings that a knee lies between, lower voltage first.
    #[must_use]
    pub fn around(&self, knee: &Knee) -> Vec<Span> {
        match knee {
            Knee::At(point) => {
                let (below, above) = point.between;
                written([below, above].map(|at| self.rows.get(at).copied()))
            }
            Knee::NotReached { .. } | Knee::Lacking(_) => self.last_row().into_iter().collect(),
        }
    }

    /// The row of the highest voltage of the curve; where the readings make none, the one that stands last.
    #[must_use]
    pub fn last_row(&self) -> Option<Span> {
        match &self.curve {
            Some(curve) => self.rows.get(curve.last().at).copied(),
            None => self.rows.last().copied(),
        }
    }
}

/// Derives all curves of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Excited> {
    let mut found = Vec::new();
    for (index, test, body) in d.visit.of(Test::excitation) {
        let Some(pair) = d.driven(test).or_else(|| d.only_pair()) else {
            continue;
        };
        let taken = emf::taken(d, test, body, pair);
        let mut excited = made(d.w, (index, pair), None, taken, test.doubtful);
        excited.with_burden = body.is_with_burden();
        excited.open_terminals = scaled::open_terminals(d, &excited);
        excited.scaled = scaled::all(d, &excited);
        if d.core(pair).is_some_and(KneeRule::is_gapped) {
            excited.knee_45 = Knee::Lacking(Reason::NoCrossing);
            for scaled in &mut excited.scaled {
                scaled.knee_45 = Knee::Lacking(Reason::NoCrossing);
            }
        }
        found.push(excited);
    }
    found
}

/// The curve of what was taken, with its knees.
fn made(
    w: &mut Workings,
    (test, pair): (usize, Pair),
    scaled_from: Option<Pair>,
    taken: Taken,
    doubtful: Option<Span>,
) -> Excited {
    let (curve, flaws) = Curve::new(&taken.points);
    let [iec, knee_45, knee_30] = KneeRule::ALL.map(|rule| match &curve {
        Some(curve) => rule.find(curve, w),
        None => Knee::Lacking(taken.no_curve.unwrap_or(Reason::TooFewPoints)),
    });
    Excited {
        test,
        pair,
        scaled_from,
        curve,
        peaks: Curve::new(&taken.peaks).0,
        rows: taken.rows,
        flaws,
        iec,
        knee_45,
        knee_30,
        emf: taken.by,
        highest: taken.highest,
        open_terminals: None,
        other_frequency: taken.other_frequency,
        with_burden: false,
        doubtful,
        scaled: Vec::new(),
    }
}

/// Where a curve stands that serves a pair.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CurveAt {
    /// In this section of the visit.
    Section(usize),
    /// In this earlier visit of the same occasion.
    Visit(usize),
}

impl Derived {
    /// The visit's own curve of a pair, else that of an earlier visit of the same occasion.
    pub fn any_curve(&self, pair: Pair) -> Option<(&Excited, CurveAt)> {
        let own = self.curve_for(pair);
        let own = own.map(|excited| (excited, CurveAt::Section(excited.test)));
        own.or_else(|| self.earlier_curve(pair))
    }

    fn earlier_curve(&self, pair: Pair) -> Option<(&Excited, CurveAt)> {
        self.before.iter().rev().find_map(|before| {
            let excited = best(&before.excitation, pair)?;
            Some((excited, CurveAt::Visit(before.visit)))
        })
    }

    /// The curve that a visit shows something with: its own, or an earlier one where what goes into it,
    /// or what is asked of it, is new.
    pub(super) fn curve_used(&self, case: &Case<'_>, pair: Pair) -> Option<(&Excited, CurveAt)> {
        let core = pair.core;
        let duty = |visit: usize| {
            let day = case.record.visits.get(visit)?.date.value;
            Some(case.record.duty_on(core, day)?.span)
        };
        let is_new = |earlier: usize| {
            let read = self.resistance.iter().map(|one| one.pair);
            let mut read = read.chain(self.burden.iter().map(|one| one.pair));
            let tap = |visit: usize| {
                let visit = case.record.visits.get(visit)?;
                case.record.pair_in_service(core, visit)
            };
            read.any(|pair| pair.core == core)
                || duty(case.index) != duty(earlier)
                || tap(case.index) != tap(earlier)
        };
        let earlier = self.earlier_curve(pair).filter(|(_, at)| match at {
            CurveAt::Section(_) => false,
            CurveAt::Visit(earlier) => is_new(*earlier),
        });
        match (self.curve_for(pair), earlier) {
            // A few low rows say nothing of what lies beyond them.
            (Some(own), Some(earlier)) if is_narrower(own, earlier.0) => Some(earlier),
            (Some(own), _) => Some((own, CurveAt::Section(own.test))),
            (None, earlier) => earlier,
        }
    }

    /// The curve of a core that serves a pair: taken on it, or scaled to it by turns (V by N, I by 1/N).
    /// One taken without the circuit goes before one with it, a curve taken on the pair itself before a scaled one, the full winding before a tap, rated
    /// frequency before another, a section that was understood before a doubtful one, the one worked later of two.
    #[must_use]
    pub fn curve_for(&self, pair: Pair) -> Option<&Excited> {
        best(&self.excitation, pair)
    }
}

/// Whether a curve ends before its knee and before another one.
fn is_narrower(own: &Excited, other: &Excited) -> bool {
    let last = |excited: &Excited| excited.curve.as_ref().map(|curve| curve.last().v.si);
    !matches!(own.iec, Knee::At(_)) && last(own) < last(other)
}

pub(super) fn best(curves: &[Excited], pair: Pair) -> Option<&Excited> {
    let pair = pair.ascending();
    let taken = curves.iter();
    let scaled = taken.clone().flat_map(|excited| &excited.scaled);
    let fits = |excited: &&Excited| excited.pair == pair && excited.curve.is_some();
    taken.chain(scaled).filter(fits).max_by_key(|excited| {
        let from = excited.scaled_from;
        (
            excited.doubtful.is_none(),
            !excited.with_burden,
            from.is_none(),
            excited.other_frequency.is_none(),
            from.map_or(u8::MAX, |from| from.to - from.from),
        )
    })
}

#[cfg(test)]
mod tests;
