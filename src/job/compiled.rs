//! Compiled records, and how they came out.

use super::Attached;
use super::functions;
use super::gather::Text;
use super::missing;
use super::setting::Setting;
use crate::derive::kindred::Kindred;
use crate::derive::{self, Values};
use crate::document::Phrase;
use crate::document::{Grade, NumberStyle};
use crate::ground::diagnostic::{Diagnostic, sort};
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::judge::finding::Finding;
use crate::judge::requirement::{Claims, Unread};
use crate::judge::{self, Assessment, Others, words};
use crate::record::{Record, check, fence, occasion, permit};
use std::path::PathBuf;

/// A text with what is to be said about it: a configuration file, or one that could not be read.
#[derive(Debug)]
pub struct Diagnosed {
    /// Where the file lies, where that is known; messages show its name alone.
    pub path: Option<PathBuf>,
    pub source: Source,
    pub diagnostics: Vec<Diagnostic>,
}

/// One record, read, derived and judged.
#[derive(Debug)]
pub struct Compiled {
    pub path: PathBuf,
    pub source: Source,
    pub record: Record,
    pub diagnostics: Vec<Diagnostic>,
    pub setting: Setting,
    pub assessment: Assessment,
    /// The files of its visits.
    pub attached: Vec<Attached>,
}

/// What a record, a job or a command comes to; the worst last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    Clean,
    /// A finding fails.
    Fails,
    /// A record or file cannot be read, or not written.
    Broken,
}

/// One record, read and derived: what its sisters may look at before any of them is judged.
#[derive(Debug)]
pub(super) struct Derived {
    text: Text,
    record: Record,
    values: Values,
    attached: Vec<Attached>,
}

impl Derived {
    /// Holds a record against the instruments and derives what follows from it.
    pub(super) fn of(mut text: Text, mut record: Record, attached: Vec<Attached>) -> Self {
        let (instruments, criteria) = text.setting.parts();
        fence::by_instruments(&mut record, instruments, &mut text.diagnostics);
        let values = derive::values(&record, instruments, criteria);
        Self {
            text,
            record,
            values,
            attached,
        }
    }

    /// The ids of the main CTs that feed it.
    pub(super) fn mains(&self) -> impl Iterator<Item = &str> {
        let feeders = self.record.places.iter();
        let feeders = feeders.filter_map(|place| place.feeder.as_ref());
        feeders.map(|feeder| feeder.id.as_str())
    }

    /// What it shows to its sisters, and to what it feeds.
    pub(super) fn shown(&self) -> Kindred {
        let (instruments, criteria) = self.text.setting.parts();
        Kindred::of(&self.record, instruments, criteria, &self.values)
    }
}

impl Compiled {
    /// Judges a record beside its sisters and what feeds it; tells what is missing, and holds it against the instruments.
    pub(super) fn new(derived: Derived, others: Others<'_>) -> Self {
        let Derived {
            text,
            record,
            values,
            attached,
        } = derived;
        let Text {
            path,
            source,
            mut diagnostics,
            setting,
        } = text;
        let (instruments, criteria) = setting.parts();
        let assessment = judge::findings(&record, (instruments, criteria), values, others);
        diagnostics.retain(|told| !assessment.explains(told));
        if !source.refused {
            missing::tests_missing(&record, &assessment, &mut diagnostics);
            check::against_instruments(&record, instruments, &mut diagnostics);
            functions::missing(&assessment.workings, instruments, &mut diagnostics);
            permit::check(&record, &mut diagnostics);
        }
        sort(&mut diagnostics);
        Self {
            path,
            source,
            record,
            diagnostics,
            setting,
            assessment,
            attached,
        }
    }

    /// What in it could not be read.
    pub fn errors(&self) -> impl Iterator<Item = &Diagnostic> {
        self.diagnostics.iter().filter(|told| told.is_error())
    }

    /// Whether everything in it could be read.
    pub fn is_complete(&self) -> bool {
        self.errors().next().is_none()
    }

    /// What could not be read, its criteria and instruments as well: without them nothing passes.
    pub fn unread(&self) -> Unread {
        match self.setting.is_broken() {
            true => Unread::Something,
            false => Unread::by(&self.record, self.errors()),
        }
    }

    /// All findings, visit by visit.
    pub fn findings(&self) -> impl Iterator<Item = &Finding> {
        self.assessment
            .visits
            .iter()
            .flat_map(|visit| &visit.findings)
    }

    /// What its last visit, with what that repeats, lets it claim.
    pub fn claims(&self) -> Claims<'_> {
        let visits = occasion::last(&self.record);
        Claims::of(&self.record, &self.assessment, &visits, self.unread())
    }

    /// A phrase about it as plain text, its lines by their numbers.
    pub fn plain(&self, phrase: &Phrase) -> String {
        phrase.plain(|span| self.source.line(span.start))
    }

    /// The same as pages write it, units by their signs.
    pub fn shown(&self, phrase: &Phrase) -> String {
        let line = |span: Span| self.source.line(span.start);
        NumberStyle::default().phrase(phrase, line).letters()
    }

    /// A finding of it in one line of plain text.
    pub fn sentence(&self, finding: &Finding) -> String {
        let (w, criteria) = (&self.assessment.workings, &self.setting.criteria);
        self.plain(&words::sentence(&self.record, w, criteria, finding))
    }

    /// How it came out, where everything from a grade on counts as failing.
    pub fn outcome(&self, from: Grade) -> Outcome {
        self.outcome_by(&self.claims(), from)
    }

    /// The same where its claims are at hand.
    pub fn outcome_by(&self, claims: &Claims<'_>, from: Grade) -> Outcome {
        outcome(self.is_complete(), claims.worst_of_all() >= from)
    }
}

/// How something came out that was read or not, and fails or not.
pub fn outcome(complete: bool, fails: bool) -> Outcome {
    match (complete, fails) {
        (false, _) => Outcome::Broken,
        (true, true) => Outcome::Fails,
        (true, false) => Outcome::Clean,
    }
}

/// Everything compiled from some paths.
#[derive(Debug, Default)]
pub struct Job {
    /// In the order of their paths.
    pub records: Vec<Compiled>,
    /// Configuration files with something to say, and files that could not be read.
    pub others: Vec<Diagnosed>,
}

impl Job {
    /// Every text with its diagnostics, configuration first.
    pub fn diagnostics(&self) -> impl Iterator<Item = (&Source, &[Diagnostic])> {
        let others = self
            .others
            .iter()
            .map(|told| (&told.source, told.diagnostics.as_slice()));
        let records = self.records.iter();
        others.chain(records.map(|one| (&one.source, one.diagnostics.as_slice())))
    }

    /// The worst of all, where everything from a grade on counts as failing.
    pub fn outcome(&self, from: Grade) -> Outcome {
        let told = self.others.iter().flat_map(|told| &told.diagnostics);
        let read = !told.into_iter().any(Diagnostic::is_error) && !self.records.is_empty();
        let records = self.records.iter().map(|one| one.outcome(from));
        records.fold(outcome(read, false), Outcome::max)
    }
}
