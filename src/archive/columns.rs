//! Columns as data, and the rows that they are of.

use crate::ground::date::Date;
use std::sync::Arc;

/// Text of a cell. Rows share what they have in common.
pub type Text = Arc<str>;

/// What the cells of a column hold. Any cell may be empty.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Text,
    /// A number of double precision.
    Number,
    /// A whole number.
    Whole,
    /// Yes or no.
    Flag,
    /// A calendar day.
    Day,
}

impl Kind {
    /// As the manual says it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Text => "text",
            Self::Number => "number",
            Self::Whole => "whole number",
            Self::Flag => "true or false",
            Self::Day => "date",
        }
    }
}

/// A cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cell<'a> {
    Text(Option<&'a str>),
    Number(Option<f64>),
    Whole(Option<i64>),
    Flag(Option<bool>),
    Day(Option<Date>),
}

/// A column.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// Stable name; never reused for another meaning.
    pub name: &'static str,
    pub kind: Kind,
    /// What it holds, with the unit where all its numbers have one.
    pub doc: &'static str,
}

/// A table: what it is called, and its columns in their order.
#[derive(Debug)]
pub struct Table {
    pub name: &'static str,
    pub doc: &'static str,
    pub columns: &'static [Column],
}

/// A row of a table.
pub trait Row: Clone + Send {
    const TABLE: &'static Table;

    /// Its cells in the order of the columns.
    fn cells(&self) -> Vec<Cell<'_>>;
}

/// Declares a table once: a line for each column with its name, what its cells hold and what it is. Makes the row and
/// its [`Table`].
macro_rules! table {
    ($(#[$meta:meta])* $row:ident, $name:literal, $about:literal; $($field:ident: $kind:ident $doc:literal;)*) => {
        $(#[$meta])*
        #[derive(Clone, Debug, Default, PartialEq)]
        pub struct $row {
            $(#[doc = $doc] pub $field: table!(@type $kind),)*
        }

        impl $crate::archive::columns::Row for $row {
            const TABLE: &'static $crate::archive::columns::Table = &$crate::archive::columns::Table {
                name: $name,
                doc: $about,
                columns: &[$($crate::archive::columns::Column {
                    name: stringify!($field),
                    kind: $crate::archive::columns::Kind::$kind,
                    doc: $doc,
                }),*],
            };

            fn cells(&self) -> Vec<$crate::archive::columns::Cell<'_>> {
                vec![$(table!(@cell $kind self.$field)),*]
            }
        }
    };
    (@type Text) => { Option<$crate::archive::columns::Text> };
    (@type Number) => { Option<f64> };
    (@type Whole) => { Option<i64> };
    (@type Flag) => { Option<bool> };
    (@type Day) => { Option<$crate::ground::date::Date> };
    (@cell Text $field:expr) => { $crate::archive::columns::Cell::Text($field.as_deref()) };
    // What is no number stands nowhere, and zero has no sign: engines do not agree on them.
    (@cell Number $field:expr) => {
        $crate::archive::columns::Cell::Number($field.filter(|x| x.is_finite()).map(|x| x + 0.0))
    };
    (@cell $kind:ident $field:expr) => { $crate::archive::columns::Cell::$kind($field) };
}
pub(super) use table;

/// Both tables.
#[must_use]
pub fn tables() -> [&'static Table; 2] {
    [super::long::Quantity::TABLE, super::wide::CoreRow::TABLE]
}
