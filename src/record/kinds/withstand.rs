//! `[withstand]`: a power-frequency or direct voltage held for a time.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Span};
use crate::record::schema::{Section, section};
use crate::record::value::choices;
use crate::trade::Between;
use strum::{EnumString, VariantNames};

pub static SCHEMA: Section = section! {
    "withstand", Pair, "a test voltage held for a time";
    keys {}
    columns {
        "between": Between "what was tested against what";
        "voltage": Voltage "test voltage, r.m.s." positive;
        "time": Time "how long it was held" positive;
        "result": Choice(Outcome) "held or broke-down";
    }
};

/// How a test voltage went.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumString, VariantNames)]
#[strum(serialize_all = "kebab-case")]
pub enum Outcome {
    Held,
    BrokeDown,
}

choices!(Outcome);

/// One application of voltage.
#[derive(Clone, Debug)]
pub struct WithstandRow {
    pub between: Given<Between>,
    pub voltage: Given<Quantity>,
    pub time: Given<Quantity>,
    pub result: Given<Outcome>,
    pub span: Span,
}

/// All of one section.
#[derive(Clone, Debug)]
pub struct Withstand {
    pub rows: Vec<WithstandRow>,
}

pub fn read(c: &mut Context<'_>) -> Withstand {
    let rows = c.rows(&[], |c, cells| WithstandRow {
        between: c.between(cells),
        voltage: cells.get("voltage"),
        time: cells.get("time"),
        result: cells.get("result"),
        span: cells.row.span,
    });
    Withstand { rows }
}
