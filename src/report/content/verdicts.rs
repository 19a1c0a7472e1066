//! The verdict lines of transformer, circuit and way of measuring, and what is wrong or deserves a look.

use super::Ctx;
use crate::document::{Block, Grade, Table, Text};
use crate::judge::standing::Told;
use crate::judge::words;
use crate::record::visit::Visit;
use crate::report::summary::Summary;

/// Stands wherever a verdict does.
pub const NO_CLEARANCE: &str = "A verdict is never a clearance to energise. Local rules, the permit and the person in charge decide.";

impl Ctx<'_> {
    /// A line for each, with its scope.
    pub(super) fn verdict(&self) -> Vec<Block> {
        let summary = &self.subject.summary;
        let mut lines = Vec::new();
        if !summary.readable {
            let of_job =
                self.criteria.broken || self.subject.instruments.is_some_and(|all| all.broken);
            let (what, why) = match of_job {
                true => (
                    "Job: not readable",
                    ": a line of its criteria or instruments",
                ),
                false => ("Record: not readable", ": a line of it"),
            };
            let why = format!("{why} is not understood, so that nothing passes as a whole");
            lines.push(Text::word(Grade::Fails, what).plain(why));
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
        lines.push(NO_CLEARANCE.into());
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

    /// Causes with what they explain first, then what stands by itself.
    fn listed_by(&self, title: &'static str, grade: Grade) -> Vec<Block> {
        let is_told = |told: &Told<'_>| {
            let mut evidence = self.claims.shown.iter().flat_map(|one| &one.evidence);
            told.grade() == Grade::Open
                && evidence.any(|one| one.visit == told.visit && one.is_same(told))
        };
        let all = || self.claims.counted().filter(|told| !is_told(told));
        let bad = |told: &&Told<'_>| told.grade() >= Grade::Review;
        let causes: Vec<&Told<'_>> = all().filter(|told| told.because.is_some()).collect();
        let mut blocks = Vec::new();
        for cause in &causes {
            let explains = all().filter(bad).filter(|told| cause.explains(told));
            let explains: Vec<&Told<'_>> = explains.collect();
            let grades = explains.iter().map(|told| told.grade());
            if grades.fold(cause.grade(), Grade::max) == grade {
                blocks.push(self.cause(cause, &explains));
            }
        }
        let folded = |told: &Told<'_>| {
            let explained = causes.iter().any(|cause| cause.explains(told));
            told.because.is_some() || explained && bad(&told)
        };
        let alone = all().filter(|told| told.grade() == grade && !folded(told));
        let alone: Vec<Text> = alone.map(|told| self.looked_at(told)).collect();
        if !alone.is_empty() {
            blocks.push(Block::List(alone));
        }
        if !blocks.is_empty() {
            blocks.insert(0, Block::heading(2, title));
        }
        blocks
    }

    /// A finding on a line, with its visit where that is not the one reported.
    fn looked_at(&self, told: &Told<'_>) -> Text {
        let look = self.look(told);
        if self.subject.visits.contains(&told.visit) {
            return look;
        }
        let visit = self.record.visits.get(told.visit).map(Visit::name);
        let when = format!("; visit {}; not answered since", visit.unwrap_or_default());
        look.plain(when)
    }

    /// A cause over what stands behind it and what it explains.
    fn cause(&self, cause: &Told<'_>, explains: &[&Told<'_>]) -> Block {
        let behind = words::reasons(cause);
        let behind = behind.into_iter().flat_map(|(word, all)| {
            let words = std::iter::once(word).chain(std::iter::repeat(""));
            words.zip(all.into_iter().map(|said| self.phrase(&said)))
        });
        let words = std::iter::once("explains").chain(std::iter::repeat(""));
        let explains = words.zip(explains.iter().map(|told| self.explained(told)));
        let rows: Vec<(&str, Text)> = behind.chain(explains).collect();
        let head = Block::Paragraph(self.looked_at(cause));
        Block::Group("cause", vec![head, Block::Table(Table::facts(rows))])
    }
}
