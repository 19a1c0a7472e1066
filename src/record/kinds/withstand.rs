//! `[withstand]`: a power-frequency or direct voltage held for a time.

use super::Context;
use super::insulation::names;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Span};
use crate::ground::unit::Dimension;
use crate::record::schema::{Argument, Column, Kind, Section};
use crate::record::value::Between;

pub static SCHEMA: Section = Section {
    name: "withstand",
    also: &[],
    argument: Argument::Pair,
    keys: &[],
    columns: &[
        Column::new("between", Kind::Between, "what was tested against what"),
        Column::positive(
            "voltage",
            Kind::Quantity(Dimension::Voltage),
            "test voltage, r.m.s.",
        ),
        Column::positive(
            "time",
            Kind::Quantity(Dimension::Time),
            "how long it was held",
        ),
        Column::new(
            "result",
            Kind::Choice(&["held", "broke-down"]),
            "held or broke-down",
        ),
    ],
    doc: "a test voltage held for a time",
};

/// One application of voltage.
#[derive(Clone, Debug)]
pub struct WithstandRow {
    pub between: Given<Between>,
    pub voltage: Given<Quantity>,
    pub time: Given<Quantity>,
    pub result: Given<String>,
    pub span: Span,
}

/// All of one section.
#[derive(Clone, Debug)]
pub struct Withstand {
    pub rows: Vec<WithstandRow>,
}

pub fn read(c: &mut Context<'_>) -> Withstand {
    let mut rows = Vec::new();
    for cells in c
        .body
        .tables
        .iter()
        .flat_map(crate::record::reader::Table::cells)
    {
        let between = cells.between("between");
        names(c, &between);
        rows.push(WithstandRow {
            between,
            voltage: cells.quantity("voltage"),
            time: cells.quantity("time"),
            result: cells.text("result"),
            span: cells.row.span,
        });
    }
    Withstand { rows }
}
