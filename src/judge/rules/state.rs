//! State as found: its rules.

use super::rules;

rules! {
    State, Circuit {
        TAP_IN_SERVICE = "tap-in-service" {
            title: "tap in service as found",
            means: "the tap that a core was found on, held against the tap its duty names",
            matters: "relay settings and meter factors hang on the tap in service",
            action: "ask which is right, then change the connection or the [duty]; relay settings hang on it",
            source: "common practice, no source",
        }
        SPARE_SHORTED = "spare-shorted" {
            title: "spare core",
            means: "a spare core that no line of the record says is shorted",
            matters: "an open secondary under primary current can reach kilovolts",
            action: "short and earth the whole winding of the spare core before the primary carries current",
            source: "IEC 61869-2 and IEEE C57.13 warn of open secondaries (from memory)",
        }
        NOT_RESTORED = "not-restored" {
            title: "links or leads out of service",
            means: "links or leads were found out of service and no line says how the circuit was left",
            matters: "a link left open is an open secondary at the next energising",
            action: "write [restored] with links, earths counted and the second person",
            source: "common practice, no source",
        }
    }
}
