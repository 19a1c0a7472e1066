//! `[demagnetisation]`: an operation, not a measurement; it may repeat, and its place in the file is
//! its place in the work.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::record::schema::{Section, section};
use crate::record::value::choices;
use crate::trade::Pair;
use strum::{EnumString, VariantNames};

pub static SCHEMA: Section = section! {
    "demagnetisation" or "demagnetization", Pair, "taking the residual magnetism out of a core";
    keys {
        "method": Choice(Method)
            "open: by the secondary; closed: by the primary with a burden; dc: with falling reversals";
        "start": Either(Voltage, Current)
            "where the source started from: 480 V, or 480 A of primary current";
        "end": Either(Voltage, Current) "where it ended: 0 V";
        "frequency": Frequency "frequency of the source, where it is not the rated one";
        "duration": Time "how long the way down took";
    }
    columns {
        "on": Pair "pair that was driven";
        "start": Voltage "voltage at the start";
        "end": Voltage "voltage at the end";
        "time": Time "how long the way down took";
    }
};

/// How the core was demagnetised.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Method {
    /// By the secondary, primary open.
    Open,
    /// By the primary, with a burden.
    Closed,
    /// By direct current with falling reversals.
    Dc,
}

choices!(Method);

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
    pub method: Given<Method>,
    pub frequency: Given<Quantity>,
    pub rows: Vec<DemagnetisationRow>,
}

pub fn read(c: &mut Context<'_>) -> Demagnetisation {
    let mut rows = c.rows(&[], |c, cells| DemagnetisationRow {
        on: c.on(cells),
        start: cells.get("start"),
        end: cells.get("end"),
        time: cells.get("time"),
        span: cells.row.span,
    });
    if rows.is_empty() {
        rows.push(DemagnetisationRow {
            on: c.whole(),
            start: c.body.get("start"),
            end: c.body.get("end"),
            time: c.body.get("duration"),
            span: c.body.open,
        });
    }
    Demagnetisation {
        method: c.body.get("method"),
        frequency: c.body.get("frequency"),
        rows,
    }
}
