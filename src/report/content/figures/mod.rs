//! The charts of a core: what is drawn, never how.

mod asked;
mod excitation;
mod factor;
mod metering;
mod overlay;
mod ratio;
#[cfg(test)]
mod tests;
mod trend;
mod wave;

use super::Ctx;
use super::cores::Chart as Placed;
use crate::chart::{
    Axes, Axis, Band, Chart, Curve, Limit, Mark, Marks, Pen, Points, Range, Shape, Side,
};
use crate::compare::Sister;
use crate::derive::case::Case;
use crate::document::NumberStyle;
use crate::judge::Assessment;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::instruments::Instruments;
use crate::trade::Pair;
use std::borrow::Cow;

pub use overlay::{Overlay, overlaid};

/// How a curve is told apart that is not the one in question.
const OF_SISTER: Pen = Pen::Second;
const OF_EARLIER: Pen = Pen::Third;
const OF_FACTORY: Pen = Pen::Fourth;

/// What a chart shows: the key by which it finds its place, whatever its title says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Excitation,
    Factor,
    RatioError,
    Phase,
    Metering,
    Wave,
    Trend,
}

impl Kind {
    /// Part of the chart's id.
    fn name(self) -> &'static str {
        match self {
            Self::Excitation => "excitation",
            Self::Factor => "factor",
            Self::RatioError => "ratio-error",
            Self::Phase => "phase",
            Self::Metering => "metering",
            Self::Wave => "wave",
            Self::Trend => "trend",
        }
    }

    /// Whether it shows what was measured; the others are information for a circuit.
    fn is_measured(self) -> bool {
        !matches!(self, Self::Factor | Self::Wave)
    }
}

/// A chart of a kind.
struct Figure {
    kind: Kind,
    chart: Chart,
}

impl Figure {
    /// Curves alone.
    fn new(kind: Kind, title: String, description: String, axes: Axes, curves: Vec<Curve>) -> Self {
        let chart = Chart {
            title,
            description,
            axes,
            curves,
            bands: Vec::new(),
            limits: Vec::new(),
            marks: Vec::new(),
            notes: Vec::new(),
        };
        Self { kind, chart }
    }

    fn limited(mut self, limits: Vec<Limit>) -> Self {
        self.chart.limits = limits;
        self
    }

    fn banded(mut self, bands: Vec<Band>) -> Self {
        self.chart.bands = bands;
        self
    }

    fn marked(mut self, marks: Vec<Mark>) -> Self {
        self.chart.marks = marks;
        self
    }

    fn noted(mut self, note: Option<&str>) -> Self {
        self.chart.notes = note.into_iter().map(str::to_owned).collect();
        self
    }

    /// Drawn, under an id.
    fn placed(self, id: String) -> (Placed, String) {
        let (note, alt) = self.note_and_alt();
        let note = note.to_owned();
        let svg = self.chart.svg(&id);
        (Placed { id, alt, note }, svg)
    }

    /// What everybody has to read beside the chart, and what stands in for it in the Markdown.
    fn note_and_alt(&self) -> (&str, String) {
        let (title, description) = (&self.chart.title, &self.chart.description);
        match self.kind {
            Kind::Wave => (description, title.clone()),
            _ => ("", format!("{title}. {description}")),
        }
    }
}

fn axis(title: impl Into<Cow<'static, str>>, range: Range, origin: Option<f64>) -> Axis {
    Axis {
        title: title.into(),
        range,
        origin,
    }
}

fn line(name: impl Into<String>, pen: Pen, line: Points, marks: Marks) -> Curve {
    Curve {
        name: name.into(),
        pen,
        line,
        marks,
        off: None,
    }
}

/// A point whose label may stand anywhere.
fn mark(label: impl Into<String>, value: String, at: (f64, f64), shape: Shape, pen: Pen) -> Mark {
    Mark {
        label: label.into(),
        value,
        at,
        shape,
        pen,
        side: Side::Any,
        guides: false,
    }
}

/// A unit of which charts are drawn, and what is drawn beside it.
#[derive(Clone, Copy)]
struct Unit<'a> {
    record: &'a Record,
    assessment: &'a Assessment,
    sisters: &'a [Sister<'a>],
    instruments: Option<&'a Instruments>,
    criteria: &'a Criteria,
    pen: NumberStyle,
}

impl<'a> Ctx<'a> {
    /// The charts of a core at a visit, those of what was measured or those that are information, each
    /// with its SVG; `None` if the visit has neither.
    pub(super) fn figures(
        &self,
        visit: usize,
        core: usize,
        measured: bool,
    ) -> Option<Vec<(Placed, String)>> {
        let unit = Unit {
            record: self.record,
            assessment: self.assessment,
            sisters: &self.subject.sisters,
            instruments: self.subject.instruments,
            criteria: self.criteria,
            pen: self.pen,
        };
        let mut seen: Vec<Kind> = Vec::new();
        let placed = |figure: Figure| {
            seen.push(figure.kind);
            let count = seen.iter().filter(|kind| **kind == figure.kind).count();
            let id = format!("{}core{core}-{}-{count}", self.prefix, figure.kind.name());
            figure.placed(id)
        };
        let all = unit.charts(visit, core);
        let own = |figure: &Figure| figure.kind.is_measured() == measured;
        let drawn = !all.is_empty();
        drawn.then(|| all.into_iter().filter(own).map(placed).collect())
    }
}

impl<'a> Unit<'a> {
    /// The charts of a core at a visit.
    fn charts(&self, visit: usize, core: usize) -> Vec<Figure> {
        let assessed = self.assessment.visits.get(visit);
        let Some((case, assessed)) = self.case(visit).zip(assessed) else {
            return Vec::new();
        };
        let derived = &assessed.derived;
        let mut drawn = self.excitation_charts(&case, core);
        drawn.extend(self.factor_chart(&case, derived, core));
        drawn.extend(self.ratio_charts(&case, derived, core));
        drawn.extend(self.wave_chart(derived, core));
        drawn
    }

    fn case(&self, index: usize) -> Option<Case<'a>> {
        let mut all = Case::each(self.record, self.instruments, self.criteria);
        all.nth(index)
    }

    /// `core 1S, 1S1-1S2`.
    fn core_pair(&self, pair: Pair) -> String {
        let core = self.record.cores.get(pair.core);
        let name = core.map_or("?", |core| core.name.as_str());
        format!("core {name}, {}", self.record.pair_text(pair))
    }

    /// A number with its unit for a label, in the reader's decimal mark.
    fn label(&self, value: f64, unit: &'static str) -> String {
        self.pen.quantity(&crate::judge::words::brief(value, unit))
    }
}
