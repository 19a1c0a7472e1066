//! The chapters of the unit and of each core: values test by test, charts, other taps.

use super::Ctx;
use super::readings::{Sheet, Sheets};
use super::text::{self, NONE};
use super::values::Values;
use crate::judge::finding::{Finding, Whose};
use crate::record::kinds::TestKind;
use crate::record::value::Pair;
use crate::report::markdown::escape_markdown;
use serde::Serialize;
use std::collections::BTreeMap;

/// Heading over what is the circuit's and not the transformer's.
pub(super) const CIRCUIT: &str = "The circuit it serves";

/// A chart in the text.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Chart {
    pub id: String,
    /// For who cannot see it, and for the Markdown.
    pub alt: String,
    /// What everybody has to read beside it; empty for most.
    pub note: String,
}

/// One test of the unit or of a core.
#[derive(Debug, Serialize)]
pub(super) struct TestPart {
    pub title: String,
    pub values: Values,
    pub charts: Vec<Chart>,
}

/// One core.
#[derive(Debug, Serialize)]
pub(super) struct CorePart {
    pub title: String,
    /// The tap in service with its plate.
    pub plate: String,
    pub tests: Vec<TestPart>,
    pub other_taps: Vec<TestPart>,
}

/// A visit before the reported one.
#[derive(Debug, Serialize)]
pub(super) struct EarlierVisit {
    pub title: String,
    pub people: String,
    pub tests: Vec<TestPart>,
    pub readings: Vec<Sheet>,
}

impl Ctx<'_> {
    /// Findings of the unit as a whole.
    pub(super) fn unit_part(&self) -> Vec<TestPart> {
        let Some(visit) = self.visit else {
            return Vec::new();
        };
        let own: Vec<&Finding> = self
            .findings(visit)
            .iter()
            .filter(|finding| finding.core.is_none())
            .collect();
        self.tests(visit, None, &own)
    }

    pub(super) fn cores(&self, charts: &mut BTreeMap<String, String>) -> Vec<CorePart> {
        let Some(visit) = self.visit else {
            return Vec::new();
        };
        (0..self.record.cores.len())
            .filter_map(|core| self.core(visit, core, charts))
            .collect()
    }

    fn core(
        &self,
        visit: usize,
        index: usize,
        charts: &mut BTreeMap<String, String>,
    ) -> Option<CorePart> {
        let core = self.record.cores.get(index)?;
        let in_service = self.in_service(index);
        let main = in_service.or((core.marks.len() >= 2).then(|| Pair {
            core: index,
            from: 0,
            to: core.last_mark(),
        }));
        let is_main = |finding: &&Finding| {
            finding
                .pair
                .is_none_or(|pair| Some(pair.ascending()) == main)
        };
        let all = || {
            self.findings(visit)
                .iter()
                .filter(|finding| finding.core == Some(index))
        };
        let (own, other): (Vec<&Finding>, Vec<&Finding>) = all().partition(is_main);
        let mut tests = self.tests(visit, main, &own);
        for (title, chart, svg) in self.figures(visit, index) {
            charts.insert(chart.id.clone(), svg);
            match tests.iter_mut().find(|part| part.title == title) {
                Some(part) => part.charts.push(chart),
                None => tests.push(TestPart {
                    title: title.to_owned(),
                    values: Values::default(),
                    charts: vec![chart],
                }),
            }
        }
        let pair = main.map(|pair| core.pair_text(pair.from, pair.to));
        let heading = match (&pair, in_service) {
            (Some(pair), Some(_)) => format!("Core {}: {pair} in service", core.name),
            (Some(pair), None) => format!("Core {}: {pair}", core.name),
            (None, _) => format!("Core {}", core.name),
        };
        Some(CorePart {
            title: escape_markdown(&heading),
            plate: self.plate_line(index, main),
            tests,
            other_taps: self.tests(visit, main, &other),
        })
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
            class.map(|class| escape_markdown(&class.text())),
            burden.map(|burden| self.pen.burden(burden)),
            known.service.value().map(ToString::to_string),
        ];
        let line = parts.into_iter().flatten().collect::<Vec<_>>().join(", ");
        if line.is_empty() {
            NONE.to_owned()
        } else {
            line
        }
    }

    /// Findings grouped by test, in the order of a report; what is the circuit's comes last.
    fn tests(&self, visit: usize, main: Option<Pair>, findings: &[&Finding]) -> Vec<TestPart> {
        let part = |title: &str, own: Vec<&Finding>| {
            let values = || self.values(visit, main, own.iter().copied());
            (!own.is_empty()).then(|| TestPart {
                title: title.to_owned(),
                values: values(),
                charts: Vec::new(),
            })
        };
        let (circuit, ct): (Vec<&Finding>, Vec<&Finding>) = findings
            .iter()
            .copied()
            .partition(|finding| finding.whose == Whose::Circuit);
        let of = |kind: TestKind| {
            ct.iter()
                .copied()
                .filter(|finding| finding.test == kind)
                .collect::<Vec<_>>()
        };
        let tests = TestKind::ALL
            .iter()
            .copied()
            .filter_map(|kind| part(text::title(kind), of(kind)));
        tests.chain(part(CIRCUIT, circuit)).collect()
    }

    /// The visits before the reported one, latest first.
    pub(super) fn earlier(&self, sheets: &Sheets<'_>) -> Vec<EarlierVisit> {
        let Some(last) = self.visit else {
            return Vec::new();
        };
        let one = |index: usize| {
            let visit = self.record.visits.get(index)?;
            let purpose = visit
                .purpose
                .value()
                .map(|purpose| format!(", {purpose}"))
                .unwrap_or_default();
            let findings: Vec<&Finding> = self.findings(index).iter().collect();
            Some(EarlierVisit {
                title: escape_markdown(&format!("Visit {}{purpose}", visit.name())),
                people: format!(
                    "Tested by {}, reviewed by {}",
                    text::text(&visit.tested_by),
                    text::text(&visit.reviewed_by)
                ),
                tests: self.by_core(index, &findings),
                readings: sheets.within(self.range(index)),
            })
        };
        (0..last).rev().filter_map(one).collect()
    }

    /// Findings of a whole visit: the unit, then each core, one table each.
    fn by_core(&self, visit: usize, findings: &[&Finding]) -> Vec<TestPart> {
        let cores = std::iter::once(None).chain((0..self.record.cores.len()).map(Some));
        let part = |core: Option<usize>| {
            let own: Vec<&Finding> = findings
                .iter()
                .copied()
                .filter(|finding| finding.core == core)
                .collect();
            let name = core
                .and_then(|core| self.record.cores.get(core))
                .map(|core| format!("Core {}", escape_markdown(&core.name)));
            (!own.is_empty()).then(|| TestPart {
                title: name.unwrap_or_else(|| "Unit".to_owned()),
                values: self.values(visit, None, own.into_iter()),
                charts: Vec::new(),
            })
        };
        cores.filter_map(part).collect()
    }
}
