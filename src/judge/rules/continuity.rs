//! Continuity of the circuit: its rules.

use super::rules;

rules! {
    Continuity, Circuit {
        LOOP_CONTINUITY = "loop-continuity" {
            title: "continuity of the circuit",
            means: "whether the secondary loop of a circuit is closed, at each place where it was read; its resistance against the client's limit where there is one, else beside what another place, burden and winding read",
            matters: "an open secondary under primary current can reach kilovolts, and can kill; a loop of high resistance takes the factor from its core",
            action: "keep the primary dead and the core shorted at its own terminals; find the open link, terminal or wire, close it, and read the loop again from every place",
            source: "common practice, no source; UFC 3-560-01, 9-5.2: no secondary is opened while the primary is live",
        }
    }
    Continuity, Measurement {
        LOOP_CONTRADICTION = "loop-contradiction" {
            title: "result and reading of the loop",
            means: "a loop that is written as closed and whose resistance is that of an open one, or the other way round",
            matters: "one of the two is wrong, and nobody can tell which from the paper",
            action: "ask who read it which is right; where nobody knows, read the loop again before the primary is closed",
            source: "common practice, no source",
        }
    }
}
