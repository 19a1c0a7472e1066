//! The verdict lines, one for the CT and one for the circuit, what was required and what was shown of
//! it, and what deserves a look.

use super::text::NONE;
use super::{Ctx, chapter, listed};
use crate::document::{Block, Cell, Grade, Table, Text};
use crate::judge::finding::Finding;
use crate::judge::requirement::{Shown, Sum};
use crate::judge::words;
use crate::record::visit::Visit;
use crate::report::summary::{Summary, claims};

impl Ctx<'_> {
    /// The verdict of transformer and circuit, on lines of their own.
    pub(super) fn verdict(&self, summary: &Summary) -> Vec<Block> {
        let mut lines = Vec::new();
        if !summary.readable {
            let why = "not readable: a line of it, or of the criteria or instruments, is not understood, so that nothing passes as a whole";
            lines.push(("Record", Text::word(Grade::Fails, why)));
        }
        let owners = [
            ("Transformer", &summary.transformer),
            ("Circuit it serves", &summary.circuit),
        ];
        for (name, sum) in owners {
            let said = sum
                .as_ref()
                .map_or_else(|| "– nothing required".into(), |sum| self.sum(sum));
            lines.push((name, said));
        }
        // The third line only speaks when something is to be said.
        if let Some(grade) = summary.measurement.filter(|grade| *grade >= Grade::Review) {
            lines.push(("Way of measuring", Text::grade(grade).plain(": see below")));
        }
        let caution = "A verdict is never a clearance to energise. Local rules, the permit and the person in charge decide.";
        let blocks = vec![Block::Table(Table::facts(lines)), Block::paragraph(caution)];
        chapter("Verdict", blocks)
    }

    fn sum(&self, sum: &Sum) -> Text {
        Text::word(sum.overall.grade(), sum.word()).join(self.phrase(&sum.scope()))
    }

    /// Every requirement that the visit asks for or that was tested, with what was shown of it.
    pub(super) fn required(&self) -> Vec<Block> {
        let claims = claims(self.subject);
        let (asked, rest): (Vec<&Shown<'_>>, Vec<&Shown<'_>>) = claims
            .shown
            .iter()
            .partition(|one| one.required.due || !one.evidence.is_empty());
        let rows = asked.iter().map(|one| {
            let evidence = one
                .evidence
                .iter()
                .map(|told| &**told)
                .max_by_key(|one| (one.grade(), one.headline));
            let name = self.phrase(&claims.name(one));
            let why = one
                .standing
                .why()
                .map_or_else(Text::default, |why| self.phrase(&why));
            let mut word = Text::word(one.standing.grade(), one.standing.word());
            if !why.is_empty() {
                word = word.plain(": ").join(why);
            }
            // Why a test is not there is the record's to say; what it would be, is ours.
            if let Some(needs) = one.needs() {
                word = word.plain(format!("; needs {needs}"));
            }
            if let Some(visit) = one.earlier.and_then(|visit| self.record.visits.get(visit)) {
                word = word.plain(format!(" (visit {})", visit.name()));
            }
            let cells = [name, self.limit_of(evidence), self.found_of(evidence), word];
            cells.map(Cell::from).into()
        });
        let rows: Vec<Vec<Cell>> = rows.collect();
        if rows.is_empty() {
            return Vec::new();
        }
        let heads = ["required", "limit", "found", "shown"];
        let mut blocks = vec![Block::Table(
            Table::grid(&heads, rows).without_empty_columns(),
        )];
        if !rest.is_empty() {
            let names = claims.names(&rest);
            let said =
                Text::from("Not asked for at this visit, and not shown by any test on record: ");
            blocks.push(Block::Note(said.join(self.phrase(&names)).plain(".")));
        }
        chapter("What was required and what was shown", blocks)
    }

    fn limit_of(&self, finding: Option<&Finding>) -> Text {
        let limit = finding.map(words::limit).filter(|limit| !limit.is_empty());
        limit.map_or_else(|| NONE.into(), |limit| self.phrase(&limit))
    }

    fn found_of(&self, finding: Option<&Finding>) -> Text {
        let Some(finding) = finding else {
            return NONE.into();
        };
        let found = words::found(self.w, self.criteria, finding);
        match (found.is_empty(), finding.observed.is_empty()) {
            (false, _) => self.phrase(&found),
            (true, false) => self.phrase(&finding.observed),
            (true, true) => NONE.into(),
        }
    }

    /// What fails, is for review or stays open, the first two also of earlier visits.
    pub(super) fn looks(&self) -> Vec<Block> {
        let claims = claims(self.subject);
        let all = claims.counted().map(|told| {
            let look = self.look(told);
            if Some(told.visit) == self.visit {
                return (told.grade(), look);
            }
            let visit = self.record.visits.get(told.visit).map(Visit::name);
            let when = format!("; visit {}; not answered since", visit.unwrap_or_default());
            (told.grade(), look.plain(when))
        });
        let all: Vec<(Grade, Text)> = all.collect();
        let part = |(title, grade)| {
            let own = all.iter().filter(|(of, _)| *of == grade);
            listed(2, title, own.map(|(_, text)| text.clone()).collect())
        };
        [
            ("Fails", Grade::Fails),
            ("For review", Grade::Review),
            ("Unresolved", Grade::Open),
        ]
        .into_iter()
        .flat_map(part)
        .collect()
    }
}
