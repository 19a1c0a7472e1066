//! `[demagnetisation]`: an operation, not a measurement; it may repeat, and its place in the file is
//! its place in the work.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::ground::unit::Dimension;
use crate::record::schema::{Argument, Column, Key, Kind, Section};
use crate::record::value::Pair;

pub static SCHEMA: Section = Section {
    name: "demagnetisation",
    also: &["demagnetization"],
    argument: Argument::Pair,
    keys: &[
        Key::new(
            "method",
            Kind::Choice(&["open", "closed", "dc"]),
            "open: by the secondary; closed: by the primary with a burden; dc: with falling reversals",
        ),
        Key::new(
            "start",
            Kind::Either(Dimension::Voltage, Dimension::Current),
            "where the source started from: 480 V, or 480 A of primary current",
        ),
        Key::new(
            "end",
            Kind::Either(Dimension::Voltage, Dimension::Current),
            "where it ended: 0 V",
        ),
        Key::new(
            "frequency",
            Kind::Quantity(Dimension::Frequency),
            "frequency of the source, where it is not the rated one",
        ),
        Key::new(
            "duration",
            Kind::Quantity(Dimension::Time),
            "how long the way down took",
        ),
    ],
    columns: &[
        Column::new("on", Kind::Pair, "pair that was driven"),
        Column::new(
            "start",
            Kind::Quantity(Dimension::Voltage),
            "voltage at the start",
        ),
        Column::new(
            "end",
            Kind::Quantity(Dimension::Voltage),
            "voltage at the end",
        ),
        Column::new(
            "time",
            Kind::Quantity(Dimension::Time),
            "how long the way down took",
        ),
    ],
    doc: "taking the residual magnetism out of a core",
};

/// One core brought to zero.
#[derive(Clone, Debug)]
pub struct DemagnetisationRow {
    pub on: Option<Located<Pair>>,
    pub start: Given<Quantity>,
    pub end: Given<Quantity>,
    pub time: Given<Quantity>,
    pub span: Span,
}

/// All of one section.
#[derive(Clone, Debug)]
pub struct Demagnetisation {
    pub method: Given<&'static str>,
    pub frequency: Given<Quantity>,
    pub rows: Vec<DemagnetisationRow>,
}

pub fn read(c: &mut Context<'_>) -> Demagnetisation {
    let mut rows = Vec::new();
    for cells in c
        .body
        .tables
        .iter()
        .flat_map(crate::record::reader::Table::cells)
    {
        let on = c.on(&cells);
        if on.is_none() {
            c.pair_needed(&cells);
        }
        rows.push(DemagnetisationRow {
            on,
            start: cells.quantity("start"),
            end: cells.quantity("end"),
            time: cells.quantity("time"),
            span: cells.row.span,
        });
    }
    if rows.is_empty() {
        let only = if c.cores.len() == 1 {
            c.cores.first().map(|core| Pair {
                core: 0,
                from: 0,
                to: core.last_mark(),
            })
        } else {
            None
        };
        rows.push(DemagnetisationRow {
            on: c.pair.or(only.map(|pair| Located::new(pair, c.body.open))),
            start: c.body.quantity("start"),
            end: c.body.quantity("end"),
            time: c.body.quantity("duration"),
            span: c.body.open,
        });
    }
    Demagnetisation {
        method: c.body.choice("method"),
        frequency: c.body.quantity("frequency"),
        rows,
    }
}
