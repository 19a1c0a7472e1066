//! Lines put into a record: behind what stands there, and only where the record reads with them as it did before.

use super::Faults;
use super::lines::Lines;
use super::plates::told_by_rows;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::{Files, InHand};
use crate::ground::span::Span;
use crate::job::{Compiled, Survey};
use crate::layout::even;
use crate::syntax::Line;
use crate::syntax::line::Class;
use std::path::Path;

/// A record with more lines than before.
#[derive(Clone, Debug)]
pub struct Put {
    pub text: String,
    /// The lines that are new.
    pub lines: std::ops::RangeInclusive<usize>,
}

/// What lines are put into a record.
pub struct Written<'a> {
    pub files: &'a dyn Files,
    pub path: &'a Path,
    pub record: &'a Compiled,
}

/// Where they go.
#[derive(Clone, Copy, Debug)]
pub struct Place(usize);

/// Behind the last line of a visit, by its place among the visits.
pub fn into_visit(record: &Compiled, visit: usize) -> Option<Place> {
    let (source, tree) = (&record.source, &record.record.written.tree);
    let own = record.record.visits.get(visit)?;
    // It ends where the next visit, or what is no test, begins.
    let opens = record.record.visits.iter().map(|visit| visit.span.start);
    let undated = record.record.undated.iter().map(|span| span.start);
    let next = opens
        .chain(undated)
        .filter(|start| *start > own.span.start)
        .min();
    let Some(next) = next else {
        return Some(visit_at_end(record));
    };
    let at = tree
        .lines
        .iter()
        .position(|line| line.whole.range().contains(&(next as usize)))?;
    // Comments above the next visit are its own.
    let above = tree.lines.get(..at)?.iter().rev();
    let is_kept = |line: &&Line| matches!(line.class(source), Class::Blank | Class::Comment);
    let kept = above.take_while(is_kept).count();
    let end = tree.lines.get(at.checked_sub(kept)?)?;
    Some(Place(end.whole.range().start))
}

/// At the end of the record.
pub fn visit_at_end(record: &Compiled) -> Place {
    Place(record.source.text.len())
}

impl Written<'_> {
    /// The record with the lines at a place.
    ///
    /// # Errors
    /// What a record could not read of them, by the rows that they came of; what else they would change.
    pub fn put(&self, lines: &Lines, place: Place) -> Result<Put, Faults> {
        let text = &self.record.source.text;
        let (before, behind) = text.split_at_checked(place.0).unwrap_or((text, ""));
        let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
        let gap = if before.is_empty() || before.ends_with('\n') {
            ""
        } else {
            end
        };
        let own = even(&lines.text);
        let count = own.lines().count();
        let own = own.replace('\n', end);
        let behind_gap = if behind.is_empty() || behind.starts_with(['\n', '\r']) {
            ""
        } else {
            end
        };
        let whole = [before, gap, &own, behind_gap, behind].concat();
        let first = before.lines().count();
        let now = InHand::new(self.files, self.path, Ok(whole.clone().into_bytes()));
        let job = Survey::among(&now, &[self.path.to_owned()]).around(self.path);
        let Some(next) = job.records.iter().find(|one| one.path == self.path) else {
            return Err(vec!["the record cannot be read with them".to_owned()]);
        };
        let of: Vec<Option<usize>> = std::iter::repeat_n(None, first)
            .chain(lines.of.iter().copied())
            .collect();
        let is_own =
            |span: Span| (first + 1..=first + count).contains(&next.source.line(span.start));
        let mut faults = told_by_rows(
            &next.source,
            next.diagnostics.iter().filter(|told| is_own(told.span)),
            &of,
        );
        if faults.is_empty() && errors(next) > errors(self.record) {
            let known: Vec<&str> = self
                .record
                .errors()
                .map(|told| told.title.as_str())
                .collect();
            let new = next
                .errors()
                .find(|told| !known.contains(&told.title.as_str()));
            let told = new.map_or("", |told| told.title.as_str());
            faults.push(format!(
                "the record would have an error that it had not: {told}"
            ));
        }
        match faults.is_empty() {
            true => Ok(Put {
                text: whole,
                lines: first + 1..=first + count,
            }),
            false => Err(faults),
        }
    }
}

fn errors(record: &Compiled) -> usize {
    record.errors().map(|_: &Diagnostic| ()).count()
}
