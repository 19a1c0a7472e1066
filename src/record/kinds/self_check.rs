//! `[self-check]`: the instrument against itself, and its leads.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::ground::unit::Dimension;
use crate::record::schema::{Argument, Key, Kind, Section};

pub static SCHEMA: Section = Section {
    name: "self-check",
    also: &[],
    argument: Argument::Pair,
    keys: &[
        Key::new(
            "ratio of 1",
            Kind::Number,
            "what the instrument shows with both inputs on one source",
        ),
        Key::new(
            "leads",
            Kind::Quantity(Dimension::Resistance),
            "resistance of the leads, clips shorted together",
        ),
    ],
    columns: &[],
    doc: "the instrument against itself, and its leads",
};

/// The instrument's own check.
#[derive(Clone, Debug)]
pub struct SelfCheck {
    pub ratio_of_one: Given<f64>,
    pub leads: Given<Quantity>,
}

pub fn read(c: &mut Context<'_>) -> SelfCheck {
    SelfCheck {
        ratio_of_one: c.body.number("ratio of 1"),
        leads: c.body.quantity("leads"),
    }
}
