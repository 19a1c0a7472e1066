//! `[duty CORE since …]`: what the circuit asks of a core. A verdict about it is the circuit's,
//! never the CT's.

use super::body::Body;
use super::schema::{Section, section};
use super::value::choices;
use crate::ground::date::Date;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::trade::{Burden, Pair};
use strum::{EnumString, VariantNames};

pub static SCHEMA: Section = section! {
    "duty", CoreSince, "what the circuit asks of a core, from a day on";
    keys {
        "tap in service": Pair "the pair that is connected";
        "fault current": Current
            "largest symmetrical primary current the protection must follow (r.m.s.)";
        "x/r": Number "ratio of reactance to resistance of the fault loop";
        "burden": Burden "relay and leads, one way and back";
        "required knee": Voltage "least knee voltage by the relay's own rule";
        "required factor": Number
            "least accuracy limit factor at the connected burden by the relay's own rule";
        "rule": Text "where the requirement comes from";
        "remanence": Percent "flux left in the core that the simulation starts with";
        "lead length": Length "length of the leads, one way";
        "lead section": Area "cross-section of a lead";
        "lead returns": Choice(Returns)
            "full: the fault current returns through an equal lead; none: it does not";
        "relay burden": Burden "what the relay adds to the leads";
    }
    columns {}
};

/// Whether the fault current returns through a lead like the outgoing one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumString, VariantNames)]
#[strum(serialize_all = "lowercase")]
pub enum Returns {
    Full,
    None,
}

choices!(Returns);

/// A duty, from a day on.
#[derive(Clone, Debug)]
pub struct Duty {
    pub core: usize,
    pub since: Option<Located<Date>>,
    pub tap: Option<Located<Pair>>,
    pub fault_current: Given<Quantity>,
    pub x_over_r: Given<f64>,
    pub burden: Given<Burden>,
    pub required_knee: Given<Quantity>,
    pub required_factor: Given<f64>,
    pub rule: Given<String>,
    pub remanence: Given<Quantity>,
    pub lead_length: Given<Quantity>,
    pub lead_section: Given<Quantity>,
    pub lead_returns: Given<Returns>,
    pub relay_burden: Given<Burden>,
    pub notes: Vec<Located<String>>,
    pub span: Span,
    pub doubtful: Option<Span>,
}

impl Duty {
    /// Takes what a `[duty]` section says; the pair is already looked up.
    pub fn read(
        core: usize,
        since: Option<Located<Date>>,
        tap: Option<Located<Pair>>,
        body: &Body,
    ) -> Self {
        Self {
            core,
            since,
            tap,
            fault_current: body.get("fault current"),
            x_over_r: body.get("x/r"),
            burden: body.get("burden"),
            required_knee: body.get("required knee"),
            required_factor: body.get("required factor"),
            rule: body.get("rule"),
            remanence: body.get("remanence"),
            lead_length: body.get("lead length"),
            lead_section: body.get("lead section"),
            lead_returns: body.get("lead returns"),
            relay_burden: body.get("relay burden"),
            notes: body.notes.clone(),
            span: body.open,
            doubtful: body.doubtful,
        }
    }
}
