//! `[load]`: on-load current and angle per core, the final proof of star point and ratio.

use super::Context;
use super::state::core_of;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Span};
use crate::ground::unit::Dimension;
use crate::record::schema::{Argument, Column, Key, Kind, Section};

pub static SCHEMA: Section = Section {
    name: "load",
    also: &[],
    argument: Argument::Pair,
    keys: &[Key::new(
        "primary current",
        Kind::Quantity(Dimension::Current),
        "primary current by another measurement",
    )],
    columns: &[
        Column::new("core", Kind::Core, "name of the core"),
        Column::new(
            "at",
            Kind::Text,
            "relay or meter terminal where it was read",
        ),
        Column::positive(
            "current",
            Kind::Quantity(Dimension::Current),
            "secondary current",
        ),
        Column::new(
            "angle",
            Kind::Quantity(Dimension::Angle),
            "angle against the reference voltage",
        ),
        Column::new("remark", Kind::Text, "anything else"),
    ],
    doc: "current and angle under load, per core",
};

/// One reading.
#[derive(Clone, Debug)]
pub struct LoadRow {
    pub core: Option<usize>,
    pub at: Given<String>,
    pub current: Given<Quantity>,
    pub angle: Given<Quantity>,
    pub remark: Given<String>,
    pub span: Span,
}

/// All readings of one section.
#[derive(Clone, Debug)]
pub struct Load {
    pub primary_current: Given<Quantity>,
    pub rows: Vec<LoadRow>,
}

pub fn read(c: &mut Context<'_>) -> Load {
    let mut rows = Vec::new();
    for cells in c
        .body
        .tables
        .iter()
        .flat_map(crate::record::reader::Table::cells)
    {
        rows.push(LoadRow {
            core: core_of(c, &cells.text("core")),
            at: cells.text("at"),
            current: cells.quantity("current"),
            angle: cells.quantity("angle"),
            remark: cells.text("remark"),
            span: cells.row.span,
        });
    }
    Load {
        primary_current: c.body.quantity("primary current"),
        rows,
    }
}
