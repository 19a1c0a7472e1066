//! `[load]`: on-load current and angle per core, the final proof of star point and ratio.

use crate::record::schema::section;

section! {
    "load", "current and angle under load, per core";
    /// All readings of one section.
    Load {
        primary_current "primary current": Current "primary current by another measurement";
    }
    /// One reading.
    rows: LoadRow needs [] {
        core: Core "name of the core";
        at: Text "relay or meter terminal where it was read" set;
        current: Current "secondary current" positive;
        angle: Angle "angle against the reference voltage";
        remark: Text "anything else";
    }
}
