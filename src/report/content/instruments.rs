//! Instruments with their calibration, and the rule by which verdicts were given.

use super::{Ctx, listed};
use crate::document::{Block, Grade, Inline, Text, joined};
use crate::ground::date::Date;
use crate::judge::decision::{describe, describe_factor};
use crate::judge::finding::{Finding, Verdict};
use crate::judge::verdict::expanded;
use crate::judge::words::OF_A_BOUND;

impl Ctx<'_> {
    /// The instruments and standards of the reported visits, each on one line, in order of use.
    pub(super) fn instruments(&self) -> Vec<Block> {
        let mut used: Vec<(&String, Date)> = Vec::new();
        for visit in self.visits() {
            let named = [&visit.instrument, &visit.reference].into_iter();
            let tests = visit.own_tests();
            let tests = tests.flat_map(|test| [&test.instrument, &test.reference]);
            for id in named.chain(tests).filter_map(|given| given.value()) {
                // The last day of use is the one that a calibration has to hold on.
                match used.iter_mut().find(|(known, _)| *known == id) {
                    Some((_, day)) => *day = visit.date.value,
                    None => used.push((id, visit.date.value)),
                }
            }
        }
        let lines = used.iter().map(|(id, on)| self.instrument(id, *on));
        let mut lines: Vec<Text> = lines.collect();
        if lines.is_empty() {
            let why = ": the record names no instrument.";
            lines.push(Text::word(Grade::Open, "not stated").plain(why));
        }
        listed(2, "Instruments", lines)
    }

    /// `M1: test set, maker, serial number 12; calibrated 2026-02-03, due 2027-02-03, certificate 7; ● valid`.
    fn instrument(&self, id: &str, on: Date) -> Text {
        let known = self.subject.instruments.and_then(|all| all.find(id));
        let said = match known {
            Some(known) => {
                let stated = |text: &str| Some(text.to_owned()).filter(|text| !text.is_empty());
                let named = |name: &str, text: Option<String>| Some(format!("{name} {}", text?));
                let day = |day: Option<Date>| day.map(|day| day.to_string());
                let what = [
                    stated(&known.what),
                    stated(&known.maker),
                    named("serial number", stated(&known.serial)),
                ];
                let calibrated = [
                    named("calibrated", day(known.calibrated)),
                    named("due", day(known.due)),
                    named("certificate", stated(&known.certificate)),
                ];
                let parts = [joined(what, ", "), joined(calibrated, ", ")];
                joined(
                    parts.map(|part| Some(part).filter(|part| !part.is_empty())),
                    "; ",
                )
            }
            None => match self.subject.instruments.is_some_and(|all| all.broken) {
                true => "instruments.toml could not be read".to_owned(),
                false => "not in instruments.toml".to_owned(),
            },
        };
        // Whether its calibration held on the day of the visit.
        let (grade, word) = match known.and_then(|known| known.valid_on(on)) {
            Some(true) => (Grade::Pass, "valid"),
            Some(false) => (Grade::Fails, "not valid"),
            None => (Grade::Open, "validity not known"),
        };
        let word = Inline::Word(grade, format!("{word} on {on}"));
        Text::strong(id).plain(format!(": {said}; ")).and(word)
    }

    /// How verdicts are given. A pack says so at its front; what was not used is told wherever it counts.
    pub(super) fn decision(&self) -> Vec<Block> {
        if !self.options.rule && !self.criteria.broken {
            return Vec::new();
        }
        let mut lines = vec![self.pen.say(&describe(self.criteria))];
        lines.push(self.pen.say(&format!(
            "± is the expanded uncertainty U with the coverage factor {}; it holds the limits of error of the instruments, the last \
             digit read and the spacing of the readings of a curve (JCGM 100:2008). {OF_A_BOUND}",
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
        let note = Block::Note(lines.join(" ").into());
        vec![Block::heading(2, "How verdicts are given"), note]
    }
}
