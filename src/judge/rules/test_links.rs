//! Test links: their rules.

use super::rules;

rules! {
    TestLinks, Circuit {
        TEST_LINK = "test-link" {
            title: "test link",
            means: "what a test block, isolating link or shorting link does to the circuit of its core; as left, through for a core in service and shorted for a spare one",
            matters: "an open link under primary current can reach kilovolts, and can kill; a shorted one takes the current from relays and meters, and nothing tells it",
            action: "keep the primary dead; bring the link to where it is to stand, prove the loop by measurement, and write its position with `stage: as left`",
            source: "common practice, no source; UFC 3-560-01, 9-5.2: no secondary is opened while the primary is live",
        }
    }
    TestLinks, Measurement {
        TEST_LINKS_DIFFER = "test-links-differ" {
            title: "test links and circuit as left",
            means: "the position of a link as left against what [restored] says of links and secondary of its core",
            matters: "one of the two is wrong: the secondary may be open, or shorted away from its relay",
            action: "look at the link and the terminals again before the primary is closed, and correct what was wrong",
            source: "common practice, no source",
        }
    }
}
