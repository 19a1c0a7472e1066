//! As found and as left: what was cured on the day, beside what it was.

use super::Ctx;
use super::history::change;
use super::values::marked;
use crate::compare::{Cured, cured};
use crate::document::{Block, Cell, Grade, Table, Text, say};
use crate::judge::finding::Finding;
use crate::judge::words;
use crate::record::visit::Visit;

const HEADS: &[&str] = &["What", "As found", "As left", "Change"];

impl Ctx<'_> {
    /// A table for each of the visits that found something and made it again.
    pub(super) fn as_found(&self) -> Vec<Block> {
        let visits = self.subject.visits.iter();
        let parts = visits.flat_map(|visit| self.cured(*visit));
        parts.collect()
    }

    fn cured(&self, visit: usize) -> Vec<Block> {
        let all = cured(self.record, self.assessment, self.criteria, visit).into_iter();
        let all: Vec<Cured<'_>> = all.filter(|one| self.is_result(one.found)).collect();
        if all.is_empty() {
            return Vec::new();
        }
        let day = self.record.visits.get(visit).map(Visit::name);
        let title = format!("{}, and as left", day.unwrap_or_default());
        let rows = all.iter().map(|one| self.cured_row(one)).collect();
        let note = "What was found and is as it should be as left stands no more against the transformer or its circuit.";
        vec![
            Block::heading(2, title),
            Block::Table(Table::grid(HEADS, rows).without_empty_columns()),
            Block::Note(note.into()),
        ]
    }

    fn cured_row(&self, one: &Cured<'_>) -> Vec<Cell> {
        let what = say!(
            "{}: {}",
            words::subject(self.record, one.found),
            words::what(one.found)
        );
        let changed = one.change.as_ref();
        let changed = changed.map(|of| self.phrase(&change(of, one.found.unit)));
        let gone = || match one.found.because {
            Some(_) => "not so as left",
            None => "not read again",
        };
        let left = one.left.map(|left| self.stage(left));
        let cells = [
            self.phrase(&what),
            self.stage(one.found),
            left.unwrap_or_else(|| gone().into()),
            changed.unwrap_or_default(),
        ];
        cells.map(Cell::from).into()
    }

    /// The value of a finding with its verdict, where it has one.
    fn stage(&self, finding: &Finding) -> Text {
        let value = self.phrase(&words::found(self.w, self.criteria, finding));
        match (value.is_empty(), finding.grade()) {
            (true, _) => marked(finding),
            (false, Grade::Info) => value,
            (false, _) => value.plain(" ").join(marked(finding)),
        }
    }
}
