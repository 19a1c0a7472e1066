//! `[polarity]`: which terminals rise together.

use super::Context;
use crate::ground::span::{Given, Located, Span};
use crate::record::schema::{Argument, Column, Key, Kind, Section};
use crate::record::value::Pair;

const RESULTS: &[&str] = &["as marked", "reversed"];
const DEFLECTIONS: &[&str] = &["up on make", "down on make"];

pub static SCHEMA: Section = Section {
    name: "polarity",
    also: &[],
    argument: Argument::Pair,
    keys: &[
        Key::new(
            "method",
            Kind::Choice(&["kick", "comparison", "phase"]),
            "kick: by battery and direct-current meter; comparison: against a known CT; phase: by the phase of the ratio test",
        ),
        Key::new(
            "plus on",
            Kind::Text,
            "primary terminal that the battery's plus was touched to; the meter's plus is on the lower secondary terminal",
        ),
        Key::new(
            "deflection",
            Kind::Choice(DEFLECTIONS),
            "how the meter moved when the battery was connected",
        ),
        Key::new("result", Kind::Choice(RESULTS), "result of a comparison"),
    ],
    columns: &[
        Column::new("on", Kind::Pair, "pair that was read"),
        Column::new(
            "deflection",
            Kind::Choice(DEFLECTIONS),
            "how the meter moved on make",
        ),
        Column::new("result", Kind::Choice(RESULTS), "result of a comparison"),
    ],
    doc: "which terminals rise together",
};

/// What one pair showed.
#[derive(Clone, Debug)]
pub struct PolarityRow {
    pub on: Option<Located<Pair>>,
    pub deflection: Given<String>,
    pub result: Given<String>,
    pub span: Span,
}

/// All of one section.
#[derive(Clone, Debug)]
pub struct Polarity {
    pub method: Given<&'static str>,
    pub plus_on: Given<String>,
    pub rows: Vec<PolarityRow>,
}

pub fn read(c: &mut Context<'_>) -> Polarity {
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
        rows.push(PolarityRow {
            on,
            deflection: cells.text("deflection"),
            result: cells.text("result"),
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
        rows.push(PolarityRow {
            on: c.pair.or(only.map(|pair| Located::new(pair, c.body.open))),
            deflection: c.body.text("deflection"),
            result: c.body.text("result"),
            span: c.body.open,
        });
    }
    Polarity {
        method: c.body.choice("method"),
        plus_on: c.body.text("plus on"),
        rows,
    }
}
