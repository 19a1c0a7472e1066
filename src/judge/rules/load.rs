//! Current on load: its rules.

use super::rules;

rules! {
    Load, Circuit {
        LOAD_CURRENT = "load-current" {
            title: "secondary current on load",
            means: "secondary current and its angle in service, as read; nothing is judged of it",
            matters: "it is the last proof of ratio, star point and direction, for a person to compare",
            action: "",
            source: "common practice, no source",
        }
    }
}
