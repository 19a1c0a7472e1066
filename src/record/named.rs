//! Names of what is required, as `check` prints them: `exciting current at 300 V of 2S1-2S2`.

use super::Record;
use super::core::core_index;
use super::kinds::TestKind;
use super::parse::{self, Piece};
use crate::ground::unit::Dimension;
use crate::trade::Pair;

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

/// What a test or a requirement is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// The unit, or its primary.
    Whole,
    Core(usize),
    Pair(Pair),
}

impl Subject {
    fn read(word: &str, record: &Record) -> Option<Self> {
        match word {
            "the primary" | "the unit" => Some(Self::Whole),
            word => Self::of_core(word, record),
        }
    }

    /// A core or two of its terminals.
    pub fn of_core(word: &str, record: &Record) -> Option<Self> {
        if let Some(core) = core_index(&record.cores, word) {
            return Some(Self::Core(core));
        }
        let (from, to) = word.split_once('-')?;
        let mut cores = record.cores.iter().enumerate();
        cores.find_map(|(index, core)| {
            let (from, to) = (core.position(from)?, core.position(to)?);
            let pair = Pair {
                core: index,
                from,
                to,
            };
            (from != to).then(|| Self::Pair(pair.ascending()))
        })
    }
}

/// One of what is required.
#[derive(Clone, Debug, PartialEq)]
pub struct Named {
    pub title: &'static str,
    pub condition: Option<Under>,
    /// Whether it is named with its subject, as it is printed: then it is that one alone.
    pub whole: bool,
}

/// What a name holds under.
#[derive(Clone, Debug, PartialEq)]
pub enum Under {
    /// Volt, in whatever unit it is written.
    Volts(f64),
    /// `class 5P20`, an input, a position of the links, a zone.
    Words(String),
    /// No voltage of the plate: nothing holds under it.
    Nothing,
}

impl Under {
    /// Whether it is this voltage, which is printed with fewer digits than it has.
    #[must_use]
    pub fn is_volts(&self, own: f64) -> bool {
        matches!(self, Self::Volts(read) if (own - read).abs() <= 5e-3 * own)
    }
}

/// A name at the beginning of a scope.
pub struct Read<'a> {
    pub named: Named,
    pub kind: TestKind,
    pub of: Vec<Subject>,
    /// What stands behind it.
    pub rest: &'a str,
}

/// Reads the name at the beginning of a scope. A title that is the name of its test speaks of all that the test
/// shows, unless its subject stands behind it.
pub fn read<'a>(scope: &'a str, record: &Record) -> Option<Read<'a>> {
    let begins = REQUIRED.iter().filter_map(|(title, kind)| {
        let rest = scope.strip_prefix(title)?;
        let whole = rest.is_empty() || rest.starts_with([' ', ',']);
        whole.then_some((*title, *kind, rest))
    });
    let (title, kind, rest) = begins.max_by_key(|(title, ..)| title.len())?;
    let (condition, rest) = condition(rest, record);
    let of = rest.strip_prefix(" of ");
    let of = of.and_then(|of| subjects(of, record)).unwrap_or_default();
    let whole = !of.is_empty();
    if TestKind::of(title).is_some() && !whole {
        return None;
    }
    let named = Named {
        title,
        condition,
        whole,
    };
    Some(Read {
        named,
        kind,
        of,
        rest: if whole { "" } else { rest },
    })
}

/// `1S, 2S1-2S2 and the primary`, up to the end.
fn subjects(text: &str, record: &Record) -> Option<Vec<Subject>> {
    let words = text.split(", ").flat_map(|part| part.split(" and "));
    words.map(|word| Subject::read(word, record)).collect()
}

/// The condition that stands behind a title, and the rest.
fn condition<'a>(text: &'a str, record: &Record) -> (Option<Under>, &'a str) {
    let none = (None, text);
    let Some(behind) = text.strip_prefix(' ') else {
        return none;
    };
    if let Some(at) = behind.strip_prefix("at ") {
        let end = at.find(" of ").unwrap_or(at.len());
        let (volts, rest) = at.split_at_checked(end).unwrap_or((at, ""));
        return match of_plate(volts, record) {
            Some(volts) => (Some(volts), rest),
            // What stands there is told where the rest is read.
            None => (Some(Under::Nothing), text),
        };
    }
    let cores = || record.cores.iter();
    let classes = cores().flat_map(|core| {
        let taps = core.taps.iter().map(|tap| &tap.class);
        taps.chain([&core.class]).filter_map(|class| class.value())
    });
    let classes = classes.map(|class| format!("class {}", class.text()));
    let classes = classes.map(|class| (format!("({class})"), class));
    let inputs = cores().flat_map(|core| core.inputs.iter().map(|input| &input.name));
    let links = record.plate.links.iter().map(|link| &link.value.0);
    let zones = record.duties.iter().filter_map(|duty| duty.zone.value());
    let items = inputs.chain(links).chain(zones);
    let items = items.map(|name| (name.clone(), name.clone()));
    let begins = classes.chain(items).filter_map(|(printed, condition)| {
        let rest = behind.strip_prefix(printed.as_str())?;
        let whole = rest.is_empty() || rest.starts_with([' ', ',']);
        whole.then_some((condition, rest))
    });
    // Of a zone and a longer one the longer.
    let longest = begins.min_by_key(|(_, rest)| rest.len());
    longest.map_or(none, |(condition, rest)| {
        (Some(Under::Words(condition)), rest)
    })
}

/// A voltage at which the plate limits an exciting current: `300 V`.
fn of_plate(text: &str, record: &Record) -> Option<Under> {
    let read = parse::quantity(Piece::new(text, 0), Dimension::Voltage, "").ok()?;
    let read = Under::Volts(read.si);
    let mut volts = record.cores.iter().flat_map(|core| {
        let own = core.exciting.iter().map(|exciting| exciting.value.at.si);
        let knees = core.taps.iter().filter_map(|tap| tap.knee.value());
        own.chain(knees.map(|knee| knee.si))
    });
    volts.any(|own| read.is_volts(own)).then_some(read)
}
