//! Excitation curves: points, flaws, the three knees.

pub mod against;
mod emf;
mod scaled;

pub use emf::EmfBy;

use super::Derived;
use crate::derive::case::Case;
use crate::derive::curve::{Curve, CurveFlaw};
use crate::derive::deriving::Deriving;
use crate::derive::knee::{self, Knee};
use crate::derive::outcome::Reason;
use crate::derive::workings::{Value, Workings};
use crate::ground::span::Span;
use crate::record::core::Core;
use crate::record::kinds::Test;
use crate::standards::{Family, TransientClass};
use crate::trade::{Class, Pair};

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
    pub doubtful: Option<Span>,
    /// The same curve on the other pairs that are declared or in service; none of a scaled curve.
    pub scaled: Vec<Excited>,
}

/// The rule by which a knee is found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KneeRule {
    /// 10 % more e.m.f. takes 50 % more current.
    Iec,
    /// Tangent of 45° of the log-log curve.
    Tangent45,
    /// Tangent of 30°, for cores with a gap.
    Tangent30,
}

impl KneeRule {
    /// All three.
    pub const ALL: [Self; 3] = [Self::Iec, Self::Tangent45, Self::Tangent30];

    /// The rule that the plate asks for. Classes judged by their knee (PX, X, PS) state it by the
    /// 10 % rule whatever the family; IEEE cores otherwise by a tangent, gapped ones by that of 30°.
    #[must_use]
    pub fn of(family: Family, core: &Core) -> Self {
        let class = core
            .class
            .value()
            .or_else(|| core.full_tap().and_then(|tap| tap.class.value()));
        let gapped = matches!(
            class,
            Some(
                Class::Protection {
                    low_remanence: true,
                    ..
                } | Class::Transient(TransientClass::Tpy | TransientClass::Tpz)
            )
        );
        match (family, class) {
            (Family::Ieee, Some(Class::Knee { .. })) => Self::Iec,
            (Family::Ieee, _) if gapped => Self::Tangent30,
            (Family::Ieee, _) => Self::Tangent45,
            (Family::Iec | Family::Other, _) => Self::Iec,
        }
    }
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

    /// The rows of the readings that a knee lies between, lower voltage first.
    #[must_use]
    pub fn around(&self, knee: &Knee) -> Vec<Span> {
        match knee {
            Knee::At(point) => [point.between.0, point.between.1]
                .iter()
                .filter_map(|at| self.rows.get(*at))
                .copied()
                .collect(),
            Knee::NotReached { .. } | Knee::Lacking(_) => self.last_row().into_iter().collect(),
        }
    }

    /// The row of the highest voltage of the curve.
    #[must_use]
    pub fn last_row(&self) -> Option<Span> {
        let at = self.curve.as_ref()?.last().at;
        self.rows.get(at).copied()
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
        let mut excited = Excited {
            peaks: Curve::new(&taken.peaks).0,
            rows: taken.rows,
            emf: taken.by,
            other_frequency: taken.other_frequency,
            highest: taken.highest,
            doubtful: test.doubtful,
            ..made(d.w, pair, index, taken.points)
        };
        excited.open_terminals = scaled::open_terminals(d, &excited);
        excited.scaled = scaled::all(d, &excited);
        found.push(excited);
    }
    found
}

/// A curve of points with its knees; the rest is filled in by the caller.
fn made(w: &mut Workings, pair: Pair, test: usize, points: Vec<(Value, Value)>) -> Excited {
    let (curve, flaws) = Curve::new(&points);
    let few = Knee::Lacking(Reason::TooFewPoints);
    let knees = curve.as_ref().map_or([few; 3], |curve| {
        [
            knee::iec(curve, w),
            knee::tangent(curve, w, knee::Tangent::Degrees45),
            knee::tangent(curve, w, knee::Tangent::Degrees30),
        ]
    });
    let [iec, knee_45, knee_30] = knees;
    Excited {
        test,
        pair,
        scaled_from: None,
        curve,
        peaks: None,
        rows: Vec::new(),
        flaws,
        iec,
        knee_45,
        knee_30,
        emf: EmfBy::Voltage,
        highest: None,
        open_terminals: None,
        other_frequency: None,
        doubtful: None,
        scaled: Vec::new(),
    }
}

impl Derived {
    /// The curve of a core that serves a pair: taken on it, or scaled to it by turns (V by N, I by 1/N).
    /// A curve taken on the pair itself goes before a scaled one, the full winding before a tap, rated
    /// frequency before another, a section that was understood before a doubtful one, the later of two.
    #[must_use]
    pub fn curve_for(&self, pair: Pair) -> Option<&Excited> {
        let pair = pair.ascending();
        let taken = self.excitation.iter();
        let scaled = taken.clone().flat_map(|excited| &excited.scaled);
        let fits = |excited: &&Excited| excited.pair == pair && excited.curve.is_some();
        taken.chain(scaled).filter(fits).max_by_key(|excited| {
            let from = excited.scaled_from;
            (
                excited.doubtful.is_none(),
                from.is_none(),
                excited.other_frequency.is_none(),
                from.map_or(u8::MAX, |from| from.to - from.from),
                excited.test,
            )
        })
    }
}

#[cfg(test)]
mod tests;
