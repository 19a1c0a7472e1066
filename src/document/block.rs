//! The parts that a document is made of.

use super::{Grade, Text, slug};
use std::collections::BTreeMap;

/// A part of a document.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// A heading and the chapter below it. `name` is the chapter's class, and its anchor in place
    /// of one made of the text.
    Heading {
        level: u8,
        text: Text,
        name: Option<String>,
    },
    Paragraph(Text),
    /// A paragraph in small print.
    Note(Text),
    /// What can hurt: framed, and never left out.
    Caution(Text),
    List(Vec<Text>),
    /// Steps in their order.
    Steps(Vec<Text>),
    /// Notes under a table, each with the number that the table names.
    Notes(Vec<(usize, Text)>),
    Table(Table),
    Figure(Figure),
    /// Closed on the screen behind its heading, open in print. It must not hold what a reader has
    /// to see.
    Folded {
        level: u8,
        summary: Text,
        blocks: Vec<Block>,
    },
    /// Blocks that belong together, under a class of their own.
    Group(&'static str, Vec<Block>),
    /// A new sheet of paper.
    NewPage,
}

impl Block {
    pub fn heading(level: u8, text: impl Into<Text>) -> Self {
        let (text, name) = (text.into(), None);
        Self::Heading { level, text, name }
    }

    /// A heading of the second level whose chapter has a class of its own, made of its title.
    pub fn chapter(title: &str) -> Self {
        Self::Heading {
            level: 2,
            text: title.into(),
            name: Some(slug(title)),
        }
    }

    pub fn paragraph(text: impl Into<Text>) -> Self {
        Self::Paragraph(text.into())
    }

    /// Drawing and table side by side where the paper allows it.
    pub fn columns(figure: Figure, table: Table) -> Self {
        Self::Group("columns", vec![Self::Figure(figure), Self::Table(table)])
    }
}

/// How a table looks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TableStyle {
    /// Rows and columns, with a heading.
    #[default]
    Grid,
    /// Names and what they stand for, without a heading.
    Facts,
    /// A grid with rules of its own in the style sheet.
    Named(&'static str),
}

/// A table; the first column names its rows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    pub style: TableStyle,
    pub caption: Text,
    pub columns: Vec<Column>,
    pub rows: Vec<Row>,
}

/// A column.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Column {
    pub head: Text,
    pub align: Align,
}

/// Where the cells of a column stand.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Align {
    #[default]
    Left,
    /// Numbers.
    Right,
}

/// A row.
#[derive(Clone, Debug, PartialEq)]
pub enum Row {
    Cells(Vec<Cell>),
    /// A heading of the rows below it, across all columns.
    Group(Text),
}

/// A cell.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Cell {
    /// Nothing is to be said here.
    #[default]
    Empty,
    Told(Text),
    /// Coloured by a grade.
    Graded(Grade, Text),
    /// Left for the pen.
    Blank,
}

/// Stands where nothing was written or is to be said.
pub const NONE: &str = "–";

impl Cell {
    fn says_nothing(&self) -> bool {
        match self {
            Self::Empty => true,
            Self::Told(text) => text.is_empty() || *text == NONE.into(),
            Self::Graded(..) | Self::Blank => false,
        }
    }
}

impl<T: Into<Text>> From<T> for Cell {
    fn from(text: T) -> Self {
        Self::Told(text.into())
    }
}

impl Table {
    /// A table with a heading; a word that begins with `>` heads a column of numbers.
    pub fn grid(heads: &[&str], rows: Vec<Vec<Cell>>) -> Self {
        let column = |word: &&str| match word.strip_prefix('>') {
            Some(word) => Column {
                head: word.into(),
                align: Align::Right,
            },
            None => Column {
                head: (*word).into(),
                align: Align::Left,
            },
        };
        Self {
            columns: heads.iter().map(column).collect(),
            rows: rows.into_iter().map(Row::Cells).collect(),
            ..Self::default()
        }
    }

    /// Names and what they stand for.
    pub fn facts<K: Into<Text>, V: Into<Text>>(rows: impl IntoIterator<Item = (K, V)>) -> Self {
        let row = |(name, text): (K, V)| Row::Cells(vec![name.into().into(), text.into().into()]);
        Self {
            style: TableStyle::Facts,
            columns: vec![Column::default(), Column::default()],
            rows: rows.into_iter().map(row).collect(),
            ..Self::default()
        }
    }

    /// Rows with a name, and room for the pen in all other columns.
    pub fn blank(heads: &[&str], names: impl IntoIterator<Item = String>) -> Self {
        let rows = names.into_iter().map(|name| {
            let blanks = std::iter::repeat_n(Cell::Blank, heads.len().saturating_sub(1));
            std::iter::once(name.into()).chain(blanks).collect()
        });
        Self::grid(heads, rows.collect())
    }

    /// Without the columns behind the first that say nothing in any row.
    #[must_use]
    pub fn without_empty_columns(mut self) -> Self {
        let says = |at: usize| {
            let is_told = |row: &Row| match row {
                Row::Cells(cells) => cells.get(at).is_some_and(|cell| !cell.says_nothing()),
                Row::Group(_) => false,
            };
            at == 0 || self.rows.iter().any(is_told)
        };
        let kept: Vec<bool> = (0..self.columns.len()).map(says).collect();
        let mut keep = kept.iter();
        self.columns.retain(|_| keep.next() != Some(&false));
        for row in &mut self.rows {
            if let Row::Cells(cells) = row {
                let mut keep = kept.iter();
                cells.retain(|_| keep.next() != Some(&false));
            }
        }
        self
    }

    #[must_use]
    pub fn captioned(mut self, caption: impl Into<Text>) -> Self {
        self.caption = caption.into();
        self
    }

    #[must_use]
    pub fn named(mut self, class: &'static str) -> Self {
        self.style = TableStyle::Named(class);
        self
    }
}

/// A drawing in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Small letters, digits, hyphens; where another figure has it, the printer puts a number
    /// behind.
    pub key: String,
    pub picture: Picture,
    /// What is said in plain Markdown, where there is no picture.
    pub instead: Text,
}

/// A picture, with a line below it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Picture {
    /// A whole element, its texts already escaped.
    pub element: String,
    pub caption: String,
    /// A file beside the page that is shown in place of an element.
    pub file: Option<PictureFile>,
}

/// A picture that lies in a file.
#[derive(Clone, Debug, PartialEq)]
pub struct PictureFile {
    /// As seen from a page of its own.
    pub path: String,
    pub alt: String,
}

/// The pictures of a document by their keys.
pub type Pictures = BTreeMap<String, Picture>;
