//! Withstand voltage: its rules.

use super::rules;

rules! {
    Withstand, Transformer {
        WITHSTAND = "withstand" {
            title: "withstand",
            means: "whether the insulation held a test voltage for a time; what held less than the standard asks for, or for less time, shows nothing",
            matters: "insulation that broke down once has a path to break down again, at less voltage",
            action: "discharge and earth; keep it out of service, find the place of the breakdown, and test again after the repair",
            source: "IEC 61869-1:2007, Table 2 and 7.3.1 to 7.3.4: no disruptive discharge (from memory)",
        }
    }
}
