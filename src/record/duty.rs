//! `[duty CORE since …]`: what the circuit asks of a core. A verdict about it is the circuit's,
//! never the CT's.

use super::body::Body;
use super::schema::section;
use super::value::choices;
use crate::ground::date::Date;
use crate::ground::span::{Located, Span};
use crate::trade::Pair;

section! {
    "duty", CoreSince, "what the circuit asks of a core, from a day on";
    /// A duty, from a day on; its pair is already looked up.
    Duty::read(
        body: &Body, core: usize, since: Option<Located<Date>>, tap: Option<Located<Pair>>
    ) {
        "tap in service": Pair "the pair that is connected";
        fault_current "fault current": Current
            "largest symmetrical primary current the protection must follow (r.m.s.)" positive;
        x_over_r "x/r": Number "ratio of reactance to resistance of the fault loop" positive;
        burden: Burden "relay and leads, one way and back";
        required_knee "required knee": Voltage "least knee voltage by the relay's own rule" positive;
        required_factor "required factor": Number
            "least accuracy limit factor at the connected burden by the relay's own rule" positive;
        knee_rule "knee rule": Choice(KneeBy)
            "which knee the requirement means: 10/50 (10 % more voltage, 50 % more current), 45 deg or 30 deg (tangent)";
        rule: Text "where the requirement comes from";
        zone: Text "the differential zone that the circuit belongs to, by its name";
        remanence: Percent "flux left in the core that the simulation starts with";
        lead_length "lead length": Length "length of the leads, one way" positive;
        lead_section "lead section": Area "cross-section of a lead, of copper" positive;
        lead_resistance "lead resistance": ResistancePerLength
            "resistance per length of a lead at 20 C, instead of its cross-section" positive;
        lead_temperature "lead temperature": Temperature
            "temperature that the leads are taken at; 75 C without it, as the winding";
        lead_returns "lead returns": Choice(Returns)
            "full: the fault current returns through an equal lead; none: it does not";
        relay_burden "relay burden": Burden "what the relay adds to the leads";
    } + {
        core: usize = core;
        since: Option<Located<Date>> = since;
        tap: Option<Located<Pair>> = tap;
        notes: Vec<Located<String>> = body.notes.clone();
        span: Span = body.open;
        doubtful: Option<Span> = body.doubtful;
    }
}

choices! {
    /// Which knee a required knee voltage means.
    #[derive(strum::IntoStaticStr)]
    pub enum KneeBy {
        /// 10 % more voltage takes 50 % more current.
        #[strum(serialize = "10/50")]
        Steps,
        #[strum(serialize = "45 deg")]
        Tangent45,
        #[strum(serialize = "30 deg")]
        Tangent30,
    }

    /// Whether the fault current returns through a lead like the outgoing one.
    #[strum(serialize_all = "lowercase")]
    pub enum Returns {
        Full,
        None,
    }
}
