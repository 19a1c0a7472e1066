//! The curves, and the annex of all values: of the unit and of each core, test by test.

use super::text::{self, NONE};
use super::{Ctx, chapter};
use crate::document::{Block, Figure, Picture, joined};
use crate::judge::finding::Finding;
use crate::judge::rules::Whose;
use crate::record::kinds::TestKind;
use crate::trade::{Class, Pair};

/// What a part of a core's chapter is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Topic {
    Test(TestKind),
    /// What is the circuit's and not the transformer's, or is worked out for a circuit.
    Circuit,
}

impl Topic {
    fn title(self) -> &'static str {
        match self {
            Self::Test(kind) => kind.title(),
            Self::Circuit => "The circuit it serves",
        }
    }
}

/// A chart in the text.
#[derive(Clone, Debug)]
pub(super) struct Chart {
    pub id: String,
    /// For the Markdown, and for who cannot see it.
    pub alt: String,
    /// What everybody has to read beside it; empty for most.
    pub note: String,
}

/// One test of the unit or of a core.
struct Part {
    topic: Topic,
    blocks: Vec<Block>,
}

impl Part {
    fn under(self, level: u8) -> impl Iterator<Item = Block> {
        std::iter::once(Block::heading(level, self.topic.title())).chain(self.blocks)
    }
}

impl Ctx<'_> {
    /// The annex of all values: the plate as a table, the unit as a whole, then each core.
    pub(super) fn values_annex(&self) -> Vec<Block> {
        let Some(visit) = self.visit else {
            return Vec::new();
        };
        let own = |finding: &&Finding| finding.core.is_none();
        let unit: Vec<&Finding> = self.findings(visit).iter().filter(own).collect();
        let unit = self.tests(visit, None, &unit);
        let mut blocks = Vec::new();
        if let Some(plate) = self.plate_table() {
            blocks.push(Block::heading(3, "Rating plate"));
            blocks.push(Block::Table(plate));
        }
        if !unit.is_empty() {
            blocks.push(Block::heading(3, "Unit"));
            blocks.extend(unit.into_iter().flat_map(|part| part.under(4)));
        }
        for core in 0..self.record.cores.len() {
            blocks.extend(self.core(visit, core));
        }
        chapter("All values", blocks)
    }

    /// The charts of what was measured, core by core.
    pub(super) fn curves(&self) -> Vec<Block> {
        let cores = 0..self.record.cores.len();
        let charts: Vec<Block> = cores.flat_map(|core| self.charts(core, true)).collect();
        match charts.is_empty() {
            true => charts,
            false => vec![Block::chapter("Curves"), Block::Group("charts", charts)],
        }
    }

    /// The charts of a core at the last visit that has any: those of what was measured, or those that are
    /// information.
    fn charts(&self, core: usize, measured: bool) -> Vec<Block> {
        let visits = self.subject.visits.iter().rev();
        let mut all = visits.filter_map(|visit| self.figures(*visit, core, measured));
        let own = all.next().unwrap_or_default().into_iter();
        own.flat_map(|(chart, svg)| drawn(chart, svg)).collect()
    }

    fn core(&self, visit: usize, index: usize) -> Vec<Block> {
        let Some(core) = self.record.cores.get(index) else {
            return Vec::new();
        };
        let main = Some(self.main_pair(index));
        let is_main = |finding: &&Finding| {
            finding
                .pair
                .is_none_or(|pair| Some(pair.ascending()) == main)
        };
        let all = self.findings(visit).iter();
        let (own, other): (Vec<&Finding>, Vec<&Finding>) = all
            .filter(|finding| finding.core == Some(index))
            .partition(is_main);
        let mut blocks = vec![Block::heading(3, format!("Core {}", core.name))];
        let tests = self.tests(visit, main, &own).into_iter();
        blocks.extend(tests.flat_map(|part| part.under(4)));
        blocks.extend(self.charts(index, false));
        let other = self.tests(visit, main, &other);
        if !other.is_empty() {
            blocks.push(Block::Folded {
                level: 4,
                summary: "Other taps".into(),
                blocks: other.into_iter().flat_map(|part| part.under(5)).collect(),
            });
        }
        blocks
    }

    /// `600/1 A, 5P20, 15 VA, protection`.
    pub(super) fn plate_line(&self, core: usize, pair: Option<Pair>) -> String {
        let Some(known) = self.record.cores.get(core) else {
            return NONE.to_owned();
        };
        let full = pair.is_none_or(|pair| known.is_full(pair));
        let tap = pair.and_then(|pair| known.tap(pair.from, pair.to));
        let ratio = tap
            .and_then(|tap| tap.ratio.value().copied())
            .or(known.full_ratio().filter(|_| full));
        let class = pair
            .and_then(|pair| known.class_of(pair))
            .or(known.class.value().filter(|_| full));
        let burden = tap
            .and_then(|tap| tap.burden.value())
            .or(known.burden.value().filter(|_| full));
        let parts = [
            ratio.map(|ratio| text::ratio(self.record, ratio)),
            class.map(Class::text),
            burden.map(|burden| self.burden(burden)),
            known.service.value().map(ToString::to_string),
        ];
        match joined(parts, ", ") {
            line if line.is_empty() => NONE.to_owned(),
            line => line,
        }
    }

    /// Findings grouped by test, in the order of a report; what is the circuit's comes last.
    fn tests(&self, visit: usize, main: Option<Pair>, findings: &[&Finding]) -> Vec<Part> {
        let of = |topic: Topic, finding: &Finding| match topic {
            Topic::Circuit => finding.rule.whose == Whose::Circuit,
            Topic::Test(kind) => finding.rule.whose != Whose::Circuit && finding.rule.kind == kind,
        };
        let part = |topic: Topic| {
            let own = findings.iter().copied();
            let own: Vec<&Finding> = own.filter(|finding| of(topic, finding)).collect();
            let blocks = self.value_table(visit, main, own.into_iter());
            (!blocks.is_empty()).then_some(Part { topic, blocks })
        };
        let topics = TestKind::ALL.iter().map(|kind| Topic::Test(*kind));
        topics.chain([Topic::Circuit]).filter_map(part).collect()
    }

    /// The visits before the reported one, latest first.
    pub(super) fn earlier(&self) -> Vec<Block> {
        let before = 0..self.visit.unwrap_or(0);
        let blocks = before.rev().flat_map(|index| self.earlier_visit(index));
        chapter("Earlier visits", blocks.collect())
    }

    fn earlier_visit(&self, index: usize) -> Vec<Block> {
        let Some(visit) = self.record.visits.get(index) else {
            return Vec::new();
        };
        let visited = joined([Some(visit.name()), visit.purpose.value().cloned()], ", ");
        let people = format!(
            "Tested by {}, reviewed by {}",
            text::text(&visit.tested_by),
            text::text(&visit.reviewed_by)
        );
        let mut blocks = vec![
            Block::heading(3, format!("Visit {visited}")),
            Block::paragraph(people),
        ];
        blocks.extend(self.by_core(index));
        let written = self.written_within(self.range(index), 5);
        if !written.is_empty() {
            blocks.push(Block::Folded {
                level: 4,
                summary: "Readings of this visit".into(),
                blocks: written,
            });
        }
        blocks
    }

    /// Findings of a whole visit: the unit, then each core, one table each.
    fn by_core(&self, visit: usize) -> Vec<Block> {
        let cores = std::iter::once(None).chain((0..self.record.cores.len()).map(Some));
        let part = |core: Option<usize>| {
            let own = |finding: &&Finding| finding.core == core;
            let own: Vec<&Finding> = self.findings(visit).iter().filter(own).collect();
            if own.is_empty() {
                return Vec::new();
            }
            let name = core.map_or_else(
                || "Unit".to_owned(),
                |core| format!("Core {}", self.core_name(core)),
            );
            let mut blocks = vec![Block::heading(4, name)];
            blocks.extend(self.value_table(visit, None, own.into_iter()));
            blocks
        };
        cores.flat_map(part).collect()
    }
}

pub(super) fn drawn(chart: Chart, svg: String) -> Vec<Block> {
    let figure = Block::Figure(Figure {
        key: chart.id,
        picture: Picture {
            element: svg,
            ..Picture::default()
        },
        instead: format!("Chart: {}", chart.alt).into(),
    });
    if chart.note.is_empty() {
        vec![figure]
    } else {
        vec![figure, Block::paragraph(chart.note)]
    }
}
