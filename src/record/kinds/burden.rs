//! `[burden]`: the connected circuit, measured with the CT side open.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::ground::unit::Dimension;
use crate::record::schema::{Argument, Column, Key, Kind, Section};
use crate::record::value::{Amendment, Pair};

pub static SCHEMA: Section = Section {
    name: "burden",
    also: &[],
    argument: Argument::Pair,
    keys: &[Key::new(
        "frequency",
        Kind::Quantity(Dimension::Frequency),
        "frequency of the source, where it is not the rated one",
    )],
    columns: &[
        Column::new("on", Kind::Pair, "pair whose outgoing circuit was measured"),
        Column::new("loop", Kind::Text, "phase-neutral, phase-phase, …"),
        Column::positive(
            "current",
            Kind::Quantity(Dimension::Current),
            "current into the circuit",
        )
        .set(),
        Column::positive(
            "voltage",
            Kind::Quantity(Dimension::Voltage),
            "voltage across it",
        ),
        Column::new(
            "angle",
            Kind::Quantity(Dimension::Angle),
            "angle by which the current lags",
        ),
    ],
    doc: "the connected circuit, CT side open",
};

/// One loop.
#[derive(Clone, Debug)]
pub struct BurdenRow {
    pub on: Option<Located<Pair>>,
    pub path: Given<String>,
    pub current: Given<Quantity>,
    pub voltage: Given<Quantity>,
    pub angle: Given<Quantity>,
    pub amended: Vec<Amendment>,
    pub span: Span,
}

/// All of one section.
#[derive(Clone, Debug)]
pub struct BurdenTest {
    pub frequency: Given<Quantity>,
    pub rows: Vec<BurdenRow>,
}

pub fn read(c: &mut Context<'_>) -> BurdenTest {
    let mut rows = Vec::new();
    for table in &c.body.tables {
        c.column_needed(table, &["current"]);
        c.column_needed(table, &["voltage"]);
        for cells in table.cells() {
            c.cell_needed(&cells, &["current"]);
            c.cell_needed(&cells, &["voltage"]);
            let on = c.on(&cells);
            if on.is_none() {
                c.pair_needed(&cells);
            }
            rows.push(BurdenRow {
                on,
                path: cells.text("loop"),
                current: cells.quantity("current"),
                voltage: cells.quantity("voltage"),
                angle: cells.quantity("angle"),
                amended: cells.row.amended.clone(),
                span: cells.row.span,
            });
        }
    }
    BurdenTest {
        frequency: c.body.quantity("frequency"),
        rows,
    }
}
