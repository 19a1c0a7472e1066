//! `[resistance]`: winding resistance by direct current.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::ground::unit::Dimension;
use crate::record::schema::{Argument, Column, Key, Kind, Section};
use crate::record::value::{Amendment, Pair};

pub static SCHEMA: Section = Section {
    name: "resistance",
    also: &[],
    argument: Argument::Pair,
    keys: &[Key::new(
        "wires",
        Kind::Number,
        "4: the leads are not in the reading; 2: they are, and are subtracted by the self-check's value",
    )],
    columns: &[
        Column::new("on", Kind::Pair, "pair that was read"),
        Column::positive(
            "current",
            Kind::Quantity(Dimension::Current),
            "direct current",
        )
        .set(),
        Column::positive(
            "voltage",
            Kind::Quantity(Dimension::Voltage),
            "voltage across the pair",
        ),
        Column::positive(
            "resistance",
            Kind::Quantity(Dimension::Resistance),
            "resistance as shown",
        )
        .never(&["Mohm", "Gohm"]),
        Column::new(
            "after",
            Kind::Quantity(Dimension::Time),
            "time since the current was switched on",
        )
        .set(),
    ],
    doc: "winding resistance by direct current",
};

/// One reading.
#[derive(Clone, Debug)]
pub struct ResistanceRow {
    pub on: Option<Located<Pair>>,
    pub current: Given<Quantity>,
    pub voltage: Given<Quantity>,
    pub resistance: Given<Quantity>,
    pub after: Given<Quantity>,
    pub amended: Vec<Amendment>,
    pub span: Span,
}

/// All readings of one section.
#[derive(Clone, Debug)]
pub struct Resistance {
    /// 2 or 4.
    pub wires: Given<f64>,
    pub rows: Vec<ResistanceRow>,
}

pub fn read(c: &mut Context<'_>) -> Resistance {
    let mut rows = Vec::new();
    for table in &c.body.tables {
        let direct = table.has("resistance");
        if !direct {
            c.column_needed(table, &["voltage"]);
            c.column_needed(table, &["current"]);
        }
        for cells in table.cells() {
            if direct {
                c.cell_needed(&cells, &["resistance"]);
            } else {
                c.cell_needed(&cells, &["current"]);
                c.cell_needed(&cells, &["voltage"]);
            }
            let on = c.on(&cells);
            if on.is_none() {
                c.pair_needed(&cells);
            }
            rows.push(ResistanceRow {
                on,
                current: cells.quantity("current"),
                voltage: cells.quantity("voltage"),
                resistance: cells.quantity("resistance"),
                after: cells.quantity("after"),
                amended: cells.row.amended.clone(),
                span: cells.row.span,
            });
        }
    }
    Resistance {
        wires: c.body.number("wires"),
        rows,
    }
}
