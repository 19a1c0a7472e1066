//! As left: its rules.

use super::rules;

rules! {
    Restored, Circuit {
        TAP_AS_LEFT = "tap-as-left" {
            title: "tap in service as left",
            means: "the tap that a core was left on, held against the tap its duty names",
            matters: "relay settings and meter factors hang on the tap in service",
            action: "ask which is right, then change the connection or the [duty]; relay settings hang on it",
            source: "common practice, no source",
        }
        RESTORED_UNCHECKED = "restored-unchecked" {
            title: "check of the restoration",
            means: "whether a second person is named who checked the restoration",
            matters: "the person who opened a link is the one most likely to overlook it",
            action: "",
            source: "common practice, no source",
        }
        CIRCUIT_EARTHS = "circuit-earths" {
            title: "earths of the circuit",
            means: "the earths counted on a secondary circuit, which has exactly one",
            matters: "no earth leaves the secondary floating towards primary voltage; two pass fault current through the relay",
            action: "find and lift all earths but one, with the circuit shorted at the CT",
            source: "common practice, no source",
        }
    }
}
