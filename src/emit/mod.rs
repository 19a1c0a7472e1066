//! The wire formats. They have their own types, with a version, so that the model may change.

pub mod archive;
pub mod github;
pub mod json;
pub mod junit;
pub mod sarif;

use crate::document::{Grade, Phrase};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::job::{Compiled, Diagnosed, Job};
use crate::judge::requirement::Claims;
use crate::judge::standing::Told;
use crate::record::visit::Visit;

/// A format that a job is written in record by record, so that no job is held whole.
pub trait Wire: Default {
    /// What is made of one record, in any order.
    type Made: Send;

    /// What stands before the records.
    fn begin() -> String;

    fn make(seen: &Seen<'_>) -> Self::Made;

    /// The text of a record, behind those before it.
    fn next(&mut self, made: Self::Made) -> String;

    /// What stands behind them, with files that are no records.
    fn end(self, others: &[Diagnosed]) -> String;
}

/// A record with what is to be known for telling it.
pub struct Seen<'a> {
    pub one: &'a Compiled,
    pub claims: &'a Claims<'a>,
    /// Ids and sums of its sisters.
    pub sisters: Vec<(Option<&'a str>, &'a str)>,
    /// Everything from this grade on counts as failing.
    pub from: Grade,
}

/// A whole job in one of them.
pub fn document<W: Wire>(job: &Job, from: Grade) -> String {
    let (mut text, mut wire) = (W::begin(), W::default());
    for one in &job.records {
        let sisters = job.sisters(one);
        let sisters = sisters.iter().map(|sister| {
            let id = sister.record.plate.id.value().map(String::as_str);
            (id, sister.record.written.sha256.as_str())
        });
        let seen = Seen {
            one,
            claims: &one.claims(),
            sisters: sisters.collect(),
            from,
        };
        text.push_str(&wire.next(W::make(&seen)));
    }
    text + &wire.end(&job.others)
}

impl Seen<'_> {
    /// The findings that are told: what fails, is for review or open, and stands, as it stands now.
    fn told(&self) -> impl Iterator<Item = &Told<'_>> {
        let all = self.claims.counted();
        all.filter(|finding| finding.grade() >= Grade::Open)
    }

    /// A finding in one line, and what to do.
    fn says(&self, finding: &Told<'_>) -> String {
        let said = self.one.sentence(finding);
        let action = finding.action().map(|action| self.one.plain(&action));
        with_help(&said, action.as_deref())
    }

    /// The name of a visit.
    fn visit(&self, index: usize) -> String {
        let visit = self.one.record.visits.get(index);
        visit.map(Visit::name).unwrap_or_default()
    }

    fn plain(&self, phrase: &Phrase) -> String {
        self.one.plain(phrase)
    }
}

/// A diagnostic in one line, and what to do.
fn message(told: &Diagnostic) -> String {
    with_help(&told.title, told.help.as_deref())
}

fn with_help(said: &str, help: Option<&str>) -> String {
    let help = help.filter(|help| !help.is_empty());
    help.map_or(said.to_owned(), |help| format!("{said}; {help}"))
}

/// The place that a diagnostic points at; `None` where it is about the file as a whole.
fn place(source: &Source, told: &Diagnostic) -> Option<Span> {
    (!source.is_meant_whole(told.span, &told.label)).then_some(told.span)
}

/// `file:line:column`.
fn position(source: &Source, at: Span) -> String {
    let place = source.line_column(at.start);
    format!("{}:{}:{}", source.name, place.line, place.column)
}
