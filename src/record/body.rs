//! A section as read: its fields and tables, and the typed values that are asked of them by name.

use super::aside::Omission;
use super::schema::{Column, Key, Kind};
use super::value::{Amendment, Datum};
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
}

impl Body {
    /// The field of this key, for keys that stand once.
    pub fn field(&self, word: &str) -> Option<&Field> {
        self.fields.iter().find(|field| field.key.word == word)
    }

    /// All fields of a repeatable key.
    pub fn fields_of<'a>(&'a self, word: &'a str) -> impl Iterator<Item = &'a Field> {
        self.fields
            .iter()
            .filter(move |field| field.key.word == word)
    }

    fn given<T>(&self, word: &str, pick: impl Fn(&Datum) -> Option<T>) -> Given<T> {
        match self.field(word).map(|field| &field.value) {
            None | Some(Given::Missing) => Given::Missing,
            Some(Given::Unreadable(span)) => Given::Unreadable(*span),
            Some(Given::Written(datum)) => pick(&datum.value)
                .map_or(Given::Unreadable(datum.span), |value| {
                    Given::Written(Located::new(value, datum.span))
                }),
        }
    }

    pub fn text(&self, word: &str) -> Given<String> {
        self.given(word, |datum| match datum {
            Datum::Text(text) | Datum::Core(text) => Some(text.clone()),
            Datum::Choice(text) => Some((*text).to_owned()),
            _ => None,
        })
    }

    pub fn choice(&self, word: &str) -> Given<&'static str> {
        self.given(word, |datum| {
            if let Datum::Choice(text) = datum {
                Some(*text)
            } else {
                None
            }
        })
    }

    pub fn quantity(&self, word: &str) -> Given<crate::ground::quantity::Quantity> {
        self.given(word, |datum| {
            if let Datum::Quantity(quantity) = datum {
                Some(*quantity)
            } else {
                None
            }
        })
    }

    pub fn number(&self, word: &str) -> Given<f64> {
        self.given(word, |datum| {
            if let Datum::Number(number) = datum {
                Some(*number)
            } else {
                None
            }
        })
    }

    pub fn at(&self, word: &str) -> Given<super::value::At> {
        self.given(word, |datum| {
            if let Datum::At(at) = datum {
                Some(*at)
            } else {
                None
            }
        })
    }

    pub fn ratio(&self, word: &str) -> Given<super::value::Ratio> {
        self.given(word, |datum| {
            if let Datum::Ratio(ratio) = datum {
                Some(*ratio)
            } else {
                None
            }
        })
    }

    pub fn burden(&self, word: &str) -> Given<super::value::Burden> {
        self.given(word, |datum| {
            if let Datum::Burden(burden) = datum {
                Some(burden.clone())
            } else {
                None
            }
        })
    }

    pub fn class(&self, word: &str) -> Given<super::class::Class> {
        self.given(word, |datum| {
            if let Datum::Class(class) = datum {
                Some(class.clone())
            } else {
                None
            }
        })
    }

    pub fn pair(&self, word: &str) -> Given<super::value::PairName> {
        self.given(word, |datum| {
            if let Datum::Pair(pair) = datum {
                Some(pair.clone())
            } else {
                None
            }
        })
    }

    pub fn terminals(&self, word: &str) -> Given<Vec<Located<String>>> {
        self.given(word, |datum| {
            if let Datum::Terminals(terminals) = datum {
                Some(terminals.clone())
            } else {
                None
            }
        })
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

    /// Whether the heading has this column.
    pub fn has(&self, word: &str) -> bool {
        self.columns
            .iter()
            .flatten()
            .any(|column| column.word == word)
    }
}

impl Cells<'_> {
    /// Whether every reading of the row is `-`; what is set beforehand does not count.
    pub fn is_blank(&self) -> bool {
        let quantity = |column: &Option<&'static Column>| {
            column.is_some_and(|column| matches!(column.kind, Kind::Quantity(_)) && !column.set)
        };
        let mut cells = self
            .table
            .columns
            .iter()
            .zip(&self.row.cells)
            .filter(|(column, _)| quantity(column))
            .map(|(_, cell)| cell);
        let (mut any, mut blank) = (false, true);
        for cell in &mut cells {
            any = true;
            blank = blank && cell.is_missing();
        }
        any && blank
    }

    fn given<T>(&self, word: &str, pick: impl Fn(&Datum) -> Option<T>) -> Given<T> {
        let index = self
            .table
            .columns
            .iter()
            .position(|column| column.is_some_and(|column| column.word == word));
        match index.and_then(|index| self.row.cells.get(index)) {
            None | Some(Given::Missing) => Given::Missing,
            Some(Given::Unreadable(span)) => Given::Unreadable(*span),
            Some(Given::Written(datum)) => pick(&datum.value)
                .map_or(Given::Unreadable(datum.span), |value| {
                    Given::Written(Located::new(value, datum.span))
                }),
        }
    }

    pub fn quantity(&self, word: &str) -> Given<crate::ground::quantity::Quantity> {
        self.given(word, |datum| {
            if let Datum::Quantity(quantity) = datum {
                Some(*quantity)
            } else {
                None
            }
        })
    }

    pub fn number(&self, word: &str) -> Given<f64> {
        self.given(word, |datum| {
            if let Datum::Number(number) = datum {
                Some(*number)
            } else {
                None
            }
        })
    }

    pub fn text(&self, word: &str) -> Given<String> {
        self.given(word, |datum| match datum {
            Datum::Text(text) | Datum::Core(text) => Some(text.clone()),
            Datum::Choice(text) => Some((*text).to_owned()),
            _ => None,
        })
    }

    pub fn pair(&self, word: &str) -> Given<super::value::PairName> {
        self.given(word, |datum| {
            if let Datum::Pair(pair) = datum {
                Some(pair.clone())
            } else {
                None
            }
        })
    }

    pub fn between(&self, word: &str) -> Given<super::value::Between> {
        self.given(word, |datum| {
            if let Datum::Between(between) = datum {
                Some(between.clone())
            } else {
                None
            }
        })
    }

    pub fn ratio(&self, word: &str) -> Given<super::value::Ratio> {
        self.given(word, |datum| {
            if let Datum::Ratio(ratio) = datum {
                Some(*ratio)
            } else {
                None
            }
        })
    }

    pub fn burden(&self, word: &str) -> Given<super::value::Burden> {
        self.given(word, |datum| {
            if let Datum::Burden(burden) = datum {
                Some(burden.clone())
            } else {
                None
            }
        })
    }

    pub fn class(&self, word: &str) -> Given<super::class::Class> {
        self.given(word, |datum| {
            if let Datum::Class(class) = datum {
                Some(class.clone())
            } else {
                None
            }
        })
    }
}
