//! The charts of a core: what is drawn, never how.

mod excitation;
mod factor;
mod metering;
mod ratio;
mod wave;

use super::Ctx;
use super::cores::{Chart as Placed, Topic};
use crate::chart::{Chart, Pen};
use crate::derive::case::Case;
use crate::record::kinds::TestKind;
use crate::trade::Pair;

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
        }
    }

    /// What it is about.
    fn topic(self) -> Topic {
        match self {
            Self::Excitation | Self::Factor => Topic::Test(TestKind::Excitation),
            Self::RatioError | Self::Phase | Self::Metering => Topic::Test(TestKind::Ratio),
            Self::Wave => Topic::Circuit,
        }
    }
}

/// A chart of a kind.
struct Figure {
    kind: Kind,
    chart: Chart,
}

impl Figure {
    fn new(kind: Kind, chart: Chart) -> Self {
        Self { kind, chart }
    }

    /// What everybody has to read beside the chart, and what stands in for it in the Markdown.
    fn note_and_alt(&self) -> (&str, String) {
        let Chart {
            title, description, ..
        } = &self.chart;
        match self.kind {
            Kind::Wave => (description, title.clone()),
            _ => ("", format!("{title}. {description}")),
        }
    }
}

impl<'a> Ctx<'a> {
    /// The charts of a core at a visit: what they are about, chart, its SVG.
    pub(super) fn figures(&self, visit: usize, core: usize) -> Vec<(Topic, Placed, String)> {
        let Some(case) = self.case(visit) else {
            return Vec::new();
        };
        let mut drawn = self.excitation_charts(&case, core);
        drawn.extend(self.factor_chart(&case, core));
        drawn.extend(self.ratio_charts(&case, core));
        drawn.extend(self.wave_chart(&case, core));
        let mut seen: Vec<Kind> = Vec::new();
        let mut placed = |figure: Figure| {
            seen.push(figure.kind);
            let count = seen.iter().filter(|kind| **kind == figure.kind).count();
            let id = format!("{}-core{core}-{}-{count}", self.slug, figure.kind.name());
            let (note, alt) = figure.note_and_alt();
            let note = note.to_owned();
            let svg = figure.chart.svg(&id);
            (figure.kind.topic(), Placed { id, alt, note }, svg)
        };
        drawn.into_iter().map(&mut placed).collect()
    }

    fn case(&self, visit: usize) -> Option<Case<'a>> {
        let record = self.record;
        let one = record.visits.get(visit)?;
        Some(Case {
            record,
            visit: one,
            index: visit,
            instruments: self.subject.instruments,
            criteria: self.criteria,
        })
    }

    /// `core 1S, 1S1-1S2`.
    fn core_pair(&self, pair: Pair) -> String {
        let core = self.record.cores.get(pair.core);
        let name = core.map_or("?", |core| core.name.as_str());
        format!("core {name}, {}", self.record.pair_text(pair))
    }

    /// A number with its unit for a label, in the reader's decimal mark.
    fn label(&self, si: f64, unit: &'static str) -> String {
        let (value, unit) = match unit {
            "A" if si.abs() < 1.0 => (si * 1e3, "mA"),
            _ => (si, unit),
        };
        self.pen.quantity(&crate::judge::words::brief(value, unit))
    }
}
