//! Stability of a differential zone: its rule.

use super::rules;

rules! {
    Stability, Circuit {
        STABILITY = "stability" {
            title: "operating current of the zone",
            means: "what a differential zone operates by, as a share of what restrains it: small while the current goes through, about all of it while it ends inside",
            matters: "a zone out of balance trips for a fault outside, and one that is quiet for a fault inside never trips",
            action: "keep its trip blocked; find the phase whose current is turned round, missing or of another ratio, and read again",
            source: "common practice, no source; the limit is the instruction's",
        }
    }
}
