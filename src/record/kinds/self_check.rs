//! `[self-check]`: the instrument against itself, and its leads.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::schema::{Section, section};

pub static SCHEMA: Section = section! {
    "self-check", Pair, "the instrument against itself, and its leads";
    keys {
        "ratio of 1": Number "what the instrument shows with both inputs on one source";
        "leads": Resistance "resistance of the leads, clips shorted together";
    }
    columns {}
};

/// The instrument's own check.
#[derive(Clone, Debug)]
pub struct SelfCheck {
    pub ratio_of_one: Given<f64>,
    pub leads: Given<Quantity>,
}

pub fn read(c: &mut Context<'_>) -> SelfCheck {
    SelfCheck {
        ratio_of_one: c.body.get("ratio of 1"),
        leads: c.body.get("leads"),
    }
}
