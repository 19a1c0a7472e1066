//! Winding resistance: its rules.

use super::rules;

rules! {
    Resistance, Transformer {
        WINDING_RESISTANCE = "winding-resistance" {
            title: "winding resistance",
            means: "resistance of a winding, leads subtracted, corrected to 75 °C where the temperature is known; judged where the class or the tap table makes the rating plate's value a limit",
            matters: "it enters the limiting e.m.f. and the accuracy limit factor, and shows bad joints",
            action: "check clips and temperature, read again with the potential leads on the terminals themselves, and let the current run down before a clip comes off; then look for a bad joint in the terminal box",
            source: "IEC 61869-2:2012, 7.3.201 (from memory)",
        }
        WINDING_RESISTANCE_PLATE = "winding-resistance-plate" {
            title: "winding resistance against the plate",
            means: "how far the resistance is from the rating plate's value where that is no limit",
            matters: "a large deviation can point to a wrong tap, a bad joint or a wrong temperature",
            action: "",
            source: "common practice, no source",
        }
        WINDING_RESISTANCE_HISTORY = "winding-resistance-history" {
            title: "winding resistance against the last visit",
            means: "how far the resistance is from that of the last visit that read it, where it is further than the criteria of the job allow",
            matters: "a joint that opens, a shorted section or another tap shows as a change that no temperature explains",
            action: "compare temperature and terminals of both visits and read again; then look for a bad joint in the terminal box",
            source: "the criteria of the job; common practice, no source",
        }
        WINDING_RESISTANCE_PHASES = "winding-resistance-phases" {
            title: "winding resistance against the sister phases",
            means: "how far the resistance is from the median of the phases, where it is further than the criteria of the job allow",
            matters: "transformers of one type differ by little; one that stands off has a bad joint, another tap or another winding",
            action: "read this phase and one sister again with the same set and clips; then look for a bad joint in the terminal box",
            source: "the criteria of the job; common practice, no source",
        }
        ANOTHER_BATCH = "another-batch" {
            title: "another batch of wire than its sisters",
            means: "all windings are off the sisters by the same per cent, by no more than batches of wire differ by",
            matters: "it is odd and no fault; without an earlier visit a wrong temperature looks the same, and what the job asks of the phases stays for review",
            action: "",
            source: "common practice, no source",
        }
        JOINT_SUSPECTED = "joint-suspected" {
            title: "bad joint suspected",
            means: "one section of a winding, and every pair across it, reads high by the same ohms",
            matters: "a joint that opens warms and burns under load, and an open secondary is a danger to life",
            action: "clean the terminals, move the clips and read again; where it stays, look for the joint in the terminal box, link by link",
            source: "law of series connection; common practice, no source",
        }
    }
    Resistance, Measurement {
        EARLIER_RESISTANCE_OFF = "earlier-resistance-off" {
            title: "resistances of an earlier visit stand alone",
            means: "today's resistances agree with those of the sisters, and those of the earlier visit with neither",
            matters: "what is held against a wrong reading of then looks wrong today",
            action: "look at the sheet of that visit; correct what was written, or say there what was wrong",
            source: "of three that should agree, the one is odd that two contradict; common practice, no source",
        }
        LOOSE_CLIP = "loose-clip" {
            title: "clip that sits badly",
            means: "one reading of a resistance is high, and neither the sections of its winding nor its repetition confirm it",
            matters: "what a clip adds is not the winding's",
            action: "clean the terminals, set the voltage clips inside the current clips, and read this pair again",
            source: "law of series connection; common practice, no source",
        }
        RESISTANCE_UNSETTLED = "resistance-unsettled" {
            title: "current not settled",
            means: "all readings of one core are high by the same per cent, and none was repeated",
            matters: "before the current has settled a part of the voltage is that of the inductance, and the resistance reads high",
            action: "read this core again and wait until the reading stands still",
            source: "law of induction; common practice, no source",
        }
        LEADS_IN_READING = "leads-in-reading" {
            title: "leads in the reading",
            means: "all windings read high by the same ohms: of leads that are said not to be in the readings, or of more than was taken off",
            matters: "of a small winding the leads may be a large part",
            action: "look how the leads were connected; read again with four wires, or write `wires: 2` and the leads in the self-check",
            source: "law of series connection; common practice, no source",
        }
        LEADS_SUBTRACTED_TWICE = "leads-subtracted-twice" {
            title: "leads taken off twice",
            means: "all windings are low by the resistance of the leads, which the self-check's value is subtracted for",
            matters: "of a small winding the leads may be a large part",
            action: "write what the instrument showed with its leads in it, or `wires: 4` where it takes them off by itself",
            source: "law of series connection; common practice, no source",
        }
        RESISTANCE_SLIP = "resistance-slip" {
            title: "slip of the pen in a resistance",
            means: "a reading that, with its decimal point, its unit, two digits or two columns changed, agrees with all the others",
            matters: "a reading that was typed wrong says nothing of the winding",
            action: "compare this row with the sheet that was written at the test, and correct it",
            source: "common practice, no source",
        }
        RESISTANCE_ROWS_EXCHANGED = "resistance-rows-exchanged" {
            title: "two rows of the resistance test exchanged",
            means: "two windings whose resistances are each other's, while the other tests stand right",
            matters: "both are held against what belongs to the other, and go into its errors",
            action: "compare both rows with the sheet that was written at the test; where it says the same, read one of the two windings again",
            source: "common practice, no source",
        }
        TEMPERATURE_UNWRITTEN = "temperature-unwritten" {
            title: "temperature of the winding not written",
            means: "only the temperature of the air was written, and is taken for the winding's",
            matters: "a winding that stood in the sun or in load is not as warm as the air; each kelvin is 0.4 % of the resistance",
            action: "write the temperature of the winding in the section, `temperature: 20 C`, and how it was taken",
            source: "resistance of copper in proportion to temperature, IEC 60076-1 (from memory)",
        }
        TEMPERATURE_WRONG = "temperature-wrong" {
            title: "temperature of the winding",
            means: "all winding resistances are off by the same per cent against an earlier visit or the sisters",
            matters: "a wrong temperature moves every resistance at 75 °C, and what is made of it",
            action: "find out how the temperature was taken; read it at the winding when it has stood without current, and write it down",
            source: "resistance of copper and aluminium in proportion to temperature, IEC 60076-1 (from memory); common practice, no source",
        }
        ALREADY_AT_75 = "already-at-75" {
            title: "resistances corrected twice",
            means: "all winding resistances are too high by what the correction to 75 °C makes",
            matters: "a resistance that is corrected twice is too high by a fifth, and so is all that is made of it",
            action: "look whether the instrument was set to show the value at 75 °C; write what was read, or `temperature: 75 C`",
            source: "common practice, no source",
        }
        WINDING_RESISTANCE_DRIFT = "winding-resistance-drift" {
            title: "repeated readings",
            means: "several readings of one winding, one after the other; those that have settled are judged",
            matters: "a rising value is heating by the measuring current, a falling one is current that has not settled",
            action: "where the value rises, read with less current or quicker; where it falls, wait until it has settled",
            source: "steady readings: IEEE C57.12.91-2020, for dry-type transformers; the 0.1 % is a convention of this project",
        }
        WINDING_RESISTANCE_SUM = "winding-resistance-sum" {
            title: "whole winding against the sum of its sections",
            means: "the resistance of the whole winding less the sum of its sections",
            matters: "the sections of one winding add up; where they do not, a lead sits on another terminal or a clip is loose",
            action: "read again with the sense clips inside the source clips; then check which terminal each tap lead sits on",
            source: "law of series connection",
        }
    }
}
