//! `[restored]`: the last look before the lid is closed.

use super::Context;
use super::state::core_of;
use crate::ground::span::{Given, Span};
use crate::record::schema::{Argument, Column, Key, Kind, Section};

pub static SCHEMA: Section = Section {
    name: "restored",
    also: &[],
    argument: Argument::Pair,
    keys: &[Key::new(
        "checked by",
        Kind::Text,
        "the second person who looked",
    )],
    columns: &[
        Column::new("core", Kind::Core, "name of the core"),
        Column::new("links", Kind::Text, "test and shorting links as left"),
        Column::new("earth", Kind::Text, "where the secondary is earthed").or(&["ground"]),
        Column::new(
            "earths counted",
            Kind::Number,
            "earths found on the circuit; there is to be one",
        )
        .or(&["grounds counted"]),
        Column::new("in service", Kind::Text, "pair as left connected"),
        Column::new("remark", Kind::Text, "anything else"),
    ],
    doc: "as left, checked by a second person",
};

/// How one core was left.
#[derive(Clone, Debug)]
pub struct CoreRestored {
    pub core: Option<usize>,
    pub links: Given<String>,
    pub earth: Given<String>,
    pub earths: Given<f64>,
    pub in_service: Given<String>,
    pub remark: Given<String>,
    pub span: Span,
}

/// How the CT was left.
#[derive(Clone, Debug)]
pub struct Restored {
    pub cores: Vec<CoreRestored>,
    pub checked_by: Given<String>,
}

pub fn read(c: &mut Context<'_>) -> Restored {
    let mut cores = Vec::new();
    for cells in c
        .body
        .tables
        .iter()
        .flat_map(crate::record::reader::Table::cells)
    {
        cores.push(CoreRestored {
            core: core_of(c, &cells.text("core")),
            links: cells.text("links"),
            earth: cells.text("earth"),
            earths: cells.number("earths counted"),
            in_service: cells.text("in service"),
            remark: cells.text("remark"),
            span: cells.row.span,
        });
    }
    Restored {
        cores,
        checked_by: c.body.text("checked by"),
    }
}
