//! The accuracy limit factor over the burden. Read off the curve the other way round: each point of
//! the curve gives the factor at which it is the limit, and the burden that asks for it.

use super::{Figure, Kind, Unit, axis, line, mark};
use crate::chart::{Axes, Mark, Marks, Pen, Points, Range, Shape as Stamp};
use crate::derive::case::Case;
use crate::derive::curve::Curve as Characteristic;
use crate::derive::kinds::Derived;
use crate::derive::kinds::protection::factor::With;
use crate::derive::kinds::protection::{Accuracy, Check};
use crate::derive::outcome::Outcome;
use crate::trade::Class;

/// Points along the curve.
const POINTS: u32 = 160;
/// The chart goes up to this many times the rated burden.
const WIDEST: f64 = 2.0;

impl Unit<'_> {
    /// For a core of class P or PR whose factor is known with its rated burden.
    pub(super) fn factor_chart(
        &self,
        case: &Case<'_>,
        derived: &Derived,
        core: usize,
    ) -> Option<Figure> {
        let own = derived.protection.iter();
        let own = own.filter(|entry| entry.pair.core == core);
        let (entry, eps, burden) = own.clone().find_map(|entry| match &entry.check {
            Check::Factor(factor) => match &factor.with {
                With::Rated(burden) => Some((entry, factor.eps, burden)),
                With::Connected(_) => None,
            },
            _ => None,
        })?;
        let class = case.core(entry.pair)?.class_of(entry.pair)?;
        let Class::Protection { limit_factor, .. } = class else {
            return None;
        };
        let excited = derived.curve_for(entry.pair)?;
        let isr = case.rated_secondary(entry.pair)?;
        let shape = Shape {
            isr,
            rct: entry.rct?.0.si,
            cosine: burden.power_factor.si,
            eps,
        };
        let rated = burden.z.si * isr * isr;
        let points = shape.points(excited.curve.as_ref()?, WIDEST * rated);
        if points.len() < 3 {
            return None;
        }
        let (first, last) = (points.first()?, points.last()?);
        let at = |va: f64| self.label(va, "VA");
        let description = format!(
            "The factor falls from {:.0} at {} to {:.0} at {}, as far as the readings reach; rated are {limit_factor} at {}.",
            first.1,
            at(first.0),
            last.1,
            at(last.0),
            at(rated)
        );
        let asked = self.factor_mark(
            "rated",
            (rated, *limit_factor),
            Stamp::WallBelow,
            Pen::Limit,
        );
        let mut same = own.filter(|other| other.pair == entry.pair);
        let connected = same.find_map(|other| connected(other, isr));
        let connected = connected
            .map(|at| self.factor_mark("connected burden", at, Stamp::Diamond, Pen::Point));
        let title = format!("Accuracy limit factor, {}", self.core_pair(entry.pair));
        let axes = Axes::Plain {
            x: axis("burden / VA", Range::Holding(0.0), None),
            y: axis("factor / 1", Range::Holding(0.0), None),
        };
        let name = "from the excitation readings";
        let curves = vec![line(name, Pen::Main, points, Marks::None)];
        let figure = Figure::new(Kind::Factor, title, description, axes, curves);
        Some(figure.marked([Some(asked), connected].into_iter().flatten().collect()))
    }

    fn factor_mark(&self, label: &str, at: (f64, f64), shape: Stamp, pen: Pen) -> Mark {
        let (burden, factor) = (self.label(at.0, "VA"), self.label(at.1, ""));
        let value = format!("{burden}, factor {factor}");
        Mark {
            guides: true,
            ..mark(label, value, at, shape, pen)
        }
    }
}

/// The connected burden, in VA at rated current, and the factor reached with it.
fn connected(entry: &Accuracy, isr: f64) -> Option<(f64, f64)> {
    let Check::Factor(factor) = &entry.check else {
        return None;
    };
    match (&factor.with, factor.found) {
        (With::Connected(circuit), Outcome::Known(value)) => {
            Some((circuit.impedance.z.si * isr * isr, value.si))
        }
        _ => None,
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
    fn points(&self, curve: &Characteristic, most: f64) -> Points {
        let (low, high) = (curve.first().v.si, curve.last().v.si);
        let step = libm::pow(high / low, 1.0 / f64::from(POINTS));
        let volts = (0..=POINTS).map(|n| low * libm::pow(step, f64::from(n)));
        let mut points: Points = volts
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
    fn point(&self, curve: &Characteristic, v: f64) -> Option<(f64, f64)> {
        let factor = curve.current_at(v)? / (self.eps * self.isr);
        let impedance = v / (factor * self.isr);
        let reactive = self.rct * self.rct * (1.0 - self.cosine * self.cosine);
        let zb = (impedance * impedance - reactive).max(0.0).sqrt() - self.rct * self.cosine;
        let va = zb * self.isr * self.isr;
        (zb > 0.0 && va.is_finite() && factor >= 1.0).then_some((va, factor))
    }
}

/// Keeps the falling branch: with more burden the limit is reached earlier.
fn monotone(points: Points) -> Points {
    let mut kept = Points::with_capacity(points.len());
    for point in points.into_iter().rev() {
        if kept.last().is_none_or(|last| point.1 >= last.1) {
            kept.push(point);
        }
    }
    kept.reverse();
    kept
}
