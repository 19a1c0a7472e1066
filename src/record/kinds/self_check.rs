//! `[self-check]`: the instrument against itself, and its leads.

use crate::record::schema::section;

section! {
    "self-check", "the instrument against itself, and its leads";
    /// The instrument's own check.
    SelfCheck {
        ratio_of_one "ratio of 1": Number
            "what the instrument shows with both inputs on one source" positive;
        leads: Resistance "resistance of the leads, clips shorted together";
    }
}
