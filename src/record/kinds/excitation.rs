//! `[excitation]`: voltage on an open secondary and the current it takes.

use super::Context;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Span};
use crate::ground::unit::Dimension;
use crate::record::schema::{Argument, Column, Key, Kind, Section};
use crate::record::value::Amendment;

pub static SCHEMA: Section = Section {
    name: "excitation",
    also: &[],
    argument: Argument::Pair,
    keys: &[
        Key::new(
            "voltmeter",
            Kind::Choice(&["mean", "rms"]),
            "mean: mean-sensing, scaled in r.m.s. of a sine; rms: true r.m.s.",
        ),
        Key::new(
            "frequency",
            Kind::Quantity(Dimension::Frequency),
            "frequency of the source, where it is not the rated one",
        ),
        Key::new(
            "method",
            Kind::Text,
            "how the curve was taken, where it is not by a rising sine voltage",
        ),
    ],
    columns: &[
        Column::positive(
            "voltage",
            Kind::Quantity(Dimension::Voltage),
            "voltage on the driven pair",
        ),
        Column::positive(
            "current",
            Kind::Quantity(Dimension::Current),
            "exciting current, r.m.s.",
        ),
        Column::positive(
            "peak",
            Kind::Quantity(Dimension::Current),
            "exciting current, peak",
        ),
        Column::new(
            "angle",
            Kind::Quantity(Dimension::Angle),
            "angle by which the current lags the voltage",
        ),
    ],
    doc: "voltage on the open secondary and the current it takes",
};

/// One point of the curve.
#[derive(Clone, Debug)]
pub struct ExcitationRow {
    pub voltage: Given<Quantity>,
    pub current: Given<Quantity>,
    pub peak: Given<Quantity>,
    pub angle: Given<Quantity>,
    pub amended: Vec<Amendment>,
    pub span: Span,
}

/// One curve.
#[derive(Clone, Debug)]
pub struct Excitation {
    pub voltmeter: Given<&'static str>,
    pub frequency: Given<Quantity>,
    pub rows: Vec<ExcitationRow>,
}

pub fn read(c: &mut Context<'_>) -> Excitation {
    let mut rows = Vec::new();
    for table in &c.body.tables {
        c.column_needed(table, &["voltage"]);
        c.column_needed(table, &["current"]);
        for cells in table.cells() {
            c.cell_needed(&cells, &["voltage"]);
            c.cell_needed(&cells, &["current"]);
            rows.push(ExcitationRow {
                voltage: exact(c, cells.quantity("voltage"), "voltage"),
                current: exact(c, cells.quantity("current"), "current"),
                peak: cells.quantity("peak"),
                angle: cells.quantity("angle"),
                amended: cells.row.amended.clone(),
                span: cells.row.span,
            });
        }
    }
    Excitation {
        voltmeter: c.body.choice("voltmeter"),
        frequency: c.body.quantity("frequency"),
        rows,
    }
}

/// A curve has no use for one-sided points.
fn exact(c: &mut Context<'_>, reading: Given<Quantity>, of: &str) -> Given<Quantity> {
    match reading {
        Given::Written(located) if !located.value.is_exact() => {
            let told = Diagnostic::new(Code::BoundHere, located.span, format!("a bound stands where `{of}` needs a value"))
                .label("only one side is known")
                .help("a point of a curve needs both values; take the row out and say in a `note:` where the source ended");
            c.found.push(told);
            Given::Unreadable(located.span)
        }
        other => other,
    }
}
