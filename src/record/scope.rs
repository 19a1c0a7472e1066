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
    /// One of what is required, by the name that its list has for it.
    pub named: Option<&'static str>,
    /// Only the ratio in these positions of the primary links.
    pub links: Vec<String>,
    /// Words that mean nothing here.
    pub unknown: Vec<String>,
}

impl Scope {
    /// Looks the words up. `within` is the test section the line stands in, if any.
    pub fn read(omission: &Omission, record: &Record, within: Option<TestKind>) -> Self {
        let mut scope = Self::default();
        let mut words = omission.scope.value.as_str();
        if let Some((title, kind, rest)) = required(words) {
            scope.named = Some(title);
            scope.kinds.push(kind);
            // `composite error at the accuracy limit (class 5P20)`
            let class = rest.trim_start_matches(' ').strip_prefix('(');
            let behind = class.and_then(|class| class.split_once(')'));
            words = behind.map_or(rest, |(_, behind)| behind);
        }
        let positions = record.plate.links.iter().map(|link| &link.value.0);
        for word in words
            .split([' ', ',', '\t'])
            .filter(|word| !word.is_empty())
        {
            match word {
                "all" => scope.all = true,
                "but" | "except" => scope.except = true,
                "taps" => scope.taps = true,
                "else" | "on" | "and" | "of" | "the" | "other" | "cores" | "core" => {}
                "with" | "in" | "primary" | "links" if record.plate.links.len() > 1 => {}
                word => {
                    if let Some(kind) = TestKind::of(word) {
                        scope.kinds.push(kind);
                    } else if let Some(core) = core_index(&record.cores, word) {
                        scope.cores.push(core);
                    } else if positions.clone().any(|position| position == word) {
                        scope.links.push(word.to_owned());
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
        if self.named.is_some() && !self.kinds.contains(&kind) {
            return false;
        }
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

/// What is required, as its list names it, and the test that shows it; a test of the register holds the two together.
pub const REQUIRED: &[(&str, TestKind)] = &[
    ("accuracy class by current", TestKind::Ratio),
    (
        "composite error at the accuracy limit",
        TestKind::Excitation,
    ),
    (
        "instrument security factor at rated burden",
        TestKind::Excitation,
    ),
    ("knee point e.m.f.", TestKind::Excitation),
    ("exciting current", TestKind::Excitation),
    (
        "exciting current at the class voltage",
        TestKind::Excitation,
    ),
    (
        "ratio error at 20 times rated current, by test",
        TestKind::Ratio,
    ),
    (
        "peak exciting current at the equivalent limiting e.m.f.",
        TestKind::Excitation,
    ),
    (
        "transient dimensioning for the rated cycle",
        TestKind::Excitation,
    ),
    ("standard on the rating plate", TestKind::Inspection),
    ("class on the rating plate", TestKind::Excitation),
    ("excitation curve", TestKind::Excitation),
    ("remanence factor", TestKind::Remanence),
    ("secondary loop time constant", TestKind::Remanence),
    ("turns ratio", TestKind::Ratio),
    ("ratio", TestKind::Ratio),
    ("ratio in links position", TestKind::Ratio),
    ("polarity", TestKind::Polarity),
    ("winding resistance at 75 °C", TestKind::Resistance),
    ("winding resistance", TestKind::Resistance),
    ("insulation resistance", TestKind::Insulation),
    ("power-frequency withstand", TestKind::Withstand),
    ("withstand between sections", TestKind::Withstand),
    ("inter-turn overvoltage", TestKind::InterTurn),
    ("partial discharge", TestKind::PartialDischarge),
    ("dissipation factor", TestKind::DissipationFactor),
    ("temperature rise", TestKind::TypeTest),
    ("resistance at 75 °C", TestKind::PrimaryResistance),
    ("demagnetisation", TestKind::Demagnetisation),
    ("burden of the circuit", TestKind::Burden),
    ("relay's requirement", TestKind::Excitation),
    ("knee for the relay's requirement", TestKind::Excitation),
    (
        "limit factor for the relay's requirement",
        TestKind::Excitation,
    ),
    ("continuity of the circuit", TestKind::Continuity),
    ("single earth", TestKind::SingleEarth),
    ("test links as left", TestKind::TestLinks),
    ("ratio that is set", TestKind::RatioSetting),
    ("secondary injection", TestKind::Injection),
    ("current on load", TestKind::Load),
    ("stability of the differential zone", TestKind::Stability),
    ("circuit as left", TestKind::Restored),
    ("one earth on the circuit", TestKind::Restored),
];

/// One of them at the beginning of a scope, and what stands behind it. A name that is that of its test speaks of all
/// that the test shows.
fn required(scope: &str) -> Option<(&'static str, TestKind, &str)> {
    let begins = REQUIRED.iter().filter_map(|(title, kind)| {
        let rest = scope.strip_prefix(title)?;
        let whole = rest.is_empty() || rest.starts_with([' ', ',', '\t']);
        (whole && TestKind::of(title).is_none()).then_some((*title, *kind, rest))
    });
    begins.max_by_key(|(title, _, _)| title.len())
}
