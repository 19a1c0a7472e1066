//! `[inspection]`: what was looked at.

use crate::record::schema::section;
use crate::record::value::YesNo;

section! {
    "inspection", "what was looked at: item | state | remark";
    /// All items of one section.
    Inspection {}
    /// One item.
    rows: InspectionRow needs [] {
        item: Text "what was looked at" set;
        state: Text
            "how it was; clean, closed, complete, dry, good, intact, in order, legible, no damage, normal, ok, present, sound and tight are no objection";
        serves "may serve": Choice(YesNo)
            "whether the transformer may serve with it, where a state is an objection: yes or no, by who looked at it";
        remark: Text "anything else";
    }
}
