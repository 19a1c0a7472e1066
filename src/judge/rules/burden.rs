//! The connected burden: its rules.

use super::rules;

rules! {
    Burden, Circuit {
        CIRCUIT_BURDEN = "circuit-burden" {
            title: "burden of the circuit",
            means: "the connected burden at rated secondary current, or its impedance, against the rated burden of the core",
            matters: "above it errors rise and the core saturates early",
            action: "find what loads the circuit: lead section and length, loose terminals, relays in series; or have the actual accuracy limit factor worked out at this burden",
            source: "IEC 61869-2:2012, 5.5.201, rated output (from memory); IEEE C57.13, Table 9 (1993/2008), standard burdens, as reprinted in a course question",
        }
        CIRCUIT_BURDEN_BELOW_RANGE = "circuit-burden-below-range" {
            title: "burden of the circuit below its range",
            means: "a connected burden below the least at which the measuring class holds",
            matters: "below its range the class promises no accuracy, and the actual security factor rises",
            action: "add burden, or have the accuracy shown at this burden",
            source: "IEC 61869-2:2012, 5.6.201.3 and, for an extended range, 5.6.201.4 (from memory)",
        }
    }
}
