//! What a `not done` line speaks of: tests, cores, taps.

use super::Record;
use super::core::core_index;
use super::kinds::TestKind;
use super::value::Omission;
use super::visit::Visit;

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
    pub cores: Vec<usize>,
    /// Only pairs that are not the full winding.
    pub taps: bool,
    /// Words that mean nothing here.
    pub unknown: Vec<String>,
}

impl Scope {
    /// Looks the words up. `within` is the test section the line stands in, if any.
    pub fn read(omission: &Omission, record: &Record, within: Option<TestKind>) -> Self {
        let mut scope = Self::default();
        for word in omission
            .scope
            .value
            .split([' ', ',', '\t'])
            .filter(|word| !word.is_empty())
        {
            match word {
                "all" => scope.all = true,
                "but" | "except" => scope.except = true,
                "taps" => scope.taps = true,
                "else" | "on" | "and" | "of" | "the" | "other" | "cores" | "core" => {}
                word => {
                    if let Some(kind) = TestKind::of(word) {
                        scope.kinds.push(kind);
                    } else if let Some(core) = core_index(&record.cores, word) {
                        scope.cores.push(core);
                    } else {
                        scope.unknown.push(word.to_owned());
                    }
                }
            }
        }
        if let (Some(kind), true) = (within, scope.kinds.is_empty() && !scope.all) {
            scope.kinds.push(kind);
        }
        scope
    }

    /// Whether the line explains why this test of this core, or without one of the primary, was not done.
    pub fn covers(&self, kind: TestKind, core: Option<usize>, tap: bool) -> bool {
        if self.all && self.except {
            let named = (self.kinds.is_empty() || self.kinds.contains(&kind))
                && (self.cores.is_empty() || core.is_some_and(|core| self.cores.contains(&core)));
            return !named;
        }
        if self.all && self.kinds.is_empty() && self.cores.is_empty() {
            return true;
        }
        let kinds = self.kinds.is_empty() || self.kinds.contains(&kind);
        let cores = self.cores.is_empty() || core.is_some_and(|core| self.cores.contains(&core));
        let taps = !self.taps || tap;
        let something = !self.kinds.is_empty() || !self.cores.is_empty() || self.taps;
        something && kinds && cores && taps
    }
}
