//! What the manual says of each name: diagnostics, rules, requirements, limits, formulas, and the words of the
//! format. Made from their registers, once for the book's pages and for `kneemark explain`.

mod entries;

pub use entries::{formula, rule};

use crate::ground::nearest::nearest;
use crate::record::schema::Section;

/// What bears a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    Section,
    Key,
    Column,
    Diagnostic,
    Rule,
    Requirement,
    Limit,
    Formula,
}

impl Kind {
    /// All, in the order of a list.
    pub const ALL: &'static [Self] = &[
        Self::Section,
        Self::Key,
        Self::Column,
        Self::Diagnostic,
        Self::Rule,
        Self::Requirement,
        Self::Limit,
        Self::Formula,
    ];

    /// The word before the name.
    pub fn word(self) -> &'static str {
        match self {
            Self::Section => "section",
            Self::Key => "key",
            Self::Column => "column",
            Self::Diagnostic => "diagnostic",
            Self::Rule => "rule",
            Self::Requirement => "requirement",
            Self::Limit => "limit",
            Self::Formula => "formula",
        }
    }
}

/// A piece of what is said of something.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Said {
    /// What the items and lines below it are.
    Head(&'static str),
    Line(String),
    /// One of a list.
    Item(String),
}

impl Said {
    /// The text, whatever it is of.
    pub fn text(&self) -> &str {
        match self {
            Self::Head(text) => text,
            Self::Line(text) | Self::Item(text) => text,
        }
    }
}

/// A name, and what is said of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    pub kind: Kind,
    pub name: String,
    /// Other accepted spellings.
    pub also: &'static [&'static str],
    /// What it is, on one line.
    pub title: String,
    pub said: Vec<Said>,
}

impl Entry {
    /// Whether a name is one of its spellings.
    fn is_called(&self, name: &str) -> bool {
        self.name == name || self.also.contains(&name)
    }
}

/// Everything that has a name, kind by kind.
pub fn all() -> Vec<Entry> {
    Kind::ALL
        .iter()
        .flat_map(|kind| entries::of(*kind))
        .collect()
}

/// What a word of a section means: one of its keys or columns.
pub fn word_of(section: &'static Section, kind: Kind, word: &str) -> Option<Entry> {
    entries::word_of(section, kind, word)
}

/// What a section is.
pub fn section(section: &'static Section) -> Entry {
    entries::section(section)
}

/// What a name means; it may be written as it stands in a record: `[core]`, `burden:`.
///
/// # Errors
/// The known name that it is most like, where no name is this one.
pub fn named(name: &str) -> Result<Vec<Entry>, Option<String>> {
    let all = all();
    let bare = name.strip_prefix('[').unwrap_or(name);
    let bare = bare.strip_suffix([']', ':']).unwrap_or(bare);
    let found: Vec<Entry> = all
        .iter()
        .filter(|one| one.is_called(bare))
        .cloned()
        .collect();
    match found.is_empty() {
        false => Ok(found),
        true => Err(nearest(bare, all.iter().map(|one| one.name.as_str())).map(str::to_owned)),
    }
}
