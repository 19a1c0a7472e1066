//! The schema as data: which sections there are, which keys and columns they know, and what kind of
//! value they hold. Suggestions, the grammar page and the readers all use this one table.

use crate::ground::unit::Dimension;
use strum::{EnumString, VariantNames};

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

/// What may follow a section's name.
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
    /// A key that may be written once.
    pub const fn new(word: &'static str, kind: Kind, doc: &'static str) -> Self {
        Self {
            word,
            also: &[],
            kind,
            repeat: false,
            doc,
        }
    }

    /// May be written several times.
    pub const fn repeat(mut self) -> Self {
        self.repeat = true;
        self
    }

    /// With other accepted spellings.
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

    /// Whether this is one of its spellings.
    pub fn is_called(&self, word: &str) -> bool {
        self.word == word || self.also.contains(&word)
    }

    /// A reading here can only be positive.
    pub const fn positive(mut self) -> Self {
        self.positive = true;
        self
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

/// A section's schema as a table: a line for each key and column, with its kind of value, what it is,
/// and what else holds for it. A kind that is the name of a dimension is a quantity.
macro_rules! section {
    (
        $name:literal $(or $other:literal)?, $argument:ident, $doc:literal;
        keys { $($key:tt: $kind:ident $(($($of:tt)*))? $key_doc:literal $($key_more:ident $(($($key_arg:literal),*))?)*;)* }
        columns { $($column:tt: $type:ident $(($($in:tt)*))? $column_doc:literal $($more:ident $(($($arg:literal),*))?)*;)* }
    ) => {
        $crate::record::schema::Section {
            name: $name,
            also: &[$($other)?],
            argument: $crate::record::schema::Argument::$argument,
            keys: &[$(
                $crate::record::schema::Key::new($key, section!(@kind $kind $(($($of)*))?), $key_doc)
                    $(.$key_more($(&[$($key_arg),*])?))*
            ),*],
            columns: &[$(
                $crate::record::schema::Column::new($column, section!(@kind $type $(($($in)*))?), $column_doc)
                    $(.$more($(&[$($arg),*])?))*
            ),*],
            doc: $doc,
        }
    };
    (@kind Choice($words:ty)) => { $crate::record::schema::Kind::Choice(<$words as strum::VariantNames>::VARIANTS) };
    (@kind Either($first:ident, $second:ident)) => { $crate::record::schema::Kind::Either($crate::ground::unit::Dimension::$first, $crate::ground::unit::Dimension::$second) };
    (@kind At($value:ident, $at:ident)) => { $crate::record::schema::Kind::QuantityAt($crate::ground::unit::Dimension::$value, $crate::ground::unit::Dimension::$at) };
    (@kind Text) => { $crate::record::schema::Kind::Text };
    (@kind Number) => { $crate::record::schema::Kind::Number };
    (@kind Pair) => { $crate::record::schema::Kind::Pair };
    (@kind Terminals) => { $crate::record::schema::Kind::Terminals };
    (@kind Ratio) => { $crate::record::schema::Kind::Ratio };
    (@kind Class) => { $crate::record::schema::Kind::Class };
    (@kind Burden) => { $crate::record::schema::Kind::Burden };
    (@kind Between) => { $crate::record::schema::Kind::Between };
    (@kind Core) => { $crate::record::schema::Kind::Core };
    (@kind $dimension:ident) => { $crate::record::schema::Kind::Quantity($crate::ground::unit::Dimension::$dimension) };
}
pub(super) use section;

/// Which of several equal tests a section is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Stage {
    #[strum(serialize = "as found")]
    AsFound,
    #[strum(serialize = "as left")]
    AsLeft,
    Retest,
}

/// Keys that every test section knows, beside its own.
static SHARED: Section = section! {
    "", Pair, "";
    keys {
        "note": Text "a remark; allowed in every section, and may repeat" repeat;
        "instrument": Text "the instrument of this section, instead of the visit's";
        "reference": Text
            "the standard (a reference CT, a standard resistor) that was compared with";
        "range": Text "the range the instrument was set to";
        "stage": Choice(Stage) "which of several equal tests this one is";
        "time": Text "clock time, where it matters";
        "temperature": Temperature "temperature of what was measured";
    }
    columns {}
};

/// The keys that every test section knows; the first of them is every section's.
pub fn shared_keys() -> &'static [Key] {
    SHARED.keys
}

impl Section {
    /// The key of this spelling.
    pub fn key(&self, word: &str) -> Option<&'static Key> {
        self.all_keys()
            .find(|key| key.word == word || key.also.contains(&word))
    }

    /// The column of this spelling.
    pub fn column(&self, word: &str) -> Option<&'static Column> {
        self.columns.iter().find(|column| column.is_called(word))
    }

    /// Its own keys and those that all tests share.
    pub fn all_keys(&self) -> impl Iterator<Item = &'static Key> {
        // All sections share the note, tests the others too.
        let shared = if self.is_test() { SHARED.keys.len() } else { 1 };
        self.keys.iter().chain(SHARED.keys.iter().take(shared))
    }

    /// Whether it is a test of a visit.
    pub fn is_test(&self) -> bool {
        self.argument == Argument::Pair
    }
}
