//! `[insulation]`: resistance between groups of windings and earth, by direct voltage.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Span};
use crate::record::schema::{Section, section};
use crate::record::value::Amendment;
use crate::trade::Between;

pub static SCHEMA: Section = section! {
    "insulation", Pair, "resistance between windings and earth by direct voltage";
    keys {}
    columns {
        "between": Between "what was measured against what: 1S to primary, cores and earth";
        "voltage": Voltage "direct test voltage" positive set;
        "time": Time "time under voltage when it was read" positive set;
        "resistance": Resistance "insulation resistance as shown" positive never("mohm", "uohm");
        "current": Current "leakage current, where resistance follows from it" positive;
    }
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
    for table in &c.body.tables {
        c.column_needed(table, &["between"]);
    }
    let rows = c.rows(&[&["resistance", "current"]], |c, cells| InsulationRow {
        between: c.between(cells),
        voltage: cells.get("voltage"),
        time: cells.get("time"),
        resistance: cells.get("resistance"),
        current: cells.get("current"),
        amended: cells.row.amended.clone(),
        span: cells.row.span,
    });
    Insulation { rows }
}
