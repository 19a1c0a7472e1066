//! `[duty CORE since …]`: what the circuit asks of a core. A verdict about it is the circuit's,
//! never the CT's.

use super::reader::Body;
use super::schema::{Argument, Key, Kind, Section};
use super::value::{Burden, Pair};
use crate::ground::date::Date;
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::ground::unit::Dimension;

pub static SCHEMA: Section = Section {
    name: "duty",
    also: &[],
    argument: Argument::CoreSince,
    keys: &[
        Key::new("tap in service", Kind::Pair, "the pair that is connected"),
        Key::new(
            "fault current",
            Kind::Quantity(Dimension::Current),
            "largest symmetrical primary current the protection must follow (r.m.s.)",
        ),
        Key::new(
            "x/r",
            Kind::Number,
            "ratio of reactance to resistance of the fault loop",
        ),
        Key::new("burden", Kind::Burden, "relay and leads, one way and back"),
        Key::new(
            "required knee",
            Kind::Quantity(Dimension::Voltage),
            "least knee voltage by the relay's own rule",
        ),
        Key::new(
            "required factor",
            Kind::Number,
            "least accuracy limit factor at the connected burden by the relay's own rule",
        ),
        Key::new("rule", Kind::Text, "where the requirement comes from"),
        Key::new(
            "remanence",
            Kind::Quantity(Dimension::Percent),
            "flux left in the core that the simulation starts with",
        ),
        Key::new(
            "lead length",
            Kind::Quantity(Dimension::Length),
            "length of the leads, one way",
        ),
        Key::new(
            "lead section",
            Kind::Quantity(Dimension::Area),
            "cross-section of a lead",
        ),
        Key::new(
            "lead returns",
            Kind::Choice(&["full", "none"]),
            "full: the fault current returns through an equal lead; none: it does not",
        ),
        Key::new(
            "relay burden",
            Kind::Burden,
            "what the relay adds to the leads",
        ),
    ],
    columns: &[],
    doc: "what the circuit asks of a core, from a day on",
};

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
    pub lead_returns: Given<&'static str>,
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
            fault_current: body.quantity("fault current"),
            x_over_r: body.number("x/r"),
            burden: body.burden("burden"),
            required_knee: body.quantity("required knee"),
            required_factor: body.number("required factor"),
            rule: body.text("rule"),
            remanence: body.quantity("remanence"),
            lead_length: body.quantity("lead length"),
            lead_section: body.quantity("lead section"),
            lead_returns: body.choice("lead returns"),
            relay_burden: body.burden("relay burden"),
            notes: body.notes.clone(),
            span: body.open,
            doubtful: body.doubtful,
        }
    }
}
