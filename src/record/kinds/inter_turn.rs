//! `[inter-turn]`: overvoltage between the turns of a winding, its terminals open.

use super::withstand::Outcome;
use crate::record::schema::section;

section! {
    "inter-turn", "overvoltage between the turns of a winding, its terminals open";
    /// All of one section.
    InterTurn {}
    /// One application of current or voltage.
    rows: InterTurnRow needs [] {
        on: Pair "pair whose terminals were open, or driven" or(&["pair"]);
        rated: Percent
            "current that was driven, in per cent of rated: of the primary, or of the secondary with the primary open"
            positive exact;
        peak: Voltage "highest voltage at the terminals, peak" positive exact;
        time: Time "how long it was held" positive exact;
        result: Choice(Outcome) "held or broke-down" or(&["held or broke-down"]);
    }
}
