//! `[inspection]`: what was looked at.

use super::Context;
use crate::ground::span::{Given, Span};
use crate::record::schema::{Argument, Column, Kind, Section};

pub static SCHEMA: Section = Section {
    name: "inspection",
    also: &[],
    argument: Argument::Pair,
    keys: &[],
    columns: &[
        Column::new("item", Kind::Text, "what was looked at"),
        Column::new("state", Kind::Text, "how it was"),
        Column::new("remark", Kind::Text, "anything else"),
    ],
    doc: "what was looked at: item | state | remark",
};

/// One item.
#[derive(Clone, Debug)]
pub struct InspectionRow {
    pub item: Given<String>,
    pub state: Given<String>,
    pub remark: Given<String>,
    pub span: Span,
}

/// All items of one section.
#[derive(Clone, Debug)]
pub struct Inspection {
    pub rows: Vec<InspectionRow>,
}

pub fn read(c: &mut Context<'_>) -> Inspection {
    let row = |cells: crate::record::reader::Cells<'_>| InspectionRow {
        item: cells.text("item"),
        state: cells.text("state"),
        remark: cells.text("remark"),
        span: cells.row.span,
    };
    Inspection {
        rows: c
            .body
            .tables
            .iter()
            .flat_map(|table| table.cells())
            .map(row)
            .collect(),
    }
}
