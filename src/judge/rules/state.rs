//! State as found: its rules.

use super::rules;

rules! {
    State, Circuit {
        TAP_IN_SERVICE = "tap-in-service" {
            title: "tap in service as found",
            means: "the tap on which a core was found, held against the tap its duty names",
            matters: "relay settings and meter factors depend on the tap in service",
            action: "ask which is right, then correct the duty on record, or the connection with the primary dead and earthed; relay settings depend on it",
            source: "common practice, no source",
        }
        STAR_POINT = "star-point" {
            title: "star point as found",
            means: "the terminal at the star point, held against the same core of the sisters",
            matters: "a star made at the other end in one phase turns its current round: differential and directional protection trip, or do not",
            action: "follow the wires in the terminal box by their marks, and see which end goes to the star in each phase; correct what is wrong with the primary dead and earthed",
            source: "common practice, no source",
        }
        SPARE_SHORTED = "spare-shorted" {
            title: "spare core",
            means: "a spare core that the record does not state to be shorted",
            matters: "an open secondary under primary current can reach kilovolts, and can kill",
            action: "with the primary dead, short the whole winding of the spare core and earth it at one point",
            source: "NEC 110.23: unused CTs of live circuits stay shorted; UFC 3-560-01, 9-5.2: no secondary is opened while the primary is live",
        }
        NOT_RESTORED = "not-restored" {
            title: "links or leads out of service",
            means: "links, leads or an earth were found out of service and no line says how the circuit was left",
            matters: "a link left open is an open secondary at the next energising, and can kill",
            action: "check the circuit on site, then have it recorded as left: links, earths counted, the second person",
            source: "common practice, no source",
        }
    }
}
