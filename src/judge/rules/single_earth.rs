//! Single earth: its rules.

use super::rules;

rules! {
    SingleEarth, Circuit {
        SINGLE_EARTH = "single-earth" {
            title: "circuit with its earth lifted",
            means: "the insulation resistance of a whole circuit while its earth is lifted, which is low where there is a second one; the earths counted when it was put back",
            matters: "between two earths a difference of earth potential can drive current through the relay; a second one cannot be seen, and shows when the first is off",
            action: "with the primary dead and one earth on at all times, find the second earth part by part and take it off; then lift, read, put back and count again",
            source: "IEEE C57.13.3-2014: one earth for each secondary circuit; how it is shown, common practice, no source",
        }
        CIRCUIT_VOLTAGE = "circuit-voltage" {
            title: "voltage on a circuit in service",
            means: "a direct test voltage on a whole circuit above what relays and meters usually stand",
            matters: "inputs of relays and meters are made for less to earth, and their protection may have conducted or been harmed",
            action: "find out whether relays and meters were out of the circuit and write it into the column `relays out`; if they were not, test their inputs before the primary is closed",
            source: "common practice, no source",
        }
    }
    SingleEarth, Measurement {
        EARTHS_DIFFER = "earths-differ" {
            title: "earths of one circuit, told twice",
            means: "the earths counted when a lifted one was put back, where it was put back, or that it was not, against what the same row or the same visit says of the circuit as left",
            matters: "one of the two is wrong: the circuit may have no earth, or a second one",
            action: "count the earths of the circuit again before the primary is closed, and correct what was wrong",
            source: "common practice, no source",
        }
    }
}
