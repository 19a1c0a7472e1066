//! What a column of a table is: where in a record its cells go. Told by its heading, in the words of the record:
//! `resistance current/A`, `burden angle (deg)`, `core class`, `maker`.

use crate::ground::nearest::nearest;
use crate::ground::unit::{Dimension, Lookup, lookup};
use crate::record::schema::{Column, Key, Kind, Section, Stage};
use crate::record::sections;
use strum::VariantNames;

/// Where cells go.
#[derive(Clone, Copy, Debug)]
pub enum Target {
    /// The unit's id.
    Id,
    /// The day of the visit.
    Day,
    /// The name of a core.
    Core,
    /// A pair of terminals.
    On,
    Key(&'static Section, &'static Key),
    Cell(&'static Section, &'static Column),
}

/// Why a heading is not understood.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// No section has such a word.
    Unknown(String),
    /// The word is known, and its unit is missing or wrong.
    Unit(String),
}

impl Fault {
    pub fn told(self) -> String {
        match self {
            Self::Unknown(told) | Self::Unit(told) => told,
        }
    }
}

/// A column.
#[derive(Clone, Debug)]
pub struct Address {
    pub target: Target,
    /// Which of several equal tests its cells are of, where its heading says so: `insulation as left time/s`.
    pub stage: Option<&'static str>,
    /// The unit of its cells, in the record's spelling.
    pub unit: Option<String>,
}

/// The name by which the rows of a core's taps go in a heading.
const TAP: &str = "tap";

impl Address {
    /// What a heading says; `within` is the section that it need not name.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn of(heading: &str, within: Option<&'static Section>) -> Result<Self, Fault> {
        let (words, unit) = parted(heading);
        let (words, stage) = match within {
            Some(_) => (words, None),
            None => staged(&words),
        };
        let target = match within {
            Some(section) => in_section(section, &words),
            None => anywhere(&words),
        };
        let target = target.map_err(Fault::Unknown)?;
        if let (Some(stage), Target::Key(_, key)) = (stage, target)
            && key.word == STAGE
        {
            return Err(Fault::Unknown(format!(
                "the heading says {stage}, and its cells would say a stage again"
            )));
        }
        // A column of times beside a curve is none of its keys.
        if let (Some(section), Target::Key(_, key), Some(unit)) = (within, target, &unit)
            && !matches!(key.kind, Kind::Quantity(_))
        {
            let name = section.name;
            return Err(Fault::Unknown(format!(
                "[{name}] has no `{words}` in `{unit}`"
            )));
        }
        let unit = target.unit(unit.as_deref(), &words);
        let unit = unit.map_err(Fault::Unit)?;
        Ok(Self {
            target,
            stage,
            unit,
        })
    }

    /// Its word alone.
    pub fn bare(&self) -> &'static str {
        match self.target {
            Target::Id => "id",
            Target::Day => "day",
            Target::Core => "core",
            Target::On => "on",
            Target::Key(_, key) => key.word,
            Target::Cell(_, column) => column.word,
        }
    }

    /// The section that its cells go into.
    pub fn section(&self) -> Option<&'static Section> {
        match self.target {
            Target::Key(section, _) | Target::Cell(section, _) => Some(section),
            Target::Id | Target::Day | Target::Core | Target::On => None,
        }
    }

    /// As a heading of a record's table, or the key of a line.
    pub fn word(&self) -> String {
        match (&self.target, &self.unit) {
            (Target::Cell(..), Some(unit)) => format!("{}/{unit}", self.bare()),
            _ => self.bare().to_owned(),
        }
    }

    /// Whether its cells are numbers, so that a comma in one is a decimal point or a mistake.
    pub fn holds_numbers(&self) -> bool {
        let kind = match self.target {
            Target::Id | Target::Day | Target::Core | Target::On => return false,
            Target::Key(_, key) => key.kind,
            Target::Cell(_, column) => column.kind,
        };
        match kind {
            Kind::Quantity(_)
            | Kind::Number
            | Kind::Count
            | Kind::Either(..)
            | Kind::QuantityAt(..) => true,
            Kind::Text
            | Kind::Pair
            | Kind::Terminals
            | Kind::Ratio
            | Kind::Class
            | Kind::Burden
            | Kind::Between
            | Kind::Choice(_)
            | Kind::Core
            | Kind::Moment => false,
        }
    }
}

impl Target {
    fn unit(self, unit: Option<&str>, words: &str) -> Result<Option<String>, String> {
        let (kind, is_cell, never) = match self {
            Self::Id | Self::Day | Self::Core | Self::On => (Kind::Text, false, &[][..]),
            Self::Key(_, key) => (key.kind, false, &[][..]),
            Self::Cell(_, column) => (column.kind, true, column.never),
        };
        match (kind, unit) {
            (Kind::Quantity(dimension), Some(unit)) => match known(unit, dimension)? {
                own if never.contains(&own.as_str()) => {
                    Err(format!("{unit} cannot be meant of `{words}`"))
                }
                own => Ok(Some(own)),
            },
            (Kind::Quantity(dimension), None) if is_cell => Err(format!(
                "the heading has no unit; write `{words}/UNIT`, one of {}",
                dimension.examples()
            )),
            (Kind::Ratio, Some(unit)) if is_cell => Ok(Some(unit.to_owned())),
            (_, Some(unit)) => Err(format!(
                "`{words}` is not in one unit: leave `{unit}` out of the heading, and write what belongs to a value into its cell"
            )),
            (_, None) => Ok(None),
        }
    }
}

/// The record's spelling of a unit.
fn known(unit: &str, dimension: Dimension) -> Result<String, String> {
    let told = match lookup(unit, dimension) {
        Lookup::Found(word) => return Ok(word.canonical.clone()),
        Lookup::OtherDimension(word) => format!(
            "`{unit}` is a unit of {}, not of {}",
            word.dimension.name(),
            dimension.name()
        ),
        Lookup::Case(words) => {
            let words: Vec<&str> = words.iter().map(|word| word.canonical.as_str()).collect();
            format!(
                "capital and small letters count: `{unit}` may be {}",
                words.join(" or ")
            )
        }
        Lookup::Unknown(Some(near)) => format!("there is no unit `{unit}`; did you mean {near}?"),
        Lookup::Unknown(None) => format!(
            "there is no unit `{unit}`; {} is one of {}",
            dimension.name(),
            dimension.examples()
        ),
    };
    Err(told)
}

/// The words of a heading, in small letters with one blank between, and its unit: behind a slash, or in brackets.
fn parted(heading: &str) -> (String, Option<String>) {
    let heading = heading.trim();
    let even = |text: &str| {
        let words: Vec<&str> = text.split_whitespace().collect();
        words.join(" ")
    };
    for (open, close) in [('(', ')'), ('[', ']')] {
        let inner = heading
            .strip_suffix(close)
            .and_then(|text| text.rsplit_once(open));
        if let Some((words, unit)) = inner {
            return (even(words), Some(unit.trim().to_owned()));
        }
    }
    match heading.rsplit_once('/') {
        // The one key with a slash in it.
        Some((words, unit)) if !even(heading).to_ascii_lowercase().ends_with("x/r") => {
            (even(words), Some(unit.trim().to_owned()))
        }
        _ => (even(heading), None),
    }
}

/// The key of a test that says which of several equal ones it is.
pub(super) const STAGE: &str = "stage";

/// The words of a heading without the stage that stands behind the name of a test.
fn staged(words: &str) -> (String, Option<&'static str>) {
    let bare = || (words.to_owned(), None);
    let Some((name, rest)) = words.split_once(' ') else {
        return bare();
    };
    let small = name.to_ascii_lowercase();
    if !sections::named(&small).is_some_and(Section::is_test) {
        return bare();
    }
    let behind = |stage: &str| {
        let (own, rest) = rest.split_at_checked(stage.len())?;
        let rest = rest.strip_prefix(' ')?;
        own.eq_ignore_ascii_case(stage)
            .then(|| format!("{name} {rest}"))
    };
    let mut all = Stage::VARIANTS.iter();
    all.find_map(|stage| Some((behind(stage)?, Some(*stage))))
        .unwrap_or_else(bare)
}

fn anywhere(words: &str) -> Result<Target, String> {
    for (name, target) in [
        ("id", Target::Id),
        ("day", Target::Day),
        ("core", Target::Core),
        ("on", Target::On),
    ] {
        if words.eq_ignore_ascii_case(name) {
            return Ok(target);
        }
    }
    let core = || sections::named("core");
    if let (true, Some(core)) = (words.eq_ignore_ascii_case(TAP), core()) {
        return in_table(core, TAP);
    }
    let (first, rest) = words.split_once(' ').unwrap_or((words, ""));
    let small = first.to_ascii_lowercase();
    match (sections::named(&small), core()) {
        (_, Some(core)) if small == TAP => in_table(core, rest),
        (Some(section), _) if !rest.is_empty() => in_section(section, rest),
        _ => match sections::named("ct") {
            Some(plate) => in_section(plate, words).map_err(|told| {
                format!("{told}; what is of a core or a test has its section before it, as in `core class` or `burden current/A`")
            }),
            None => Err(format!("`{words}` is not known")),
        },
    }
}

/// A column or a key of a section. A column goes first, so that a unit that it lacks is asked for.
fn in_section(section: &'static Section, words: &str) -> Result<Target, String> {
    let alike = |own: &str, also: &[&str]| {
        let mut all = std::iter::once(&own).chain(also);
        all.any(|own| own.eq_ignore_ascii_case(words))
    };
    // A core's table is of its taps, and has a name of its own.
    let columns = if section.name == "core" {
        &[]
    } else {
        section.columns
    };
    let column = columns
        .iter()
        .find(|column| alike(column.word, column.also));
    let key = section.all_keys().find(|key| alike(key.word, key.also));
    match (column, key) {
        (Some(column), _) => Ok(Target::Cell(section, column)),
        (None, Some(key)) => Ok(Target::Key(section, key)),
        (None, None) => Err(unknown(section, words, columns)),
    }
}

fn in_table(section: &'static Section, word: &str) -> Result<Target, String> {
    match section.column(&word.to_ascii_lowercase()) {
        Some(column) => Ok(Target::Cell(section, column)),
        None => Err(unknown(section, word, section.columns)),
    }
}

fn unknown(section: &'static Section, words: &str, columns: &'static [Column]) -> String {
    let own = section.keys.iter().map(|key| key.word);
    let all = || columns.iter().map(|column| column.word).chain(own.clone());
    let small = words.to_ascii_lowercase();
    match nearest(&small, all()) {
        Some(near) => format!(
            "[{}] has no `{words}`; did you mean `{near}`?",
            section.name
        ),
        None if columns.is_empty() => format!("[{}] has no `{words}`", section.name),
        None => {
            let columns: Vec<&str> = columns.iter().map(|column| column.word).collect();
            format!(
                "[{}] has no `{words}`; its columns are {}",
                section.name,
                columns.join(", ")
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(heading: &str) -> String {
        match Address::of(heading, None) {
            Err(fault) => fault.told(),
            Ok(address) => match address.target {
                Target::Key(section, key) => {
                    format!(
                        "[{}] {}: {}",
                        section.name,
                        key.word,
                        address.unit.unwrap_or_default()
                    )
                }
                Target::Cell(section, _) => format!("[{}] {}", section.name, address.word()),
                Target::Id | Target::Day | Target::Core | Target::On => address.word(),
            },
        }
    }

    #[test]
    fn headings_speak_the_words_of_a_record() {
        for (heading, is) in [
            ("id", "id"),
            ("ID ", "id"),
            ("On", "on"),
            ("Core", "core"),
            ("maker", "[ct] maker: "),
            ("highest voltage/kV", "[ct] highest voltage: kV"),
            ("Highest  Voltage (kV)", "[ct] highest voltage: kV"),
            ("ith/kA", "[ct] Ith: kA"),
            ("core class", "[core] class: "),
            ("core resistance", "[core] resistance: "),
            ("tap", "[core] tap"),
            ("tap ratio/A", "[core] ratio/A"),
            ("duty x/r", "[duty] x/r: "),
            ("resistance current/A", "[resistance] current/A"),
            ("Resistance Current [mA]", "[resistance] current/mA"),
            ("resistance temperature", "[resistance] temperature: "),
            ("resistance temperature/C", "[resistance] temperature: C"),
            ("insulation time/s", "[insulation] time/s"),
            (
                "insulation resistance/G\u{3a9}",
                "[insulation] resistance/Gohm",
            ),
            ("demagnetization start/V", "[demagnetisation] start/V"),
            ("visit ambient/°C", "[visit] ambient: C"),
        ] {
            assert_eq!(of(heading), is, "{heading}");
        }
    }

    #[test]
    fn a_stage_stands_behind_the_name_of_a_test() {
        for (heading, is, stage) in [
            (
                "insulation as left time/s",
                "[insulation] time/s",
                Some("as left"),
            ),
            (
                "Insulation  As Found Between",
                "[insulation] between",
                Some("as found"),
            ),
            (
                "excitation retest voltmeter",
                "[excitation] voltmeter: ",
                Some("retest"),
            ),
            ("insulation time/s", "[insulation] time/s", None),
            ("insulation stage", "[insulation] stage: ", None),
        ] {
            assert_eq!(of(heading), is, "{heading}");
            let read = Address::of(heading, None);
            assert_eq!(read.ok().and_then(|own| own.stage), stage, "{heading}");
        }
        // What is of no test has none.
        for heading in [
            "visit as left ambient",
            "core retest class",
            "insulation as left",
            "insulation as left stage",
        ] {
            assert!(Address::of(heading, None).is_err(), "{heading}");
        }
    }

    #[test]
    fn a_unit_is_never_guessed() {
        for (heading, told) in [
            ("resistance current", "no unit"),
            ("insulation resistance", "no unit"),
            // Without its unit it would be the time of day.
            ("insulation time", "no unit"),
            ("resistance current/V", "unit of voltage, not of current"),
            ("resistance current/a", "A"),
            ("resistance current/ma", "mA"),
            ("resistance current/parsec", "no unit `parsec`"),
            ("insulation resistance/mohm", "cannot be meant"),
            ("polarity result/V", "is not in one unit"),
            ("class", "core class"),
            ("burden watt/W", "[burden] has no `watt`"),
            ("", "has no ``"),
        ] {
            let said = of(heading);
            assert!(said.contains(told), "{heading}: {said}");
            assert!(Address::of(heading, None).is_err(), "{heading}");
        }
    }
}
