//! Inspection: its rules.

use super::rules;

rules! {
    Inspection, Transformer {
        INSPECTION = "inspection" {
            title: "inspection",
            means: "the state of what was looked at, in the words of the record; all but a few plain good words is for a person to weigh",
            matters: "cracks, leaks, water and loose terminals are seen before a test shows them",
            action: "look at it, and say in the record whether the transformer may serve with it",
            source: "common practice, no source",
        }
    }
}
