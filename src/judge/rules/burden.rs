//! The connected burden: its rules.

use super::rules;

rules! {
    Burden, Circuit {
        CIRCUIT_BURDEN = "circuit-burden" {
            title: "burden of the circuit",
            means: "the connected burden at rated secondary current, or its impedance, against the rated burden of the core",
            matters: "above it errors rise and the core saturates early",
            action: "find what loads the circuit: lead section and length, loose terminals, relays in series; or have the actual accuracy limit factor worked out at this burden",
            source: "IEC 61869-2:2012, 5.5.201, rated output (from memory); IEEE C57.13, Table 9 (1993/2008), standard burdens, as reprinted in a course question",
        }
        CIRCUIT_BURDEN_BELOW_RANGE = "circuit-burden-below-range" {
            title: "burden of the circuit below its range",
            means: "a connected burden below the least at which the measuring class holds",
            matters: "below its range the class promises no accuracy, and the actual security factor rises",
            action: "add burden, or have the accuracy shown at this burden",
            source: "IEC 61869-2:2012, 5.6.201.3 and, for an extended range, 5.6.201.4 (from memory)",
        }
        CIRCUIT_OPEN = "circuit-open" {
            title: "circuit open",
            means: "hundreds of ohms or more where leads and relays have ohms",
            matters: "an open secondary under primary current can reach kilovolts, and can kill",
            action: "keep the primary dead, and the winding shorted at the transformer; find the open link or terminal, close it, and read the loop again",
            source: "common practice, no source; UFC 3-560-01, 9-5.2: no secondary is opened while the primary is live",
        }
        CIRCUIT_SHORTED = "circuit-shorted" {
            title: "circuit shorted on the way",
            means: "a small part of the impedance that the sisters or an earlier visit have",
            matters: "relays and meters behind a short get no current: the protection does not see the fault",
            action: "follow the loop from terminal to terminal; take the short out with the winding shorted at the transformer, and read again",
            source: "common practice, no source",
        }
        CIRCUIT_LOAD = "circuit-load" {
            title: "load of the circuit",
            means: "more impedance than the rated burden, the sisters or an earlier visit ask for, of no other cause that is known",
            matters: "above the rated burden errors rise and the core saturates early; more than the sisters have asks what is different here",
            action: "compare lead section and length, and count the relays in series; look for a loose terminal; where it is the design, have the actual factor worked out at this burden",
            source: "common practice, no source",
        }
        SECOND_EARTH = "second-earth" {
            title: "second earth on the circuit",
            means: "a loop with less resistance and the same reactance, as where the ground lies beside its neutral lead; or a core that reads to earth while its circuit is on",
            matters: "between two earths a difference of earth potential can drive current through the relay",
            action: "lift the one earth that belongs to the circuit, with the circuit shorted at the CT and the primary dead, and read the circuit to earth; find and lift the second earth, then put the first one back",
            source: "IEEE C57.13.3-2014: one earth for each secondary circuit",
        }
    }
    Burden, Measurement {
        CIRCUIT_ROWS_EXCHANGED = "circuit-rows-exchanged" {
            title: "two circuits exchanged",
            means: "two rows of a table of circuits, each of which agrees in the other's place",
            matters: "each core is judged by the circuit of the other",
            action: "look at the sheet that was written at the test; correct the rows, or read one of the two again",
            source: "common practice, no source",
        }
        CIRCUIT_TWO_PHASES = "circuit-two-phases" {
            title: "loop through two phases",
            means: "twice the reactance and less than twice the resistance of a phase, as where two phases lie in series without the neutral lead",
            matters: "the burden of one phase is then half of what was read, or a little more",
            action: "read the loop from the phase to the neutral terminal, or write `phase-phase` in the column `loop`",
            source: "law of series connection; common practice, no source",
        }
        CIRCUIT_SLIP = "circuit-slip" {
            title: "slip in a reading of the circuit",
            means: "a voltage or current of a loop that fits only with its decimal point, its unit, its digits or its column put right; or all loops of a table off by one factor",
            matters: "a slip of the pen makes a burden of another size",
            action: "look at what was read, or read again; correct what was written",
            source: "common practice, no source",
        }
    }
}
