//! Partial discharge: its rules.

use super::rules;

rules! {
    PartialDischarge, Transformer {
        PARTIAL_DISCHARGE = "partial-discharge" {
            title: "partial discharge",
            means: "apparent charge at the voltages that the standard asks for, read on the way down from a prestress; at another voltage it is told, and judged only where it is more than is allowed at a higher one",
            matters: "discharges in voids and at edges eat into the insulation long before it breaks down",
            action: "discharge and earth; find out whether the test circuit itself discharges, read again, and keep the unit out of service while the charge is too high",
            source: "IEC 61869-1:2007, 5.3.3.1, Table 3 and 7.3.2 (from memory)",
        }
    }
}
