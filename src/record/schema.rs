//! The schema as data: which sections there are, which keys and columns they know, and what kind of
//! value they hold. Suggestions, the grammar page and the readers all use this one table.

use super::readings::Measure;
use super::value::choices;
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
    /// How many there are: a whole number, not less than none.
    Count,
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
    /// `2026-03-14`, `2026-03-14 16:30`
    Moment,
}

impl Kind {
    /// Whether figures stand there, with no more than a unit beside them.
    pub fn is_figure(self) -> bool {
        matches!(self, Self::Quantity(_) | Self::Number | Self::Count)
    }

    /// What is written there, as the manual tells it.
    pub fn words(self) -> String {
        match self {
            Self::Text => "text".into(),
            Self::Quantity(dimension) => {
                format!("{} ({})", dimension.name(), dimension.examples())
            }
            Self::Either(a, b) => format!("{} or {}", a.name(), b.name()),
            Self::Number => "number".into(),
            Self::Count => "whole number".into(),
            Self::Pair => "pair".into(),
            Self::Terminals => "terminals".into(),
            Self::Ratio => "ratio".into(),
            Self::Class => "class".into(),
            Self::Burden => "burden".into(),
            Self::QuantityAt(a, b) => format!("{} at {}", a.name(), b.name()),
            Self::Between => "what to what".into(),
            Self::Choice(words) => format!("`{}`", words.join("`, `")),
            Self::Core => "core".into(),
            Self::Moment => "day, with or without its time".into(),
        }
    }
}

/// A key of a section.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    pub word: &'static str,
    /// Other accepted spellings.
    pub also: &'static [&'static str],
    pub kind: Kind,
    pub repeat: bool,
    /// Zero cannot be meant.
    pub positive: bool,
    /// What is less than zero can be meant, as of every temperature.
    pub signed: bool,
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
    /// A reading here has no sign: zero can be meant, less cannot.
    pub unsigned: bool,
    /// A bound (`>200`) is of no use here.
    pub exact: bool,
    /// Set beforehand and not read: it may stand in a row that waits to be filled in.
    pub set: bool,
    /// What it is to the instrument that took it, where it is held against an instrument's range.
    pub measure: Option<Measure>,
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
    /// nothing; it belongs to the visit above
    OfVisit,
    /// the driven pair, or nothing
    Pair,
}

impl Argument {
    /// What stands behind the name in an opening line, by an example.
    fn example(self) -> &'static str {
        match self {
            Self::None | Self::OfVisit => "",
            Self::Since => " since 2026-03-10",
            Self::NewCore => " 1S",
            Self::CoreSince => " 1S since 2026-03-10",
            Self::Visit => " 2026-03-14",
            Self::Pair => " 1S1-1S2",
        }
    }
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
            positive: false,
            signed: false,
            doc,
        }
    }

    /// What is less than zero can be meant.
    pub const fn signed(mut self) -> Self {
        self.signed = true;
        self
    }

    /// Zero cannot be meant.
    pub const fn positive(mut self) -> Self {
        self.positive = true;
        self
    }

    /// Whether a number here is one that there can be.
    pub fn can_be(&self, number: f64) -> bool {
        let signed = self.signed || self.kind == Kind::Quantity(Dimension::Temperature);
        match self.positive {
            true => number > 0.0,
            false => signed || number >= 0.0,
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
            unsigned: false,
            exact: false,
            set: false,
            measure: None,
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

    /// A reading here has no sign.
    pub const fn unsigned(mut self) -> Self {
        self.unsigned = true;
        self
    }

    /// A bound is of no use here.
    pub const fn exact(mut self) -> Self {
        self.exact = true;
        self
    }

    /// Read from an instrument.
    pub const fn measures(mut self, measure: Measure) -> Self {
        self.measure = Some(measure);
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

/// A section, declared once: a line for each key and column with the field it is read into, its word
/// where that is not the field's name, its kind of value, what it is, and what else holds for it. A
/// kind that is the name of a dimension is a quantity; a line without a field is read by hand, into a
/// field that `+` adds. Makes the `SCHEMA`, the types and their readers.
///
/// What stands above the tests has an argument, and readers that say what else they are given. A test
/// is read with its [`Context`](crate::record::kinds::Context); its rows need a reading of each group
/// of columns in `needs`, or are read `by` a function of their own.
macro_rules! section {
    (
        $name:literal $(or $other:literal)?, $argument:ident, $doc:literal;
        $(#[$meta:meta])* $type:ident::$read:ident($($args:tt)*) { $($keys:tt)* } $(+ { $($own:tt)* })?
        $($(#[$row_meta:meta])* $row:ident::$row_read:ident($($row_args:tt)*) { $($columns:tt)* } $(+ { $($row_own:tt)* })?)?
    ) => {
        section!(@schema $name [$($other)?] $argument $doc [$($keys)*] [$($($columns)*)?]);
        section!(@typed body [$(#[$meta])* $type::$read($($args)*)] [$($($own)*)?] [] $($keys)*);
        $(section!(@typed body [$(#[$row_meta])* $row::$row_read($($row_args)*)] [$($($row_own)*)?] [] $($columns)*);)?
    };
    (
        $name:literal $(or $other:literal)?, $doc:literal;
        $(#[$meta:meta])* $type:ident { $($keys:tt)* } $(+ { $($(#[$own_meta:meta])* $own:ident: $own_type:ty = $own_read:path;)* })?
        $(
            $(#[$row_meta:meta])* $rows:ident: $row:ident $(by $by:ident)? $(needs [$([$($need:literal),*]),*])? { $($columns:tt)* }
            $(+ { $($(#[$row_own_meta:meta])* $row_own:ident: $row_own_type:ty = $row_own_read:path;)* })?
        )?
    ) => {
        section!(@schema $name [$($other)?] Pair $doc [$($keys)*] [$($($columns)*)?]);
        section!(@typed test [$(#[$meta])* $type::read(c: &mut $crate::record::kinds::Context<'_>)]
            [$($($(#[$own_meta])* $own: $own_type = $own_read(c);)*)? $($rows: Vec<$row> = section!(@rows c $row [$($by)?] [$($([$($need),*])*)?]);)?] [] $($keys)*);
        $(section!(@typed row [$(#[$row_meta])* $row::read(c: &mut $crate::record::kinds::Context<'_>, cells: &$crate::record::body::Cells<'_>)]
            [$($($(#[$row_own_meta])* $row_own: $row_own_type = $row_own_read(c, cells);)*)? span: $crate::ground::span::Span = c.span(cells);] [] $($columns)*);)?
    };
    (@rows $c:ident $row:ident [$by:ident] []) => { $by($c) };
    (@rows $c:ident $row:ident [] [$([$($need:literal),*])*]) => { $c.rows(&[$(&[$($need),*]),*], $row::read) };
    (@schema $name:literal [$($other:literal)?] $argument:ident $doc:literal $keys:tt $columns:tt) => {
        pub static SCHEMA: $crate::record::schema::Section = $crate::record::schema::Section {
            name: $name,
            also: &[$($other)?],
            argument: $crate::record::schema::Argument::$argument,
            keys: section!(@lines Key $keys),
            columns: section!(@lines Column $columns),
            doc: $doc,
        };
    };
    (@lines $of:ident [$($($field:ident)? $($word:literal)?: $kind:ident $(($($in:tt)*))? $doc:literal $($more:ident $(($($arg:tt)*))?)*;)*]) => {
        &[$(
            $crate::record::schema::$of::new(section!(@word $($field)? $($word)?), section!(@kind $kind $(($($in)*))?), $doc)
                $(.$more($($($arg)*)?))*
        ),*]
    };
    // Lines with a field are gathered, those without are left out; then the type is made.
    (@typed $mode:ident $head:tt $own:tt [$($done:tt)*] $word:literal: $kind:ident $(($($in:tt)*))? $doc:literal $($more:ident $(($($arg:tt)*))?)*; $($rest:tt)*) => {
        section!(@typed $mode $head $own [$($done)*] $($rest)*);
    };
    (@typed $mode:ident $head:tt $own:tt [$($done:tt)*] $field:ident $($word:literal)?: $kind:ident $(($($in:tt)*))? $doc:literal $($more:ident $(($($arg:tt)*))?)*; $($rest:tt)*) => {
        section!(@typed $mode $head $own [$($done)* ($field [$field $($word)?] $doc [$kind $(($($in)*))?])] $($rest)*);
    };
    (@typed $mode:ident [$(#[$meta:meta])* $type:ident::$read:ident $given:tt]
        [$($(#[$own_meta:meta])* $own:ident: $own_type:ty = $value:expr;)*]
        [$(($field:ident [$($word:tt)*] $doc:literal $kind:tt))*]
    ) => {
        $(#[$meta])*
        #[derive(Clone, Debug)]
        pub struct $type {
            $(#[doc = $doc] pub $field: section!(@type $mode $kind),)*
            $($(#[$own_meta])* pub $own: $own_type,)*
        }

        impl $type {
            /// Takes what is written of it.
            pub fn $read $given -> Self {
                Self {
                    $($field: section!(@take $mode $kind $given section!(@word $($word)*)),)*
                    $($own: $value,)*
                }
            }
        }

        section!(@taken $mode $type [$($field)* $($own)*]);
    };
    (@taken body $($rest:tt)*) => {};
    (@taken $mode:ident $type:ident [$($field:ident)*]) => {
        impl $crate::record::fence::Taken for $type {
            fn take_out(&mut self, places: &[$crate::ground::span::Span]) {
                $($crate::record::fence::Taken::take_out(&mut self.$field, places);)*
            }
        }
    };
    (@word $field:ident) => { stringify!($field) };
    (@word $($field:ident)? $word:literal) => { $word };
    (@take row [Pair] ($c:ident: $context:ty, $cells:ident: $($more:tt)*) $word:expr) => { $c.on($cells) };
    (@take row [Core] ($c:ident: $context:ty, $cells:ident: $($more:tt)*) $word:expr) => { $c.core($cells) };
    (@take row [Between] ($c:ident: $context:ty, $cells:ident: $($more:tt)*) $word:expr) => { $c.between($cells) };
    (@take row $kind:tt ($c:ident: $context:ty, $cells:ident: $($more:tt)*) $word:expr) => { $cells.get($word) };
    (@take test $kind:tt ($c:ident: $($more:tt)*) $word:expr) => { $c.body.get($word) };
    (@take body $kind:tt ($from:ident: $($more:tt)*) $word:expr) => { $from.get($word) };
    (@type row [Pair]) => { Option<$crate::ground::span::Located<$crate::trade::Pair>> };
    (@type row [Core]) => { Option<usize> };
    (@type $mode:ident [Choice($words:ty)]) => { $crate::ground::span::Given<$words> };
    (@type $mode:ident [At $of:tt]) => { $crate::ground::span::Given<$crate::record::value::At> };
    (@type $mode:ident [Text]) => { $crate::ground::span::Given<String> };
    (@type $mode:ident [Number]) => { $crate::ground::span::Given<f64> };
    (@type $mode:ident [Count]) => { $crate::ground::span::Given<f64> };
    (@type $mode:ident [Ratio]) => { $crate::ground::span::Given<$crate::trade::Ratio> };
    (@type $mode:ident [Class]) => { $crate::ground::span::Given<$crate::trade::Class> };
    (@type $mode:ident [Burden]) => { $crate::ground::span::Given<$crate::trade::Burden> };
    (@type $mode:ident [Between]) => { $crate::ground::span::Given<$crate::trade::Between> };
    (@type $mode:ident [Moment]) => { $crate::ground::span::Given<$crate::ground::date::Moment> };
    (@type $mode:ident [$($dimension:tt)*]) => { $crate::ground::span::Given<$crate::ground::quantity::Quantity> };
    (@kind Choice($words:ty)) => { $crate::record::schema::Kind::Choice(<$words as strum::VariantNames>::VARIANTS) };
    (@kind Either($first:ident, $second:ident)) => { $crate::record::schema::Kind::Either($crate::ground::unit::Dimension::$first, $crate::ground::unit::Dimension::$second) };
    (@kind At($value:ident, $at:ident)) => { $crate::record::schema::Kind::QuantityAt($crate::ground::unit::Dimension::$value, $crate::ground::unit::Dimension::$at) };
    (@kind Text) => { $crate::record::schema::Kind::Text };
    (@kind Number) => { $crate::record::schema::Kind::Number };
    (@kind Count) => { $crate::record::schema::Kind::Count };
    (@kind Pair) => { $crate::record::schema::Kind::Pair };
    (@kind Terminals) => { $crate::record::schema::Kind::Terminals };
    (@kind Ratio) => { $crate::record::schema::Kind::Ratio };
    (@kind Class) => { $crate::record::schema::Kind::Class };
    (@kind Burden) => { $crate::record::schema::Kind::Burden };
    (@kind Between) => { $crate::record::schema::Kind::Between };
    (@kind Core) => { $crate::record::schema::Kind::Core };
    (@kind Moment) => { $crate::record::schema::Kind::Moment };
    (@kind $dimension:ident) => { $crate::record::schema::Kind::Quantity($crate::ground::unit::Dimension::$dimension) };
}
pub(super) use section;

choices! {
    /// Which of several equal tests a section is.
    #[strum(serialize_all = "lowercase")]
    pub enum Stage {
        #[strum(serialize = "as found")]
        AsFound,
        #[strum(serialize = "as left")]
        AsLeft,
        Retest,
    }
}

choices! {
    /// How the temperature of a winding was found.
    #[strum(serialize_all = "lowercase")]
    pub enum FoundBy {
        /// A thermometer on the winding, or on what it is cast in.
        Contact,
        Oil,
        /// The outside of the tank or the housing.
        Tank,
        Air,
        Estimated,
    }
}

impl FoundBy {
    /// The row of common practice that says how far off a winding's temperature may be then; `None` where it
    /// is the winding's own.
    pub fn practice(self) -> Option<&'static str> {
        match self {
            Self::Contact => None,
            Self::Oil => Some("temperature-by-oil"),
            Self::Tank => Some("temperature-by-tank"),
            Self::Air => Some("temperature-by-air"),
            Self::Estimated => Some("temperature-estimated"),
        }
    }
}

/// Keys that every test section knows, beside its own.
static SHARED: &[Key] = section!(@lines Key [
    "note": Text "a remark; allowed in every section, and may repeat" repeat;
    "instrument": Text "the instrument of this section, instead of the visit's";
    "reference": Text
        "the standard (a reference CT, a standard resistor) that was compared with";
    "range": Text "the range the instrument was set to";
    "stage": Choice(Stage) "which of several equal tests this one is";
    "time": Text "clock time, where it matters; a section with `taken:` has it there";
    "temperature": Temperature "temperature of what was measured";
    "temperature by": Choice(FoundBy) "how that temperature was found";
]);

/// The keys that every test section knows; the first of them is every section's. The manual's page of
/// sections is made of them.
pub fn shared_keys() -> &'static [Key] {
    SHARED
}

impl Section {
    /// Its opening line, by an example: `[core 1S]`.
    pub fn opening(&self) -> String {
        format!("[{}{}]", self.name, self.argument.example())
    }

    /// Whether this is one of its spellings.
    pub fn is_called(&self, name: &str) -> bool {
        self.name == name || self.also.contains(&name)
    }

    /// The key of this spelling.
    pub fn key(&self, word: &str) -> Option<&'static Key> {
        self.all_keys()
            .find(|key| key.word == word || key.also.contains(&word))
    }

    /// The column of this spelling.
    pub fn column(&self, word: &str) -> Option<&'static Column> {
        self.columns.iter().find(|column| column.is_called(word))
    }

    /// The columns that a line names, however its words are parted.
    pub fn columns_in(&self, text: &str) -> Vec<&'static Column> {
        let padded = format!(" {} ", text.replace(['\t', '|', ',', ';'], " "));
        let stands = |word: &&str| padded.contains(&format!(" {word} "));
        let named = |column: &&Column| stands(&column.word) || column.also.iter().any(&stands);
        self.columns.iter().filter(named).collect()
    }

    /// Its own keys and those that all tests share.
    pub fn all_keys(&self) -> impl Iterator<Item = &'static Key> {
        // All sections share the note, tests the others too.
        let shared = if self.is_test() { SHARED.len() } else { 1 };
        let has_moment = self.keys.iter().any(|key| key.word == "taken");
        let shared = SHARED.iter().take(shared);
        let shared = shared.filter(move |key| !(has_moment && key.word == "time"));
        self.keys.iter().chain(shared)
    }

    /// Whether it is a test of a visit.
    pub fn is_test(&self) -> bool {
        self.argument == Argument::Pair
    }
}
