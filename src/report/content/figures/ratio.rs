//! Ratio error and phase displacement over the current, with the limits of the class.

use super::{Figure, Kind, Unit, axis, line};
use crate::chart::{Axes, Curve, Hand, Marks, Pen, Points, Range, Shape};
use crate::derive::case::Case;
use crate::derive::kinds::Derived;
use crate::derive::kinds::ratio::{Burdened, Point, Run};
use crate::document::joined;
use crate::judge::finding::unit::MINUTE_OF_ARC;
use crate::record::plate::Plate;
use crate::standards::{Cited, measuring, protection};
use crate::trade::{Class, Pair};
use std::collections::{BTreeMap, BTreeSet};

impl Unit<'_> {
    /// The charts of every pair of a core that was measured by current.
    pub(super) fn ratio_charts(
        &self,
        case: &Case<'_>,
        derived: &Derived,
        core: usize,
    ) -> Vec<Figure> {
        let mut pairs: BTreeMap<Pair, Vec<&Run>> = BTreeMap::new();
        for run in &derived.ratio.runs {
            if run.pair.core == core {
                pairs.entry(run.pair).or_default().push(run);
            }
        }
        let drawn = pairs
            .iter()
            .flat_map(|(pair, runs)| self.pair_charts(case, *pair, runs));
        drawn.collect()
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
        let value = |point: &Point| Some((point.percent, (quantity.of)(point)?));
        let runs: Vec<&Run> = runs
            .iter()
            .copied()
            .filter(|run| run.points.iter().any(|point| value(point).is_some()))
            .collect();
        if runs.is_empty() {
            return None;
        }
        let curve = |run: &&Run| {
            let values = run.points.iter().filter_map(value).collect();
            line(self.taken(run, &runs), Pen::Main, values, Marks::Along)
        };
        let mut curves: Vec<Curve> = runs.iter().map(curve).collect();
        let count: usize = curves.iter().map(|curve| curve.line.len()).sum();
        let burdens: BTreeSet<String> = runs.iter().map(|run| self.burdened(&run.burden)).collect();
        let several = |n: usize, one: &str| format!("{n} {one}{}", if n == 1 { "" } else { "s" });
        let (values, burdens) = (several(count, "value"), several(burdens.len(), "burden"));
        let positions = match positions(&runs) {
            0 | 1 => String::new(),
            many => format!(", in {many} positions of the primary links,"),
        };
        let description = format!("{values} with {burdens}{positions} over the primary current.");
        let of_class = class.map(|class| format!(", class {}", class.text()));
        let (of_class, pair) = (of_class.unwrap_or_default(), self.core_pair(pair));
        let title = format!("{}, {pair}{of_class}", quantity.name);
        let limits = class.map(|class| envelope(&self.record.plate, class, quantity));
        let limits = limits.filter(|limits| !limits.is_empty());
        let note = limits.as_ref().map(
            |_| "The limits hold at the marked currents; the lines between only guide the eye.",
        );
        if let Some(upper) = limits {
            let lower = upper.iter().map(|(x, y)| (*x, -y)).collect();
            curves.push(limit("limits of the class", upper, Hand::Left));
            curves.push(limit("", lower, Hand::Right));
        }
        let (from, to) = (1.0, 200.0);
        let (middle, least) = (0.0, 1.0);
        let percent = "primary current / % of rated current";
        let axes = Axes::Plain {
            x: axis(percent, Range::Log { from, to }, None),
            y: axis(quantity.axis, Range::Around { middle, least }, Some(middle)),
        };
        let figure = Figure::new(quantity.kind, title, description, axes, curves);
        Some(figure.noted(note))
    }

    /// What a run was taken under: its burden, and what tells it from the others of its pair.
    pub(super) fn taken(&self, run: &Run, all: &[&Run]) -> String {
        let core = self.record.cores.get(run.pair.core);
        let fed = core.and_then(|core| core.fed_text(run.fed?));
        let links = run.links.clone().filter(|_| positions(all) > 1);
        joined([Some(self.burdened(&run.burden)), fed, links], ", ")
    }

    fn burdened(&self, burden: &Burdened) -> String {
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

/// How many positions of the primary links runs were taken in.
fn positions(runs: &[&Run]) -> usize {
    let all: BTreeSet<_> = runs.iter().map(|run| &run.links).collect();
    all.len()
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

fn limit(name: &str, points: Points, off: Hand) -> Curve {
    let marks = Marks::At(Shape::Square, points.clone());
    Curve {
        off: Some(off),
        ..line(name, Pen::Limit, points, marks)
    }
}

/// The limits of an IEC class over the current, both ways; empty for other classes, and where the plate's
/// standard is not known to have them.
fn envelope(plate: &Plate, class: &Class, quantity: &Quantity) -> Points {
    let has = |cited: &Cited| plate.cite(cited).is_some();
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
            .filter(|row| has(&row.cited))
            .and_then(|row| Some((100.0, pick(row.ratio_error, row.phase_minutes)?)))
            .into_iter()
            .collect(),
        Class::Measuring { name, .. } => {
            let rows = measuring(name).map(|class| class.rows.as_slice());
            let rows = rows.unwrap_or_default().iter();
            let rows = rows.filter(|row| has(&row.cited));
            rows.filter_map(|row| Some((row.percent, pick(row.ratio_error, row.phase_minutes)?)))
                .collect()
        }
        _ => Points::new(),
    }
}
