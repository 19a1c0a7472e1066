//! Instruments with their calibration, and the rule by which verdicts were given.

use super::Ctx;
use super::text::{NONE, day};
use crate::derive::workings::Value;
use crate::judge::decision::describe;
use crate::judge::finding::Verdict;
use crate::judge::verdict::{expanded, rule};
use crate::report::markdown::escape_markdown;
use serde::Serialize;

#[derive(Debug, Serialize)]
pub(super) struct InstrumentRow {
    pub id: String,
    pub what: String,
    pub maker: String,
    pub serial: String,
    pub calibrated: String,
    pub due: String,
    pub certificate: String,
    /// Whether its calibration held on the day of the visit.
    pub valid: String,
}

impl Ctx<'_> {
    /// The instruments and standards of the reported visit, each once, in order of use.
    pub(super) fn instruments(&self) -> Vec<InstrumentRow> {
        let Some((_, visit)) = self.reported() else {
            return Vec::new();
        };
        let named = [&visit.instrument, &visit.reference].into_iter();
        let tests = visit
            .tests
            .iter()
            .flat_map(|test| [&test.instrument, &test.reference]);
        let mut ids: Vec<&String> = Vec::new();
        for id in named.chain(tests).filter_map(|given| given.value()) {
            if !ids.contains(&id) {
                ids.push(id);
            }
        }
        ids.into_iter()
            .map(|id| self.instrument(id, visit.date.value))
            .collect()
    }

    fn instrument(&self, id: &str, on: crate::ground::date::Date) -> InstrumentRow {
        let dash = || NONE.to_owned();
        let known = self.subject.instruments.and_then(|all| all.find(id));
        let Some(known) = known else {
            let what = "not in instruments.toml".to_owned();
            return InstrumentRow {
                id: escape_markdown(id),
                what,
                maker: dash(),
                serial: dash(),
                calibrated: dash(),
                due: dash(),
                certificate: dash(),
                valid: "**○ not known**".to_owned(),
            };
        };
        let text = |text: &str| {
            if text.is_empty() {
                NONE.to_owned()
            } else {
                escape_markdown(text)
            }
        };
        InstrumentRow {
            id: escape_markdown(id),
            what: text(&known.what),
            maker: text(&known.maker),
            serial: text(&known.serial),
            calibrated: day(known.calibrated),
            due: day(known.due),
            certificate: text(&known.certificate),
            valid: match known.valid_on(on) {
                Some(true) => "**● valid**".to_owned(),
                Some(false) => "**■ not valid**".to_owned(),
                None => "**○ not known**".to_owned(),
            },
        }
    }

    /// The sentences on decision and uncertainty.
    pub(super) fn decision(&self) -> Vec<String> {
        let mut lines = vec![self.pen.say(&describe(rule(self.criteria)))];
        lines.push(self.pen.say(&format!(
            "± is the expanded uncertainty U with the coverage factor k = {}; it holds the limits of error of the instruments, the last \
             digit read and the spacing of the readings of a curve (JCGM 100:2008).",
            self.criteria.k
        )));
        let judged = self
            .visit
            .map_or(&[][..], |visit| self.findings(visit))
            .iter()
            .filter(|finding| {
                let value: Option<Value> = finding.found.value();
                let unknown =
                    value.is_some_and(|value| expanded(self.w, value, self.criteria).is_none());
                matches!(finding.verdict, Verdict::Word(_)) && unknown
            });
        match judged.count() {
            0 => {}
            1 => lines.push(
                "1 value has no known uncertainty; it is judged by simple acceptance.".to_owned(),
            ),
            n => lines.push(format!(
                "{n} values have no known uncertainty; they are judged by simple acceptance."
            )),
        }
        if self.criteria.file.is_empty() {
            lines.push("The job states no criteria of its own; the decision rule is the program's default.".to_owned());
        }
        lines
    }
}
