//! `[resistance]`: winding resistance by direct current.

use super::{Context, Needs};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::record::body::Table;
use crate::record::schema::{Section, section};
use crate::record::value::Amendment;
use crate::trade::Pair;

pub static SCHEMA: Section = section! {
    "resistance", Pair, "winding resistance by direct current";
    keys {
        "wires": Number
            "4: the leads are not in the reading; 2: they are, and are subtracted by the self-check's value";
    }
    columns {
        "on": Pair "pair that was read";
        "current": Current "direct current" positive set;
        "voltage": Voltage "voltage across the pair" positive;
        "resistance": Resistance "resistance as shown" positive never("Mohm", "Gohm");
        "after": Time "time since the current was switched on" set;
    }
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
    let needs = |table: &Table| -> Needs {
        if table.has("resistance") {
            &[&["resistance"]]
        } else {
            &[&["voltage"], &["current"]]
        }
    };
    let rows = c.rows_by(needs, |c, cells| ResistanceRow {
        on: c.on(cells),
        current: cells.get("current"),
        voltage: cells.get("voltage"),
        resistance: cells.get("resistance"),
        after: cells.get("after"),
        amended: cells.row.amended.clone(),
        span: cells.row.span,
    });
    Resistance {
        wires: c.body.get("wires"),
        rows,
    }
}
