//! The verdict lines of transformer, circuit and way of measuring, and what is wrong or deserves a look.

use super::{Ctx, listed};
use crate::document::{Block, Grade, Text};
use crate::judge::standing::Told;
use crate::record::visit::Visit;
use crate::report::summary::Summary;

impl Ctx<'_> {
    /// A line for each, with its scope.
    pub(super) fn verdict(&self) -> Vec<Block> {
        let summary = &self.subject.summary;
        let mut lines = Vec::new();
        if !summary.readable {
            let why = ": a line of it, or of the criteria or instruments, is not understood, so that nothing passes as a whole";
            lines.push(Text::word(Grade::Fails, "Record: not readable").plain(why));
        }
        let owners = [
            ("Transformer", &summary.transformer),
            ("Circuit", &summary.circuit),
        ];
        for (name, sum) in owners {
            lines.push(match sum {
                Some(sum) => {
                    let word = format!("{name}: {}", sum.word());
                    let word = match sum.grade() {
                        Some(grade) => Text::word(grade, word),
                        None => Text::strong(word),
                    };
                    word.join(self.phrase(&sum.scope()))
                }
                None if self.visit.is_none() => {
                    let word = format!("{name}: not tested");
                    Text::word(Grade::Open, word).plain(", the record has no visit")
                }
                None => Text::strong(format!("{name}: nothing asked")),
            });
        }
        lines.extend(self.measurement(summary));
        let caution = "A verdict is never a clearance to energise. Local rules, the permit and the person in charge decide.";
        lines.push(caution.into());
        let lines = lines.into_iter().map(Block::Paragraph);
        vec![Block::Group("verdict", lines.collect())]
    }

    /// Whether something has to be measured again; nothing where nothing was measured.
    fn measurement(&self, summary: &Summary) -> Option<Text> {
        self.visit?;
        Some(match (self.claims.measurement(), summary.measurement) {
            (Some(said), Some(grade)) => Text::word(grade, "Measurement")
                .plain(": ")
                .join(self.phrase(&said)),
            (_, Some(Grade::Open)) => {
                Text::word(Grade::Open, "Measurement: open").plain(", see what is not resolved")
            }
            _ => Text::word(Grade::Pass, "Measurement: no fault of it found"),
        })
    }

    /// What fails or is for review, also of earlier visits.
    pub(super) fn looks(&self) -> Vec<Block> {
        let wrong = self.listed_by("What is wrong", Grade::Fails);
        let review = self.listed_by("What deserves a look", Grade::Review);
        wrong.into_iter().chain(review).collect()
    }

    /// What stays open beside the requirements, whose rows say so themselves.
    pub(super) fn unresolved(&self) -> Vec<Block> {
        self.listed_by("What is not resolved", Grade::Open)
    }

    fn listed_by(&self, title: &str, grade: Grade) -> Vec<Block> {
        let is_told = |told: &Told<'_>| {
            let mut evidence = self.claims.shown.iter().flat_map(|one| &one.evidence);
            told.grade() == Grade::Open
                && evidence.any(|one| one.visit == told.visit && one.is_same(told))
        };
        let all = self.claims.counted();
        let all = all.filter(|told| told.grade() == grade && !is_told(told));
        let all = all.map(|told| {
            let look = self.look(told);
            if self.subject.visits.contains(&told.visit) {
                return look;
            }
            let visit = self.record.visits.get(told.visit).map(Visit::name);
            let when = format!("; visit {}; not answered since", visit.unwrap_or_default());
            look.plain(when)
        });
        listed(2, title, all.collect())
    }
}
