//! What a `not done` line speaks of: tests, cores, taps.

use super::Record;
use super::kinds::TestKind;
use super::named::{self, Named, Subject};
use super::value::Omission;
use super::visit::Visit;
use crate::trade::Pair;

/// The `not done` lines of a visit, each with what it speaks of.
pub fn omissions<'a>(record: &Record, visit: &'a Visit) -> Vec<(Scope, &'a Omission)> {
    let own = visit.omissions.iter().map(|omission| (omission, None));
    let inner = visit.tests.iter().flat_map(|test| {
        // A line behind the last test of a visit speaks of the visit when it names a test itself.
        let within = Some(test.kind);
        test.omissions
            .iter()
            .map(move |omission| (omission, within))
    });
    own.chain(inner)
        .map(|(omission, within)| (Scope::read(omission, record, within), omission))
        .collect()
}

/// A scope, looked up.
#[derive(Clone, Debug, Default)]
pub struct Scope {
    /// Everything but what is named.
    pub except: bool,
    /// `all` or `all else`.
    pub all: bool,
    pub kinds: Vec<TestKind>,
    pub of: Vec<Subject>,
    /// Only pairs that are not the full winding.
    pub taps: bool,
    /// One of what is required, by the name that its list has for it.
    pub named: Option<Named>,
    /// Only the ratio in these positions of the primary links.
    pub links: Vec<String>,
    /// Words that mean nothing here.
    pub unknown: Vec<String>,
}

impl Scope {
    /// Looks the words up. `within` is the test section the line stands in, if any.
    pub fn read(omission: &Omission, record: &Record, within: Option<TestKind>) -> Self {
        let mut scope = Self::default();
        // As it is copied from a page or a message: with its lines joined, and blanks that do not break.
        let text = omission.scope.value.split_whitespace();
        let text = text.collect::<Vec<_>>().join(" ");
        let mut words = text.as_str();
        if let Some(read) = named::read(words, record) {
            scope.named = Some(read.named);
            scope.kinds.push(read.kind);
            scope.of = read.of;
            words = read.rest;
        }
        let mut words = words
            .split([' ', ','])
            .map(|word| word.trim_matches(['(', ')']))
            .filter(|word| !word.is_empty())
            .peekable();
        let linked = record.plate.links.len() > 1;
        while let Some(word) = words.next() {
            match word {
                "all" => scope.all = true,
                "but" | "except" => scope.except = true,
                "taps" => scope.taps = true,
                "else" | "on" | "and" | "of" | "the" | "other" | "cores" | "core" => {}
                "primary" if linked && words.peek() == Some(&"links") => {}
                "with" | "in" | "links" if linked => {}
                "primary" => scope.of.push(Subject::Whole),
                word => scope.word(word, record),
            }
        }
        if let (Some(kind), true) = (within, scope.kinds.is_empty() && !scope.all) {
            scope.kinds.push(kind);
        }
        scope
    }

    /// A name of a test, of a core or two of its terminals, or of a position of the links.
    fn word(&mut self, word: &str, record: &Record) {
        let mut positions = record.plate.links.iter().map(|link| &link.value.0);
        if let Some(kind) = TestKind::of(word) {
            self.kinds.push(kind);
        } else if let Some(subject) = Subject::of_core(word, record) {
            self.of.push(subject);
        } else if positions.any(|position| position == word) {
            self.links.push(word.to_owned());
        } else {
            self.unknown.push(word.to_owned());
        }
    }

    /// A test's own name speaks of all that the test shows, where nothing of that name is required.
    pub fn widen(&mut self) {
        let is_test = |named: &mut Named| TestKind::of(named.title).is_some();
        self.named.take_if(is_test);
    }

    /// Whether the line explains why this test of this core or pair, or without one of the primary, was not done.
    pub fn covers(&self, kind: TestKind, core: Option<usize>, pair: Option<(Pair, bool)>) -> bool {
        if self.named.is_some() && !self.kinds.contains(&kind) {
            return false;
        }
        let tap = pair.is_some_and(|(_, full)| !full);
        // A core that is printed behind a name is its whole winding.
        let whole = self.named.as_ref().is_some_and(|named| named.whole);
        let is_of = |subject: &Subject| match subject {
            Subject::Whole => core.is_none(),
            Subject::Core(own) => core == Some(*own) && !(whole && tap),
            Subject::Pair(own) => pair.is_some_and(|(pair, _)| pair.ascending() == *own),
        };
        let of = self.of.is_empty() || self.of.iter().any(is_of);
        let kinds = self.kinds.is_empty() || self.kinds.contains(&kind);
        if self.all && self.except {
            return !(kinds && of);
        }
        if self.all && self.kinds.is_empty() && self.of.is_empty() {
            return true;
        }
        let taps = !self.taps || tap;
        let something = !self.kinds.is_empty() || !self.of.is_empty() || self.taps;
        something && kinds && of && taps
    }
}
