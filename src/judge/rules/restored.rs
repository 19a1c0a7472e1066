//! As left: its rules.

use super::rules;

rules! {
    Restored, Circuit {
        TAP_AS_LEFT = "tap-as-left" {
            title: "tap in service as left",
            means: "the tap on which a core was left, held against the tap its duty names",
            matters: "relay settings and meter factors depend on the tap in service",
            action: "ask which is right, then correct the [duty], or the connection with the primary dead and earthed; relay settings depend on it",
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
            means: "the earths counted on a secondary circuit, which needs exactly one",
            matters: "without an earth the secondary can float to primary voltage; between two earths a difference of earth potential can drive current through the relay",
            action: "find and lift all earths but one, with the circuit shorted at the CT and one earth on at all times",
            source: "IEEE C57.13.3-2014: one earth for each secondary circuit",
        }
    }
}
