//! Withstand voltage: its rules.

use super::rules;

rules! {
    Withstand, Transformer {
        WITHSTAND = "withstand" {
            title: "withstand",
            means: "whether the insulation held a test voltage for a time; what held less than the standard asks for, or for less time, shows nothing",
            matters: "insulation that broke down once has a path to break down again, at less voltage",
            action: "discharge and earth; keep it out of service, find the place of the breakdown, and test again after the repair; on the same day that test stands in a section of its own with `stage: retest`",
            source: "IEC 61869-1:2007, Table 2, 7.3.1 and 7.3.4: no disruptive discharge (from memory)",
        }
        BETWEEN_SECTIONS = "withstand-sections" {
            title: "withstand between sections",
            means: "whether the insulation between the sections of a winding, each brought out by itself, held a test voltage for a time; what held less than the standard asks for, or for less time, shows nothing",
            matters: "sections that links put in series or in parallel have the drop of one of them between each other in every fault; what breaks down there shorts turns",
            action: "discharge and earth; keep it out of service, find the place of the breakdown, and test again after the repair; on the same day that test stands in a section of its own with `stage: retest`",
            source: "IEC 61869-1:2007, 7.3.3: no disruptive discharge (from memory, the clause with low confidence)",
        }
    }
}
