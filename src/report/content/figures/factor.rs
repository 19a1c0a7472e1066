//! The accuracy limit factor over the burden. Read off the curve the other way round: each point of
//! the curve gives the factor at which it is the limit, and the burden that asks for it.

use super::{Ctx, Figure, Kind};
use crate::chart::{
    Axes, Axis, Chart, Curve, Mark, Marks, Pen, Points, Range, Shape as Stamp, Side,
};
use crate::derive::case::Case;
use crate::derive::curve::Curve as Characteristic;
use crate::derive::kinds::protection::factor::With;
use crate::derive::kinds::protection::{Accuracy, Check};
use crate::derive::outcome::Outcome;
use crate::trade::Class;

/// Points along the curve.
const POINTS: u32 = 160;
/// The chart goes up to this many times the rated burden.
const WIDEST: f64 = 2.0;

impl Ctx<'_> {
    /// For a core of class P or PR whose factor is known with its rated burden.
    pub(super) fn factor_chart(&self, case: &Case<'_>, core: usize) -> Option<Figure> {
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
        let excited = derived.curve_for(entry.pair)?;
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
        let description = format!(
            "The factor falls from {:.0} at {} to {:.0} at {}, as far as the readings reach; rated are {limit_factor} at {}.",
            first.1,
            at(first.0),
            last.1,
            at(last.0),
            at(rated)
        );
        let mark = |label: &str, (va, factor): (f64, f64), shape, pen| Mark {
            label: label.to_owned(),
            value: format!("{}, factor {}", at(va), self.label(factor, "").trim_end()),
            at: (va, factor),
            shape,
            pen,
            side: Side::Any,
            guides: true,
        };
        let mut marks = vec![mark(
            "rated",
            (rated, *limit_factor),
            Stamp::Target,
            Pen::Limit,
        )];
        let connected =
            connected.map(|at| mark("connected burden", at, Stamp::Diamond, Pen::Point));
        marks.extend(connected);
        let axis = |title| Axis {
            title,
            range: Range::Holding(0.0),
            origin: None,
        };
        let chart = Chart {
            title: format!("Accuracy limit factor, {}", self.core_pair(entry.pair)),
            description,
            axes: Axes::Plain {
                x: axis("burden / VA"),
                y: axis("factor / 1"),
            },
            curves: vec![Curve {
                name: "from the excitation readings".to_owned(),
                pen: Pen::Main,
                line: points,
                marks: Marks::None,
            }],
            limits: Vec::new(),
            marks,
            notes: Vec::new(),
        };
        Some(Figure::new(Kind::Factor, chart))
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
