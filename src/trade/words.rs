//! The trade's fixed words: what a core serves, what insulates a unit, why a visit was made.

use crate::standards::InsulationKind;
use strum::{Display, EnumString, VariantArray, VariantNames};

/// What a core serves.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Display, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Service {
    Protection,
    Metering,
    #[strum(serialize = "protection and metering")]
    Both,
    Spare,
}

/// What insulates the primary, as plates say it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Display, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Insulation {
    #[strum(serialize = "oil and paper")]
    OilAndPaper,
    #[strum(serialize = "cast resin")]
    CastResin,
    Gas,
    Dry,
    Unknown,
}

impl Insulation {
    /// The kind whose temperature law holds for it.
    pub fn kind(self) -> InsulationKind {
        match self {
            Self::OilAndPaper => InsulationKind::Oil,
            Self::CastResin | Self::Dry => InsulationKind::Solid,
            Self::Gas => InsulationKind::Gas,
            Self::Unknown => InsulationKind::Unknown,
        }
    }
}

/// Terminals of the primary as stamped, the polarity end first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Display, EnumString, VariantNames, VariantArray)]
pub enum PrimaryMarks {
    #[strum(serialize = "P1 P2")]
    P,
    #[strum(serialize = "H1 H2")]
    H,
    #[strum(serialize = "K L")]
    K,
    #[strum(serialize = "C1 C2")]
    C,
}

impl PrimaryMarks {
    /// Both terminals.
    pub fn ends(self) -> (&'static str, &'static str) {
        match self {
            Self::P => ("P1", "P2"),
            Self::H => ("H1", "H2"),
            Self::K => ("K", "L"),
            Self::C => ("C1", "C2"),
        }
    }

    /// The marks that a terminal belongs to, and whether it is the polarity end.
    pub fn of(terminal: &str) -> Option<(Self, bool)> {
        let all = <Self as VariantArray>::VARIANTS.iter();
        let mut ends = all.flat_map(|marks| [(*marks, true), (*marks, false)]);
        ends.find(|(marks, first)| {
            let (from, to) = marks.ends();
            terminal == if *first { from } else { to }
        })
    }
}

/// Why a visit was made, as far as it decides which tests are due.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Display, EnumString, VariantArray,
)]
#[strum(serialize_all = "lowercase")]
pub enum Purpose {
    Factory,
    Receiving,
    Commissioning,
    /// The circuits, once all is connected again.
    #[strum(to_string = "before energising", serialize = "before energizing")]
    BeforeEnergising,
    /// With current of the network.
    #[strum(to_string = "after energising", serialize = "after energizing")]
    AfterEnergising,
    Maintenance,
    /// A fault current went through it.
    #[strum(serialize = "after a fault")]
    AfterFault,
    Retest,
    Investigation,
    /// None was written, or one that is not known.
    Other,
}

impl Purpose {
    /// The words that a purpose begins with.
    pub const WORDS: &'static [&'static str] = &[
        "factory",
        "receiving",
        "commissioning",
        "before energising",
        "after energising",
        "maintenance",
        "after a fault",
        "retest",
        "investigation",
    ];

    /// The same in the other English spelling.
    const ALSO: &'static [&'static str] = &["before energizing", "after energizing"];

    /// Reads `commissioning, after repair`: what it begins with counts.
    pub fn read(text: &str) -> Self {
        Self::beginning(text).parse().unwrap_or(Self::Other)
    }

    /// `for maintenance`, `after a fault`
    pub fn when(self) -> String {
        match self {
            Self::BeforeEnergising | Self::AfterEnergising | Self::AfterFault => self.to_string(),
            Self::Factory
            | Self::Receiving
            | Self::Commissioning
            | Self::Maintenance
            | Self::Retest
            | Self::Investigation => format!("for {self}"),
            Self::Other => "for a visit without a purpose".to_owned(),
        }
    }

    /// `commissioning visit`, `visit after a fault`: what one of this purpose is called, in its own words.
    pub fn visit(self, words: &str) -> String {
        match self.when() == self.to_string() {
            true => format!("visit {words}"),
            false => format!("{words} visit"),
        }
    }

    /// The words that count: those of a known purpose, else the first one.
    pub fn beginning(text: &str) -> &str {
        let parts = [' ', ',', ';'];
        let known = Self::WORDS.iter().chain(Self::ALSO).copied().find(|words| {
            let rest = text.strip_prefix(words);
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(parts))
        });
        known.unwrap_or(text.split(parts).next().unwrap_or(""))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn primary_marks_read_back_as_written() {
        for marks in <PrimaryMarks as VariantArray>::VARIANTS {
            let (first, second) = marks.ends();
            assert_eq!(format!("{first} {second}").parse(), Ok(*marks));
            assert_eq!(PrimaryMarks::of(first), Some((*marks, true)));
            assert_eq!(PrimaryMarks::of(second), Some((*marks, false)));
        }
        assert_eq!(PrimaryMarks::of("P3"), None);
    }

    #[test]
    fn every_word_of_a_purpose_reads_back() {
        for word in Purpose::WORDS {
            let behind = format!("{word}, in own words");
            assert_eq!(Purpose::read(&behind).to_string(), *word);
        }
        assert_eq!(Purpose::read("comissioning"), Purpose::Other);
        assert_eq!(Purpose::read("other"), Purpose::Other);
        assert_eq!(Purpose::read("after energisation"), Purpose::Other);
        for words in Purpose::ALSO {
            let one = Purpose::read(&format!("{words}; bay H08"));
            assert_eq!(one.to_string(), words.replace("izing", "ising"));
        }
    }
}
