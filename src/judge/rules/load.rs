//! Current on load: its rules.

use super::rules;

rules! {
    Load, Circuit {
        LOAD_CURRENT = "load-current" {
            title: "secondary current on load",
            means: "secondary current and its angle in service, as read",
            matters: "it is the last proof of ratio, star point and direction, for a person to compare",
            action: "",
            source: "common practice, no source",
        }
        LOAD_RATIO = "load-ratio" {
            title: "secondary current on load, against the primary current",
            means: "how far a secondary current on load is from the primary current by the rated ratio of the pair in service",
            matters: "a current that is half or double shows a wrong tap, a wrong ratio or a second path, before a fault does",
            action: "read both currents again at one moment; then check tap, links and a second earth, with the primary dead before anything is opened",
            source: "common practice, no source",
        }
    }
}
