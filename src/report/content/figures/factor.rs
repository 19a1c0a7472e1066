//! The accuracy limit factor over the burden. Read off the curve the other way round: each point of
//! the curve gives the factor at which it is the limit, and the burden that asks for it.

use super::{Ctx, Drawing};
use crate::derive::case::Case;
use crate::derive::curve::Curve;
use crate::derive::kinds::protection::factor::With;
use crate::derive::kinds::protection::{Accuracy, Check};
use crate::derive::outcome::Outcome;
use crate::record::class::Class;
use crate::record::kinds::TestKind;
use crate::report::curves::FactorOverBurden;

/// Points along the curve.
const POINTS: u32 = 160;
/// The chart goes up to this many times the rated burden.
const WIDEST: f64 = 2.0;

impl Ctx<'_> {
    /// For a core of class P or PR whose factor is known with its rated burden.
    pub(super) fn factor_chart(&self, case: &Case<'_>, core: usize) -> Option<(TestKind, Drawing)> {
        let derived = &self.assessment.visits.get(case.index)?.derived;
        let factors = || {
            derived
                .protection
                .iter()
                .filter(|entry| entry.pair.core == core)
        };
        let is_rated = |entry: &&Accuracy| matches!(&entry.check, Check::Factor(factor) if matches!(factor.with, With::Rated(_)));
        let entry = factors().find(is_rated)?;
        let Check::Factor(factor) = &entry.check else {
            return None;
        };
        let With::Rated(burden) = &factor.with else {
            return None;
        };
        let Class::Protection { limit_factor, .. } = case.core(entry.pair)?.class_of(entry.pair)?
        else {
            return None;
        };
        let excited = crate::derive::kinds::excitation::for_pair(case, derived, entry.pair)?;
        let isr = case.rated_secondary(entry.pair)?;
        let rct = entry.rct?.0.si;
        let rated = burden.z.si * isr * isr;
        let shape = Shape {
            isr,
            rct,
            cosine: burden.power_factor.si,
            eps: factor.eps,
        };
        let points = shape.points(excited.curve.as_ref()?, WIDEST * rated);
        if points.len() < 3 {
            return None;
        }
        let connected = factors()
            .filter(|other| other.pair == entry.pair)
            .find_map(|other| match &other.check {
                Check::Factor(at) => match (&at.with, at.found) {
                    (With::Connected(circuit), Outcome::Known(value)) => {
                        Some((circuit.impedance.z.si * isr * isr, value.si))
                    }
                    _ => None,
                },
                _ => None,
            });
        let at = |n: f64| self.label(n, "VA");
        let (first, last) = (points.first()?, points.last()?);
        Some((
            TestKind::Excitation,
            Drawing::Factor(FactorOverBurden {
                title: format!("Accuracy limit factor, {}", self.core_pair(entry.pair)),
                description: format!(
                    "The factor falls from {:.0} at {} to {:.0} at {}, as far as the readings reach; rated are {limit_factor} at {}.",
                    first.1,
                    at(first.0),
                    last.1,
                    at(last.0),
                    at(rated)
                ),
                points,
                rated: (rated, *limit_factor),
                connected,
                at_least: false,
            }),
        ))
    }
}

struct Shape {
    isr: f64,
    rct: f64,
    cosine: f64,
    eps: f64,
}

impl Shape {
    /// (burden in VA, factor), burden rising.
    fn points(&self, curve: &Curve, most: f64) -> Vec<(f64, f64)> {
        let (low, high) = (curve.first().v.si, curve.last().v.si);
        let step = libm::pow(high / low, 1.0 / f64::from(POINTS));
        let volts = (0..=POINTS).map(|n| low * libm::pow(step, f64::from(n)));
        let mut points: Vec<(f64, f64)> = volts
            .filter_map(|v| self.point(curve, v))
            .filter(|(va, _)| *va <= most)
            .collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        // Where the curve is straight several factors go with one burden; the largest one is the answer.
        points.dedup_by(|later, kept| {
            let same = later.0 <= kept.0;
            if same {
                kept.1 = kept.1.max(later.1);
            }
            same
        });
        monotone(points)
    }

    /// The factor at which the exciting current at `v` is the limit, and the burden that brings the
    /// core to `v` at that factor: |Rct + Zb| = v/(factor Isr).
    fn point(&self, curve: &Curve, v: f64) -> Option<(f64, f64)> {
        let factor = curve.current_at(v)? / (self.eps * self.isr);
        let impedance = v / (factor * self.isr);
        let reactive = self.rct * self.rct * (1.0 - self.cosine * self.cosine);
        let zb = (impedance * impedance - reactive).max(0.0).sqrt() - self.rct * self.cosine;
        let va = zb * self.isr * self.isr;
        (zb > 0.0 && va.is_finite() && factor >= 1.0).then_some((va, factor))
    }
}

/// Keeps the falling branch: with more burden the limit is reached earlier.
fn monotone(points: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = Vec::with_capacity(points.len());
    for point in points.into_iter().rev() {
        if kept.last().is_none_or(|last| point.1 >= last.1) {
            kept.push(point);
        }
    }
    kept.reverse();
    kept
}
