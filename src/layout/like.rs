//! What is read of a record, whatever its blanks and the spelling of its units: by this a record and itself laid out
//! are held against each other.

use super::units;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::quantity::Quantity;
use crate::ground::source::Source;
use crate::ground::span::{Given, Span};
use crate::record::Written;
use crate::record::body::{Body, Field, Table};
use crate::record::value::{At, Datum};

/// Everything that is read, as text.
#[derive(PartialEq)]
pub struct Read {
    lines: usize,
    /// What is told, and of which line.
    told: Vec<(Code, usize)>,
    sections: Vec<(String, Option<Section>)>,
}

#[derive(PartialEq)]
struct Section {
    fields: Vec<(&'static str, Cell)>,
    tables: Vec<Rows>,
    notes: Vec<String>,
    omissions: Vec<String>,
    doubtful: Option<usize>,
}

/// The columns of a table, and its rows.
type Rows = (Vec<Option<&'static str>>, Vec<Vec<Cell>>);

/// Whether it could be read, and as what; its text.
type Cell = (u8, String);

impl Read {
    pub fn of(source: &Source, written: &Written, told: &[Diagnostic]) -> Self {
        let tree = &written.tree;
        let bodies = tree.sections.iter().zip(&written.bodies);
        let sections = bodies.map(|(section, body)| {
            let open = bare(source.slice(section.open));
            (open, body.as_ref().map(|body| of_body(source, body)))
        });
        let line = |told: &Diagnostic| (told.code, source.line(told.span.start));
        Self {
            lines: tree.lines.len(),
            told: told.iter().map(line).collect(),
            sections: sections.collect(),
        }
    }
}

fn of_body(source: &Source, body: &Body) -> Section {
    let field = |field: &Field| {
        let text = match field.value.value() {
            Some(datum) => said(datum, &units::value(&field.text.value, field.key.kind)),
            None => field.text.value.clone(),
        };
        (field.key.word, (state(&field.value), bare(&text)))
    };
    let table = |table: &Table| {
        let columns = table.columns.iter();
        let columns = columns.map(|column| column.map(|column| column.word));
        let rows = table.rows.iter().map(|row| {
            let text = |cell: &Given<Datum>| match cell.span() {
                Some(span) if cell.value().is_some_and(is_quantity) => {
                    let datum = cell.value();
                    datum.map_or(String::new(), |datum| said(datum, source.slice(span)))
                }
                Some(span) if span == row.span => bare(source.slice(span)),
                Some(span) => source.slice(span).to_owned(),
                None => String::new(),
            };
            let cells = row.cells.iter().map(|cell| (state(cell), text(cell)));
            cells.collect()
        });
        (columns.collect(), rows.collect())
    };
    let text = |span: Span| source.slice(span).to_owned();
    Section {
        fields: body.fields.iter().map(field).collect(),
        tables: body.tables.iter().map(table).collect(),
        notes: body.notes.iter().map(|note| note.value.clone()).collect(),
        omissions: body.omissions.iter().map(|one| text(one.span)).collect(),
        doubtful: body.doubtful.map(|span| source.line(span.start)),
    }
}

fn is_quantity(datum: &Datum) -> bool {
    matches!(datum, Datum::Quantity(_))
}

/// What a value is in itself, where its unit may be spelled otherwise; else its text.
fn said(datum: &Datum, text: &str) -> String {
    let one = |one: &Quantity| {
        let Quantity {
            si,
            resolution,
            bound,
            half_width,
            ..
        } = one;
        format!("{si:?} {resolution:?} {bound:?} {half_width:?}")
    };
    match datum {
        Datum::Quantity(quantity) => one(quantity),
        Datum::At(At { value, at }) => format!("{} at {}", one(value), one(at)),
        _ => text.to_owned(),
    }
}

fn state<T>(given: &Given<T>) -> u8 {
    match given {
        Given::Written(_) => 0,
        Given::Missing => 1,
        Given::Unreadable(_) => 2,
    }
}

/// A text without its blanks.
fn bare(text: &str) -> String {
    text.replace([' ', '\t'], "")
}
