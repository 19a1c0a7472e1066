//! `[insulation]`: resistance between groups of windings and earth, by direct voltage.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::ground::unit::Dimension;
use crate::record::core::{core_index, core_unknown};
use crate::record::schema::{Argument, Column, Kind, Section};
use crate::record::value::{Amendment, Between, Item};

pub static SCHEMA: Section = Section {
    name: "insulation",
    also: &[],
    argument: Argument::Pair,
    keys: &[],
    columns: &[
        Column::new(
            "between",
            Kind::Between,
            "what was measured against what: 1S to primary, cores and earth",
        ),
        Column::positive(
            "voltage",
            Kind::Quantity(Dimension::Voltage),
            "direct test voltage",
        )
        .set(),
        Column::positive(
            "time",
            Kind::Quantity(Dimension::Time),
            "time under voltage when it was read",
        )
        .set(),
        Column::positive(
            "resistance",
            Kind::Quantity(Dimension::Resistance),
            "insulation resistance as shown",
        )
        .never(&["mohm", "uohm"]),
        Column::positive(
            "current",
            Kind::Quantity(Dimension::Current),
            "leakage current, where resistance follows from it",
        ),
    ],
    doc: "resistance between windings and earth by direct voltage",
};

/// One reading.
#[derive(Clone, Debug)]
pub struct InsulationRow {
    pub between: Given<Between>,
    pub voltage: Given<Quantity>,
    pub time: Given<Quantity>,
    pub resistance: Given<Quantity>,
    pub current: Given<Quantity>,
    pub amended: Vec<Amendment>,
    pub span: Span,
}

/// All readings of one section.
#[derive(Clone, Debug)]
pub struct Insulation {
    pub rows: Vec<InsulationRow>,
}

pub fn read(c: &mut Context<'_>) -> Insulation {
    let mut rows = Vec::new();
    for table in &c.body.tables {
        c.column_needed(table, &["between"]);
        c.column_needed(table, &["resistance", "current"]);
        for cells in table.cells() {
            c.cell_needed(&cells, &["resistance", "current"]);
            let between = cells.between("between");
            names(c, &between);
            rows.push(InsulationRow {
                between,
                voltage: cells.quantity("voltage"),
                time: cells.quantity("time"),
                resistance: cells.quantity("resistance"),
                current: cells.quantity("current"),
                amended: cells.row.amended.clone(),
                span: cells.row.span,
            });
        }
    }
    Insulation { rows }
}

/// The named cores of a group must exist.
pub fn names(c: &mut Context<'_>, between: &Given<Between>) {
    let Given::Written(Located { value, span }) = between else {
        return;
    };
    for item in value.from.iter().chain(&value.to) {
        if let Item::Core(name) = item
            && core_index(c.cores, name).is_none()
        {
            c.found.push(core_unknown(name, *span, c.cores));
        }
    }
}
