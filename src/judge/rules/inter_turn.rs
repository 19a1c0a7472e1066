//! Inter-turn overvoltage: its rules.

use super::rules;

rules! {
    InterTurn, Transformer {
        INTER_TURN = "inter-turn" {
            title: "inter-turn overvoltage",
            means: "whether the turns of a winding held what rated current drives at open terminals, or the peak voltage that the standard asks for, whichever comes first, for a time",
            matters: "turns that touch make a shorted turn, which falsifies ratio and curve and burns when a fault current flows",
            action: "bring the current to zero, then short and earth the secondary; keep it out of service, and compare winding resistance and exciting current with those before the test; what is tested again on the same day stands in a section of its own with `stage: retest`",
            source: "IEC 61869-2:2012, 5.3.201 and 7.3.204 (from memory)",
        }
    }
}
