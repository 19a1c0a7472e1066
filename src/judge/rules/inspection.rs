//! Inspection: its rules.

use super::rules;

rules! {
    Inspection, Transformer {
        INSPECTION = "inspection" {
            title: "inspection",
            means: "the state of what was looked at, in the words of the record",
            matters: "cracks, leaks, water and loose terminals are seen before a test shows them",
            action: "",
            source: "common practice, no source",
        }
    }
}
