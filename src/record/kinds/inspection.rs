//! `[inspection]`: what was looked at.

use crate::record::schema::section;

section! {
    "inspection", "what was looked at: item | state | remark";
    /// All items of one section.
    Inspection {}
    /// One item.
    rows: InspectionRow needs [] {
        item: Text "what was looked at" set;
        state: Text "how it was";
        remark: Text "anything else";
    }
}
