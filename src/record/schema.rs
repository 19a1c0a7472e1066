//! The schema as data: which sections there are, which keys and columns they know, and what kind of
//! value stands there. Suggestions, the grammar page and the readers all use this one table.

use crate::ground::unit::Dimension;

/// What kind of value a key or a column holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// Kept as text.
    Text,
    Quantity(Dimension),
    /// A quantity of one of two dimensions, told by its unit.
    Either(Dimension, Dimension),
    /// A number without a unit.
    Number,
    /// A calendar day.
    Date,
    /// `1S1-1S2`
    Pair,
    /// `S1 S2 S3`
    Terminals,
    /// `600/1 A`, `1200:5`
    Ratio,
    /// `5P20`, `0.5 FS10`, `C800`
    Class,
    /// `15 VA`, `15 VA at 0.80`, `2.5 ohm`, `B-0.5`, `connected`, `shorted`
    Burden,
    /// `3.40 ohm at 75 C`
    QuantityAt(Dimension, Dimension),
    /// `1S to primary, cores and earth`
    Between,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// The name of a core.
    Core,
}

/// A key of a section.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    pub word: &'static str,
    /// Other accepted spellings.
    pub also: &'static [&'static str],
    pub kind: Kind,
    pub repeat: bool,
    pub doc: &'static str,
}

/// A column of a section's table.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    pub word: &'static str,
    pub also: &'static [&'static str],
    pub kind: Kind,
    /// Unit words that cannot be meant here (an insulation resistance in mohm).
    pub never: &'static [&'static str],
    /// A reading here can only be positive.
    pub positive: bool,
    /// Set beforehand and not read: it may stand in a row that waits to be filled in.
    pub set: bool,
    pub doc: &'static str,
}

/// What may stand beside a section's name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Argument {
    None,
    /// `since 2026-03-10`
    Since,
    /// a new core's name
    NewCore,
    /// `1S since 2026-03-10`
    CoreSince,
    /// `2026-03-14`, `2026-03-14 b`
    Visit,
    /// the driven pair, or nothing
    Pair,
}

/// A section: its name, keys and columns.
#[derive(Clone, Copy, Debug)]
pub struct Section {
    pub name: &'static str,
    pub also: &'static [&'static str],
    pub argument: Argument,
    pub keys: &'static [Key],
    pub columns: &'static [Column],
    pub doc: &'static str,
}

impl Key {
    /// A key that may stand once.
    pub const fn new(word: &'static str, kind: Kind, doc: &'static str) -> Self {
        Self {
            word,
            also: &[],
            kind,
            repeat: false,
            doc,
        }
    }

    /// A key that may stand several times.
    pub const fn repeated(word: &'static str, kind: Kind, doc: &'static str) -> Self {
        Self {
            word,
            also: &[],
            kind,
            repeat: true,
            doc,
        }
    }

    /// With another accepted spelling.
    pub const fn or(mut self, also: &'static [&'static str]) -> Self {
        self.also = also;
        self
    }
}

impl Column {
    pub const fn new(word: &'static str, kind: Kind, doc: &'static str) -> Self {
        Self {
            word,
            also: &[],
            kind,
            never: &[],
            positive: false,
            set: false,
            doc,
        }
    }

    /// A reading that can only be positive.
    pub const fn positive(word: &'static str, kind: Kind, doc: &'static str) -> Self {
        Self {
            word,
            also: &[],
            kind,
            never: &[],
            positive: true,
            set: false,
            doc,
        }
    }

    /// Set beforehand and not read.
    pub const fn set(mut self) -> Self {
        self.set = true;
        self
    }

    pub const fn never(mut self, never: &'static [&'static str]) -> Self {
        self.never = never;
        self
    }

    pub const fn or(mut self, also: &'static [&'static str]) -> Self {
        self.also = also;
        self
    }
}

/// Keys that every test section knows, beside its own.
pub const TEST_KEYS: &[Key] = &[
    NOTE,
    Key::new(
        "instrument",
        Kind::Text,
        "the instrument of this section, instead of the visit's",
    ),
    Key::new(
        "reference",
        Kind::Text,
        "the standard (a reference CT, a standard resistor) that was compared with",
    ),
    Key::new("range", Kind::Text, "the range the instrument was set to"),
    Key::new(
        "stage",
        Kind::Choice(&["as found", "as left", "retest"]),
        "which of several equal tests this one is",
    ),
    Key::new("time", Kind::Text, "clock time, where it matters"),
    Key::new(
        "temperature",
        Kind::Quantity(Dimension::Temperature),
        "temperature of what was measured",
    ),
];

/// A remark, kept with its section.
pub const NOTE: Key = Key::repeated(
    "note",
    Kind::Text,
    "a remark; may stand in every section, and repeat",
);

impl Section {
    /// The key of this spelling.
    pub fn key(&self, word: &str) -> Option<&'static Key> {
        self.all_keys()
            .find(|key| key.word == word || key.also.contains(&word))
    }

    /// The column of this spelling.
    pub fn column(&self, word: &str) -> Option<&'static Column> {
        self.columns
            .iter()
            .find(|column| column.word == word || column.also.contains(&word))
    }

    /// Its own keys and those that all tests share.
    pub fn all_keys(&self) -> impl Iterator<Item = &'static Key> {
        let shared: &'static [Key] = if self.argument == Argument::Pair {
            TEST_KEYS
        } else {
            std::slice::from_ref(&NOTE)
        };
        self.keys.iter().chain(shared.iter())
    }

    /// Whether it is a test of a visit.
    pub fn is_test(&self) -> bool {
        self.argument == Argument::Pair
    }
}

/// All sections, in the order of the grammar page.
pub fn sections() -> impl Iterator<Item = &'static Section> {
    let plate: [&'static Section; 5] = [
        &super::plate::SCHEMA,
        &super::place::SCHEMA,
        &super::core::SCHEMA,
        &super::duty::SCHEMA,
        &super::visit::SCHEMA,
    ];
    plate
        .into_iter()
        .chain(super::kinds::TestKind::ALL.iter().map(|kind| kind.schema()))
}

/// The section of this name or spelling.
pub fn section(name: &str) -> Option<&'static Section> {
    sections().find(|section| section.name == name || section.also.contains(&name))
}
