//! `[polarity]`: which terminals rise together.

use super::Context;
use crate::ground::span::{Given, Located, Span};
use crate::record::schema::{Section, section};
use crate::record::value::choices;
use crate::trade::Pair;
use strum::{EnumString, VariantNames};

pub static SCHEMA: Section = section! {
    "polarity", Pair, "which terminals rise together";
    keys {
        "method": Choice(Method)
            "kick: by battery and direct-current meter; comparison: against a known CT; phase: by the phase of the ratio test";
        "plus on": Text
            "primary terminal that the battery's plus was touched to; the meter's plus is on the lower secondary terminal";
        "deflection": Choice(Deflection) "how the meter moved when the battery was connected";
        "result": Choice(Outcome) "result of a comparison";
    }
    columns {
        "on": Pair "pair that was read";
        "deflection": Choice(Deflection) "how the meter moved on make";
        "result": Choice(Outcome) "result of a comparison";
    }
};

/// How polarity was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Method {
    Kick,
    Comparison,
    Phase,
}

/// How the meter moved when the battery was connected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Deflection {
    #[strum(serialize = "up on make")]
    Up,
    #[strum(serialize = "down on make")]
    Down,
}

/// What a comparison showed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Outcome {
    #[strum(serialize = "as marked")]
    AsMarked,
    Reversed,
}

choices!(Method, Deflection, Outcome);

/// What one pair showed.
#[derive(Clone, Debug)]
pub struct PolarityRow {
    pub on: Option<Located<Pair>>,
    pub deflection: Given<Deflection>,
    pub result: Given<Outcome>,
    pub span: Span,
}

/// All of one section.
#[derive(Clone, Debug)]
pub struct Polarity {
    pub method: Given<Method>,
    pub plus_on: Given<String>,
    pub rows: Vec<PolarityRow>,
}

pub fn read(c: &mut Context<'_>) -> Polarity {
    let mut rows = c.rows(&[], |c, cells| PolarityRow {
        on: c.on(cells),
        deflection: cells.get("deflection"),
        result: cells.get("result"),
        span: cells.row.span,
    });
    if rows.is_empty() {
        rows.push(PolarityRow {
            on: c.whole(),
            deflection: c.body.get("deflection"),
            result: c.body.get("result"),
            span: c.body.open,
        });
    }
    Polarity {
        method: c.body.get("method"),
        plus_on: c.body.get("plus on"),
        rows,
    }
}
