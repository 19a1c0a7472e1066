//! The charts of a core: what is drawn, never how.

mod excitation;
mod factor;
mod ratio;
mod wave;

use super::Ctx;
use super::cores::{CIRCUIT, Chart};
use super::text::title;
use crate::derive::case::Case;
use crate::record::value::Pair;
use crate::report::markdown::escape_markdown;

/// A chart with the heading it belongs under.
pub(super) type Figure = (&'static str, Chart, String);

impl<'a> Ctx<'a> {
    /// The charts of a core at a visit.
    pub(super) fn figures(&self, visit: usize, core: usize) -> Vec<Figure> {
        let Some(case) = self.case(visit) else {
            return Vec::new();
        };
        let mut drawn = self.excitation_charts(&case, core);
        drawn.extend(self.factor_chart(&case, core));
        drawn.extend(self.ratio_charts(&case, core));
        let mut drawn: Vec<(&str, Drawing)> = drawn
            .into_iter()
            .map(|(kind, drawing)| (title(kind), drawing))
            .collect();
        drawn.extend(
            self.wave_chart(&case, core)
                .map(|drawing| (CIRCUIT, drawing)),
        );
        let numbered = drawn
            .into_iter()
            .enumerate()
            .map(|(index, (heading, drawing))| {
                let id = format!("{}-core{core}-{index}", self.slug);
                let svg = drawing.svg(&id);
                (
                    heading,
                    Chart {
                        id,
                        alt: escape_markdown(&drawing.alt()),
                        note: escape_markdown(drawing.note()),
                    },
                    svg,
                )
            });
        numbered.collect()
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
        let core = self
            .record
            .cores
            .get(pair.core)
            .map_or("?", |core| core.name.as_str());
        format!("core {core}, {}", self.record.pair_text(pair))
    }

    /// A number with its unit for a label, in the reader's decimal mark.
    fn label(&self, si: f64, unit: &str) -> String {
        let (value, unit) = if unit == "A" && si.abs() < 1.0 {
            (si * 1e3, "mA")
        } else {
            (si, unit)
        };
        let text = crate::judge::say::rounded(value, 4);
        let text = if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        } else {
            text
        };
        format!(
            "{} {unit}",
            if self.pen.comma {
                text.replace('.', ",")
            } else {
                text
            }
        )
    }
}

/// One of the kinds of charts.
enum Drawing {
    Excitation(crate::report::curves::Excitation),
    Ratio(crate::report::curves::RatioErrors),
    Parallelogram(crate::report::curves::Parallelogram),
    Factor(crate::report::curves::FactorOverBurden),
    Wave(crate::report::curves::Waveform),
}

impl Drawing {
    fn svg(&self, id: &str) -> String {
        match self {
            Self::Excitation(chart) => chart.svg(id),
            Self::Ratio(chart) => chart.svg(id),
            Self::Parallelogram(chart) => chart.svg(id),
            Self::Factor(chart) => chart.svg(id),
            Self::Wave(chart) => chart.svg(id),
        }
    }

    /// What must stand under the chart in so many words.
    fn note(&self) -> &str {
        match self {
            Self::Wave(chart) => &chart.description,
            _ => "",
        }
    }

    /// Title and description, for the Markdown.
    fn alt(&self) -> String {
        let (title, description) = match self {
            Self::Excitation(chart) => (&chart.title, &chart.description),
            Self::Ratio(chart) => (&chart.title, &chart.description),
            Self::Parallelogram(chart) => (&chart.title, &chart.description),
            Self::Factor(chart) => (&chart.title, &chart.description),
            Self::Wave(chart) => (&chart.title, &chart.description),
        };
        if self.note().is_empty() {
            format!("{title}. {description}")
        } else {
            title.clone()
        }
    }
}
