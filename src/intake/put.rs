//! Lines put into a record: behind what stands there, and only where the record reads with them as it did before.

use super::Faults;
use super::lines::Lines;
use super::plates::told_by_rows;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::{Files, InHand};
use crate::ground::span::Span;
use crate::job::{Compiled, Survey, shown};
use crate::layout::even;
use crate::record::Record;
use crate::syntax::Line;
use crate::syntax::line::Class;
use std::path::{Path, PathBuf};

/// What becomes of a record.
#[derive(Clone, Debug)]
pub enum Put {
    More(More),
    /// It ends with these lines.
    Already,
}

/// A record with more lines than before.
#[derive(Clone, Debug)]
pub struct More {
    pub text: String,
    /// The lines that are new.
    pub lines: std::ops::RangeInclusive<usize>,
}

/// A record, and the others that it is read among.
pub struct Written<'a> {
    files: &'a dyn Files,
    path: PathBuf,
    company: Vec<PathBuf>,
    record: Compiled,
}

/// Where they go.
#[derive(Clone, Copy, Debug)]
pub struct Place(usize);

impl<'a> Written<'a> {
    /// A record of a survey.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn of(files: &'a dyn Files, survey: &Survey<'_>, path: &Path) -> Result<Self, Faults> {
        let none = || vec![format!("{} cannot be read", shown(path))];
        let own = survey.found.iter().position(|one| one.path == path);
        let company = survey.company(own.ok_or_else(none)?);
        let job = Survey::in_company(files, path, company.clone()).job();
        let record = job.records.into_iter().next();
        let record = record.filter(|one| !one.source.refused).ok_or_else(none)?;
        Ok(Self {
            files,
            path: path.to_owned(),
            company,
            record,
        })
    }

    /// Behind the last line of a visit: the one of a name, else the last.
    ///
    /// # Errors
    /// When there is no such visit, or it is not known which is the last.
    pub fn into_visit(&self, name: Option<&str>) -> Result<(Place, String), Faults> {
        let record = &self.record.record;
        let (source, tree) = (&self.record.source, &record.written.tree);
        let file = shown(&self.path);
        let own = match name {
            Some(name) => record.visits.iter().find(|visit| visit.name() == name),
            None => record.visits.last(),
        };
        let own = own.ok_or_else(|| {
            let wanted = name.unwrap_or_default();
            vec![format!(
                "{file} has no visit {wanted}; `kneemark new --from` lays one out"
            )]
        })?;
        let behind = |start: &u32| *start > own.span.start;
        let undated = record.undated.iter().map(|span| span.start);
        if let (None, Some(other)) = (name, undated.clone().find(behind)) {
            let line = source.line(other);
            return Err(vec![format!(
                "the visit of line {line} of {file} has no date that can be read; correct it, or name a visit with --visit"
            )]);
        }
        // It ends where the next visit begins.
        let next = record.visits.iter().map(|visit| visit.span.start);
        let next = next.chain(undated).filter(behind).min();
        let end = next.and_then(|next| {
            let holds = |line: &Line| line.whole.range().contains(&(next as usize));
            let at = tree.lines.iter().position(holds)?;
            // Comments above the next visit are its own.
            let above = tree.lines.get(..at)?.iter().rev();
            let is_kept =
                |line: &&Line| matches!(line.class(source), Class::Blank | Class::Comment);
            let kept = above.take_while(is_kept).count();
            Some(tree.lines.get(at.checked_sub(kept)?)?.whole.range().start)
        });
        let place = end.map_or_else(|| self.end(), Place);
        Ok((place, own.name()))
    }

    /// The record as it stands.
    pub fn record(&self) -> &Record {
        &self.record.record
    }

    /// At the end of the record.
    pub fn end(&self) -> Place {
        Place(self.record.source.text.len())
    }

    /// The record with the lines at a place.
    ///
    /// # Errors
    /// What a record could not read of them, by the rows that they came of; what else they would change.
    pub fn put(&self, lines: &Lines, place: Place) -> Result<Put, Faults> {
        let text = &self.record.source.text;
        let (before, behind) = text
            .split_at_checked(place.0)
            .ok_or_else(|| vec![format!("{} has changed", shown(&self.path))])?;
        let end = if text.contains("\r\n") { "\r\n" } else { "\n" };
        let gap = if before.is_empty() || before.ends_with('\n') {
            ""
        } else {
            end
        };
        let own = even(&lines.text);
        let count = own.lines().count();
        let own = own.replace('\n', end);
        if before.trim_end().ends_with(own.trim()) && behind.is_empty() {
            return Ok(Put::Already);
        }
        let behind_gap = if behind.is_empty() || behind.starts_with(['\n', '\r']) {
            ""
        } else {
            end
        };
        let mark = if self.record.source.bom {
            "\u{feff}"
        } else {
            ""
        };
        let whole = [mark, before, gap, &own, behind_gap, behind].concat();
        let first = before.lines().count();
        let now = InHand::new(self.files, &self.path, Ok(whole.clone().into_bytes()));
        let job = Survey::in_company(&now, &self.path, self.company.clone()).job();
        let Some(next) = job.records.first() else {
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
        if faults.is_empty() && errors(next) > errors(&self.record) {
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
            true => Ok(Put::More(More {
                text: whole,
                lines: first + 1..=first + count,
            })),
            false => Err(faults),
        }
    }
}

fn errors(record: &Compiled) -> usize {
    record.errors().map(|_: &Diagnostic| ()).count()
}
