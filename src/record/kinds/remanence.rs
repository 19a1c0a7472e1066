//! `[remanence]`: remanence factor and loop time constant of gapped cores.

use super::Context;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located};
use crate::record::schema::{Section, section};
use crate::record::value::choices;
use crate::trade::Pair;
use strum::{EnumString, VariantNames};

pub static SCHEMA: Section = section! {
    "remanence", Pair, "remanence factor and loop time constant";
    keys {
        "method": Choice(Method) "method of IEC 61869-2, Annex 2B";
        "remanence factor": Percent "remanent flux over saturation flux";
        "loop time constant": Time "secondary loop time constant at the rated burden";
        "inductance": Inductance "magnetising inductance";
    }
    columns {}
};

/// Methods of IEC 61869-2, Annex 2B.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Method {
    Dc,
    Ac,
    Capacitor,
}

choices!(Method);

/// What was found.
#[derive(Clone, Debug)]
pub struct Remanence {
    pub on: Option<Located<Pair>>,
    pub method: Given<Method>,
    pub factor: Given<Quantity>,
    pub loop_time_constant: Given<Quantity>,
    pub inductance: Given<Quantity>,
}

pub fn read(c: &mut Context<'_>) -> Remanence {
    Remanence {
        on: c.pair,
        method: c.body.get("method"),
        factor: c.body.get("remanence factor"),
        loop_time_constant: c.body.get("loop time constant"),
        inductance: c.body.get("inductance"),
    }
}
