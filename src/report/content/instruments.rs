//! Instruments with their calibration, and the rule by which verdicts were given.

use super::text::{NONE, day};
use super::{Ctx, chapter};
use crate::document::{Block, Cell, Grade, Inline, Table, Text};
use crate::ground::date::Date;
use crate::judge::decision::{describe, describe_factor};
use crate::judge::finding::{Finding, Verdict};
use crate::judge::verdict::expanded;

const HEADS: &[&str] = &[
    "Mark",
    "Instrument",
    "Manufacturer",
    "Serial number",
    "Calibrated",
    "Due",
    "Certificate",
    "On the day",
];

impl Ctx<'_> {
    /// The instruments and standards of the reported visit, each once, in order of use.
    pub(super) fn instruments(&self) -> Vec<Block> {
        let Some((_, visit)) = self.reported() else {
            return chapter("Instruments", vec![none_named()]);
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
        let rows = ids.iter().map(|id| self.instrument(id, visit.date.value));
        let block = if ids.is_empty() {
            none_named()
        } else {
            Block::Table(Table::grid(HEADS, rows.collect()).without_empty_columns())
        };
        chapter("Instruments", vec![block])
    }

    fn instrument(&self, id: &str, on: Date) -> Vec<Cell> {
        let known = self.subject.instruments.and_then(|all| all.find(id));
        let text = |text: &str| if text.is_empty() { NONE } else { text }.to_owned();
        let said = match known {
            Some(known) => [
                text(&known.what),
                text(&known.maker),
                text(&known.serial),
                day(known.calibrated),
                day(known.due),
                text(&known.certificate),
            ],
            None => {
                let broken = self.subject.instruments.is_some_and(|all| all.broken);
                let why = match broken {
                    true => "instruments.toml could not be read",
                    false => "not in instruments.toml",
                };
                [why, "", "", "", "", ""].map(text)
            }
        };
        // Whether its calibration held on the day of the visit.
        let (grade, word) = match known.and_then(|known| known.valid_on(on)) {
            Some(true) => (Grade::Pass, "valid"),
            Some(false) => (Grade::Fails, "not valid"),
            None => (Grade::Open, "not known"),
        };
        let mut cells = vec![Cell::from(id)];
        cells.extend(said.map(Cell::from));
        cells.push(Text::word(grade, word).into());
        cells
    }

    /// The sentences on decision and uncertainty, with a key to the grades.
    pub(super) fn decision(&self) -> Vec<Block> {
        let mut lines = vec![self.pen.say(&describe(self.criteria))];
        lines.push(self.pen.say(&format!(
            "± is the expanded uncertainty U with the coverage factor {}; it holds the limits of error of the instruments, the last \
             digit read and the spacing of the readings of a curve (JCGM 100:2008).",
            describe_factor(self.criteria)
        )));
        let judged = self
            .visit
            .map_or(&[][..], |visit| self.findings(visit))
            .iter()
            .filter(|finding| matches!(finding.verdict, Verdict::Word(_)))
            .filter_map(Finding::value)
            .filter(|value| expanded(self.w, *value, self.criteria).is_none());
        match judged.count() {
            0 => {}
            1 => lines.push(
                "1 value has an uncertainty that is known in part only; it has a word because it clears its limit by that part.".to_owned(),
            ),
            n => lines.push(format!(
                "{n} values have an uncertainty that is known in part only; they have a word because they clear their limit by that part."
            )),
        }
        if self.criteria.broken {
            let file = &self.criteria.file;
            lines.push(format!("{file} could not be read: nothing of it was used, and the decision rule is the program's default."));
        } else if self.criteria.file.is_empty() {
            lines.push("The job states no criteria of its own; the decision rule is the program's default.".to_owned());
        }
        let mut lines: Vec<Text> = lines.into_iter().map(Text::from).collect();
        lines.push(key());
        lines.push(
            "Sisters: CTs of the same bay or set with a core of the same name, ratio and class; \"of n\" says how many. \
             Percentages say by how much this value is off the one beside it."
                .into(),
        );
        vec![
            Block::heading(2, "How verdicts are given"),
            Block::List(lines),
        ]
    }
}

fn none_named() -> Block {
    Block::Paragraph(
        Text::word(Grade::Open, "not stated").plain(": the record names no instrument."),
    )
}

/// What each grade stands for.
fn key() -> Text {
    let mut said = Text::default();
    for (grade, meaning) in [
        (Grade::Fails, ": out of the limit, or a defect. "),
        (Grade::Review, ": for a person to weigh; see the list. "),
        (Grade::Open, ": no answer yet, and why. "),
        (Grade::Pass, ": within the limit. "),
        (Grade::Info, ": no limit, so no verdict."),
    ] {
        let word = Inline::Word(grade, grade.word().to_owned());
        said = said.and(word).plain(meaning);
    }
    said
}
