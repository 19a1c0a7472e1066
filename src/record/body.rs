//! A section as read: its fields and tables, and the typed values that are asked of them by name.

use super::readings::Measure;
use super::schema::{Column, Key, Kind};
use super::value::{Amendment, Datum, Held, Omission, held};
use crate::ground::date::Date;
use crate::ground::quantity::{Quantity, Reading};
use crate::ground::span::{Given, Located, Span};

/// A field as read.
#[derive(Clone, Debug)]
pub struct Field {
    pub key: &'static Key,
    pub key_span: Span,
    pub value: Given<Datum>,
    pub text: Located<String>,
    /// Where a plate value comes from (`… from drawing`).
    pub origin: Option<&'static str>,
    pub amended: Vec<Amendment>,
}

/// A row as read; `cells` has one entry per column of the table's heading.
#[derive(Clone, Debug)]
pub struct Row {
    pub span: Span,
    pub cells: Vec<Given<Datum>>,
    pub amended: Vec<Amendment>,
}

/// A table as read.
#[derive(Clone, Debug)]
pub struct Table {
    pub heading: Span,
    /// `None` where the heading's word is unknown.
    pub columns: Vec<Option<&'static Column>>,
    pub rows: Vec<Row>,
}

/// A section as read.
#[derive(Clone, Debug, Default)]
pub struct Body {
    pub open: Span,
    pub argument: Span,
    pub fields: Vec<Field>,
    pub tables: Vec<Table>,
    pub notes: Vec<Located<String>>,
    pub omissions: Vec<Omission>,
    /// The first line that was not understood: the section is shown, not judged.
    pub doubtful: Option<Span>,
    /// The section whose keys stand here, and where: its opening line is lost.
    pub lost: Option<(&'static str, Span)>,
}

impl Body {
    /// The last day on which something in it was amended.
    pub fn last_amended(&self) -> Option<Located<Date>> {
        let fields = self.fields.iter().flat_map(|field| &field.amended);
        let rows = self.tables.iter().flat_map(|table| &table.rows);
        let all = fields.chain(rows.flat_map(|row| &row.amended));
        let dated = all.filter_map(|one| Some(Located::new(one.date?, one.span)));
        dated.max_by_key(|one| one.value)
    }

    /// The field of this key, for keys that stand once.
    pub fn field(&self, word: &str) -> Option<&Field> {
        self.fields.iter().find(|field| field.key.word == word)
    }

    /// All fields of a repeatable key.
    fn fields_of<'a>(&'a self, word: &'a str) -> impl Iterator<Item = &'a Field> {
        self.fields
            .iter()
            .filter(move |field| field.key.word == word)
    }

    /// The texts of a repeatable key.
    pub fn texts<'a>(&'a self, word: &'a str) -> impl Iterator<Item = &'a Located<String>> {
        self.fields_of(word).map(|field| &field.text)
    }

    /// The values of a repeatable key that could be read.
    pub fn all<T: Held>(&self, word: &str) -> Vec<Located<T>> {
        let written = self.fields_of(word).filter_map(|field| field.value.get());
        written
            .filter_map(|datum| Some(Located::new(T::held(&datum.value)?, datum.span)))
            .collect()
    }

    /// The keys whose value does not come from the plate, with where it comes from.
    pub fn origins(&self) -> Vec<(&'static str, &'static str)> {
        let fields = self.fields.iter();
        let named = fields.filter_map(|field| Some((field.key.word, field.origin?)));
        named.filter(|(_, origin)| *origin != "plate").collect()
    }

    /// Whether it holds keys, and nothing but `-` in them.
    pub fn is_blank(&self) -> bool {
        let mut fields = self.fields.iter();
        let blank = !self.fields.is_empty() && fields.all(|field| field.value.is_missing());
        blank && self.tables.is_empty()
    }

    /// The value of a key.
    pub fn get<T: Held>(&self, word: &str) -> Given<T> {
        held(self.field(word).map(|field| &field.value))
    }

    /// The readings that an instrument took, in the order of the file.
    pub fn readings(&self) -> impl Iterator<Item = (Measure, Reading)> {
        let rows = self.cells();
        let cells = rows.flat_map(|of| of.table.columns.iter().zip(&of.row.cells));
        cells.filter_map(|(column, cell)| {
            let (measure, cell) = ((*column)?.measure?, cell.get()?);
            let value = Quantity::held(&cell.value)?;
            Some((measure, Reading::new(value, cell.span)))
        })
    }

    /// The rows of all tables.
    pub fn cells(&self) -> impl Iterator<Item = Cells<'_>> {
        self.tables.iter().flat_map(Table::cells)
    }
}

/// A row together with its table, so that cells are asked for by name.
#[derive(Clone, Copy)]
pub struct Cells<'a> {
    pub table: &'a Table,
    pub row: &'a Row,
}

impl Table {
    /// Its rows with their columns.
    pub fn cells(&self) -> impl Iterator<Item = Cells<'_>> {
        self.rows.iter().map(move |row| Cells { table: self, row })
    }

    /// Where the heading has this column.
    fn position(&self, word: &str) -> Option<usize> {
        let is = |column: &Option<&Column>| column.is_some_and(|column| column.word == word);
        self.columns.iter().position(is)
    }

    /// Whether a cell of the heading is no column, which was told.
    pub fn any_unknown(&self) -> bool {
        self.columns.iter().any(Option::is_none)
    }

    /// Whether the heading has this column.
    pub fn has(&self, word: &str) -> bool {
        self.position(word).is_some()
    }
}

impl Cells<'_> {
    /// Whether everything in the row that is found out on the day is `-`: what names the row, and what is
    /// set beforehand, does not count.
    pub fn is_blank(&self) -> bool {
        let names = |kind: Kind| matches!(kind, Kind::Pair | Kind::Core | Kind::Between);
        let reading = |column: &Column| !names(column.kind) && !column.set;
        let cells = self.table.columns.iter().zip(&self.row.cells);
        let mut readings = cells
            .filter(|(column, _)| column.is_some_and(reading))
            .map(|(_, cell)| cell)
            .peekable();
        readings.peek().is_some() && readings.all(Given::is_missing)
    }

    /// Whether all that says what a row speaks of (its core, its phase, its place) could be read.
    pub fn is_named(&self) -> bool {
        let names = |column: &Column| match column.kind {
            Kind::Core | Kind::Choice(_) => true,
            kind => kind == Kind::Text && column.set,
        };
        let mut cells = self.table.columns.iter().zip(&self.row.cells);
        !cells.any(|(column, cell)| column.is_some_and(names) && cell.is_unreadable())
    }

    fn cell(&self, word: &str) -> Option<&Given<Datum>> {
        self.row.cells.get(self.table.position(word)?)
    }

    /// Whether nothing was written into a column.
    pub fn is_missing(&self, word: &str) -> bool {
        self.cell(word).is_none_or(Given::is_missing)
    }

    /// The value in a column.
    pub fn get<T: Held>(&self, word: &str) -> Given<T> {
        held(self.cell(word))
    }
}
