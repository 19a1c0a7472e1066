//! `[remanence]`: remanence factor and loop time constant of gapped cores.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located};
use crate::ground::unit::Dimension;
use crate::record::schema::{Argument, Key, Kind, Section};
use crate::record::value::Pair;

pub static SCHEMA: Section = Section {
    name: "remanence",
    also: &[],
    argument: Argument::Pair,
    keys: &[
        Key::new(
            "method",
            Kind::Choice(&["dc", "ac", "capacitor"]),
            "method of IEC 61869-2, Annex 2B",
        ),
        Key::new(
            "remanence factor",
            Kind::Quantity(Dimension::Percent),
            "remanent flux over saturation flux",
        ),
        Key::new(
            "loop time constant",
            Kind::Quantity(Dimension::Time),
            "secondary loop time constant at the rated burden",
        ),
        Key::new(
            "inductance",
            Kind::Quantity(Dimension::Inductance),
            "magnetising inductance",
        ),
    ],
    columns: &[],
    doc: "remanence factor and loop time constant",
};

/// What was found.
#[derive(Clone, Debug)]
pub struct Remanence {
    pub on: Option<Located<Pair>>,
    pub method: Given<&'static str>,
    pub factor: Given<Quantity>,
    pub loop_time_constant: Given<Quantity>,
    pub inductance: Given<Quantity>,
}

pub fn read(c: &mut Context<'_>) -> Remanence {
    Remanence {
        on: c.pair,
        method: c.body.choice("method"),
        factor: c.body.quantity("remanence factor"),
        loop_time_constant: c.body.quantity("loop time constant"),
        inductance: c.body.quantity("inductance"),
    }
}
