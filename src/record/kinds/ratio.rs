//! `[ratio]`: by voltage on the secondary, or by current in the primary.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::ground::unit::Dimension;
use crate::record::reader::Cells;
use crate::record::schema::{Argument, Column, Key, Kind, Section};
use crate::record::value::{Amendment, Burden, Pair};

pub static SCHEMA: Section = Section {
    name: "ratio",
    also: &[],
    argument: Argument::Pair,
    keys: &[
        Key::new(
            "method",
            Kind::Choice(&["voltage", "current"]),
            "voltage: driven on the secondary, read on the primary; current: driven through the primary",
        ),
        Key::new(
            "burden",
            Kind::Burden,
            "burden on the secondary, for the method by current: 10 VA at 0.80, connected, shorted",
        ),
        Key::new(
            "frequency",
            Kind::Quantity(Dimension::Frequency),
            "frequency of the source, where it is not the rated one",
        ),
    ],
    columns: &[
        Column::new(
            "on",
            Kind::Pair,
            "pair that was driven (by voltage without a pair in the head), or read",
        ),
        Column::positive(
            "applied",
            Kind::Quantity(Dimension::Voltage),
            "voltage on the driven secondary pair",
        ),
        Column::positive(
            "induced",
            Kind::Quantity(Dimension::Voltage),
            "voltage at the primary",
        ),
        Column::positive(
            "read",
            Kind::Quantity(Dimension::Voltage),
            "voltage at the pair in `on`, while the head's pair is driven",
        ),
        Column::positive(
            "rated",
            Kind::Quantity(Dimension::Percent),
            "primary current in per cent of rated",
        )
        .set(),
        Column::positive(
            "primary",
            Kind::Quantity(Dimension::Current),
            "primary current",
        ),
        Column::positive(
            "secondary",
            Kind::Quantity(Dimension::Current),
            "secondary current",
        ),
        Column::new(
            "error",
            Kind::Quantity(Dimension::Percent),
            "ratio error as the comparator shows it",
        ),
        Column::new(
            "phase",
            Kind::Quantity(Dimension::Angle),
            "phase displacement, positive when the secondary leads",
        ),
    ],
    doc: "ratio, by voltage or by current",
};

/// Where a voltage was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum On {
    Pair(Pair),
    Primary,
}

/// One reading.
#[derive(Clone, Debug)]
pub struct RatioRow {
    pub on: Option<Located<On>>,
    pub applied: Given<Quantity>,
    /// At the primary, or at the sensed pair.
    pub induced: Given<Quantity>,
    pub rated: Given<Quantity>,
    pub primary: Given<Quantity>,
    pub secondary: Given<Quantity>,
    pub error: Given<Quantity>,
    pub phase: Given<Quantity>,
    pub amended: Vec<Amendment>,
    pub span: Span,
}

/// How the ratio was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    Voltage,
    Current,
}

/// All readings of one section.
#[derive(Clone, Debug)]
pub struct RatioTest {
    pub method: Option<Method>,
    pub burden: Given<Burden>,
    pub frequency: Given<Quantity>,
    pub rows: Vec<RatioRow>,
}

pub fn read(c: &mut Context<'_>) -> RatioTest {
    let mut rows = Vec::new();
    let has = |word: &str| c.body.tables.iter().any(|table| table.has(word));
    let by_columns = if has("applied") || has("induced") {
        Some(Method::Voltage)
    } else if has("secondary") || has("error") {
        Some(Method::Current)
    } else {
        None
    };
    let method = match c.body.choice("method").value() {
        Some(&"voltage") => Some(Method::Voltage),
        Some(&"current") => Some(Method::Current),
        _ => by_columns,
    };
    for table in &c.body.tables {
        match method {
            Some(Method::Voltage) => {
                c.column_needed(table, &["applied"]);
                c.column_needed(table, &["induced", "read"]);
            }
            _ => c.column_needed(table, &["secondary", "error", "phase"]),
        }
        for cells in table.cells() {
            if method == Some(Method::Voltage) {
                c.cell_needed(&cells, &["applied"]);
                c.cell_needed(&cells, &["induced", "read"]);
            } else {
                c.cell_needed(&cells, &["secondary", "error", "phase"]);
            }
            let on = on(c, &cells);
            if on.is_none() {
                c.pair_needed(&cells);
            }
            let read = cells.quantity("read");
            rows.push(RatioRow {
                on,
                applied: cells.quantity("applied"),
                induced: if read.is_missing() {
                    cells.quantity("induced")
                } else {
                    read
                },
                rated: cells.quantity("rated"),
                primary: cells.quantity("primary"),
                secondary: cells.quantity("secondary"),
                error: cells.quantity("error"),
                phase: cells.quantity("phase"),
                amended: cells.row.amended.clone(),
                span: cells.row.span,
            });
        }
    }
    RatioTest {
        method,
        burden: c.body.burden("burden"),
        frequency: c.body.quantity("frequency"),
        rows,
    }
}

fn on(c: &mut Context<'_>, cells: &Cells<'_>) -> Option<Located<On>> {
    if let Given::Written(name) = cells.pair("on") {
        let primary = [("H1", "H2"), ("P1", "P2"), ("K", "L")];
        if primary.contains(&(name.value.from.as_str(), name.value.to.as_str())) {
            return Some(Located::new(On::Primary, name.span));
        }
    }
    c.on(cells)
        .map(|pair| Located::new(On::Pair(pair.value), pair.span))
}
