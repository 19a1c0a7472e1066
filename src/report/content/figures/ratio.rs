//! Ratio error and phase displacement over the current, with the limits of the class.

use super::{Ctx, Figure, Kind};
use crate::chart::{Axes, Axis, Chart, Curve, Marks, Pen, Points, Range, Shape};
use crate::derive::case::Case;
use crate::derive::kinds::ratio::{Burdened, Point, Run};
use crate::judge::finding::unit::MINUTE_OF_ARC;
use crate::standards::{measuring, protection};
use crate::trade::{Class, Pair};

impl Ctx<'_> {
    /// The charts of every pair of a core that was measured by current.
    pub(super) fn ratio_charts(&self, case: &Case<'_>, core: usize) -> Vec<Figure> {
        let Some(assessed) = self.assessment.visits.get(case.index) else {
            return Vec::new();
        };
        let runs: Vec<&Run> = assessed
            .derived
            .ratio
            .runs
            .iter()
            .filter(|run| run.pair.core == core)
            .collect();
        let mut pairs: Vec<Pair> = runs.iter().map(|run| run.pair).collect();
        pairs.sort_unstable();
        pairs.dedup();
        let mut drawn = Vec::new();
        for pair in pairs {
            let own: Vec<&Run> = runs
                .iter()
                .copied()
                .filter(|run| run.pair == pair)
                .collect();
            drawn.extend(self.pair_charts(case, pair, &own));
        }
        drawn
    }

    fn pair_charts(&self, case: &Case<'_>, pair: Pair, runs: &[&Run]) -> Vec<Figure> {
        let class = case.core(pair).and_then(|core| core.class_of(pair));
        if let Some(Class::IeeeMetering { name, .. }) = class {
            return self.parallelogram(pair, name, runs).into_iter().collect();
        }
        [&RATIO_ERROR, &PHASE]
            .into_iter()
            .filter_map(|quantity| self.errors(pair, class, runs, quantity))
            .collect()
    }

    fn errors(
        &self,
        pair: Pair,
        class: Option<&Class>,
        runs: &[&Run],
        quantity: &Quantity,
    ) -> Option<Figure> {
        let of = |run: &Run| -> Points {
            let value = |point: &Point| Some((point.percent, (quantity.of)(point)?));
            run.points.iter().filter_map(value).collect()
        };
        let curve = |run: &&Run| Curve {
            name: self.burdened(&run.burden),
            pen: Pen::Main,
            line: of(run),
            marks: Marks::Along,
        };
        let mut curves: Vec<Curve> = runs.iter().map(curve).collect();
        curves.retain(|curve| !curve.line.is_empty());
        if curves.is_empty() {
            return None;
        }
        let count: usize = curves.iter().map(|curve| curve.line.len()).sum();
        let description = format!(
            "{count} values with {} burdens over the primary current.",
            curves.len()
        );
        let of_class = class.map(|class| format!(", class {}", class.text()));
        let title = format!(
            "{}, {}{}",
            quantity.name,
            self.core_pair(pair),
            of_class.unwrap_or_default()
        );
        let limits = class
            .map(|class| envelope(class, quantity))
            .unwrap_or_default();
        let mut notes = Vec::new();
        if !limits.is_empty() {
            let lower = limits.iter().map(|(x, y)| (*x, -y)).collect();
            // The marks point to the side on which the limit is kept.
            curves.push(limit("limits of the class", limits, Shape::Down));
            curves.push(limit("", lower, Shape::Triangle));
            notes.push(
                "The limits hold at the marked currents; the lines between only guide the eye."
                    .to_owned(),
            );
        }
        let chart = Chart {
            title,
            description,
            axes: Axes::Plain {
                x: Axis {
                    title: "primary current / % of rated current",
                    range: Range::Log {
                        from: 1.0,
                        to: 200.0,
                    },
                    origin: None,
                },
                y: Axis {
                    title: quantity.axis,
                    range: Range::Around {
                        middle: 0.0,
                        least: 1.0,
                    },
                    origin: Some(0.0),
                },
            },
            curves,
            limits: Vec::new(),
            marks: Vec::new(),
            notes,
        };
        Some(Figure::new(quantity.kind, chart))
    }

    pub(super) fn burdened(&self, burden: &Burdened) -> String {
        let stated = |va: &f64, factor: &Option<f64>| {
            let factor = factor
                .map(|factor| format!(" at {factor:.2}"))
                .unwrap_or_default();
            format!("{}{factor}", self.label(*va, "VA"))
        };
        match burden {
            Burdened::Stated { va, power_factor } => stated(va, power_factor),
            Burdened::Designated(name) => name.clone(),
            Burdened::Connected {
                va: Some(va),
                power_factor,
            } => format!("connected, {}", stated(va, power_factor)),
            Burdened::Connected { va: None, .. } => "connected".to_owned(),
            Burdened::Shorted => "shorted".to_owned(),
            Burdened::Unknown => "burden not stated".to_owned(),
        }
    }
}

/// Which error of the ratio a chart shows, in the unit of its axis.
struct Quantity {
    kind: Kind,
    name: &'static str,
    axis: &'static str,
    of: fn(&Point) -> Option<f64>,
}

const RATIO_ERROR: Quantity = Quantity {
    kind: Kind::RatioError,
    name: "Ratio error",
    axis: "ratio error / %",
    of: |point| point.error.map(|error| error.si),
};

const PHASE: Quantity = Quantity {
    kind: Kind::Phase,
    name: "Phase displacement",
    axis: "phase displacement / minutes",
    of: |point| point.phase.map(|phase| phase.si * MINUTE_OF_ARC.per_si),
};

fn limit(name: &str, points: Points, shape: Shape) -> Curve {
    Curve {
        name: name.to_owned(),
        pen: Pen::Limit,
        line: points.clone(),
        marks: Marks::At(shape, points),
    }
}

/// The limits of an IEC class over the current, both ways; empty for other classes.
fn envelope(class: &Class, quantity: &Quantity) -> Points {
    let pick = |ratio: f64, phase: Option<f64>| match quantity.kind {
        Kind::RatioError => Some(ratio),
        _ => phase,
    };
    match class {
        Class::Protection {
            composite,
            low_remanence,
            ..
        } => protection(*composite, *low_remanence)
            .and_then(|row| Some((100.0, pick(row.ratio_error, row.phase_minutes)?)))
            .into_iter()
            .collect(),
        Class::Measuring { name, .. } => {
            let rows = measuring(name).map(|class| class.rows.as_slice());
            let rows = rows.unwrap_or_default().iter();
            rows.filter_map(|row| Some((row.percent, pick(row.ratio_error, row.phase_minutes)?)))
                .collect()
        }
        _ => Points::new(),
    }
}
