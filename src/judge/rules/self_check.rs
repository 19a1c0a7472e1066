//! The instrument's own check: its rules.

use super::rules;

rules! {
    SelfCheck, Measurement {
        SELF_CHECK = "self-check" {
            title: "deviation of the instrument from 1:1",
            means: "the instrument measured against itself before the work",
            matters: "every ratio of the day carries this deviation",
            action: "clean the clips and check again; if it stays, take no ratio with this instrument",
            source: "common practice, no source",
        }
        LEAD_RESISTANCE = "lead-resistance" {
            title: "resistance of the leads, clips together",
            means: "the leads measured by themselves",
            matters: "with two wires they are in every winding resistance",
            action: "",
            source: "common practice, no source",
        }
    }
}
