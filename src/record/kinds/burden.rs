//! `[burden]`: the connected circuit, measured with the CT side open.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::record::schema::{Section, section};
use crate::record::value::Amendment;
use crate::trade::Pair;

pub static SCHEMA: Section = section! {
    "burden", Pair, "the connected circuit, CT side open";
    keys {
        "frequency": Frequency "frequency of the source, where it is not the rated one";
    }
    columns {
        "on": Pair "pair whose outgoing circuit was measured";
        "loop": Text "phase-neutral, phase-phase, …";
        "current": Current "current into the circuit" positive set;
        "voltage": Voltage "voltage across it" positive;
        "angle": Angle "angle by which the current lags";
    }
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
    let rows = c.rows(&[&["current"], &["voltage"]], |c, cells| BurdenRow {
        on: c.on(cells),
        path: cells.get("loop"),
        current: cells.get("current"),
        voltage: cells.get("voltage"),
        angle: cells.get("angle"),
        amended: cells.row.amended.clone(),
        span: cells.row.span,
    });
    BurdenTest {
        frequency: c.body.get("frequency"),
        rows,
    }
}
