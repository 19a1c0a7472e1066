//! Primary resistance: its rules.

use super::rules;

rules! {
    PrimaryResistance, Transformer {
        PRIMARY_RESISTANCE = "primary-resistance" {
            title: "primary resistance",
            means: "resistance of a primary that is a winding, by direct current, leads subtracted, corrected to 75 °C where the temperature is known; judged where the rating plate states it, and its links can stand in one way only",
            matters: "it is a burden to whatever drives the primary, and shows bad joints at the links and terminals",
            action: "check clips, links and temperature, read again with the potential leads on the terminals themselves, and let the current run down before a clip comes off; then look for a bad joint",
            source: "the rating plate; common practice, no source",
        }
    }
    PrimaryResistance, Circuit {
        BURDEN_ON_FEEDER = "burden-on-feeding-ct" {
            title: "burden on the CT that feeds it",
            means: "what an interposing CT of one core is to the CT that feeds it: its primary resistance, and secondary resistance and burden seen through its ratio; where `fed by` names that CT, against the rated burden of its core: too much by itself, and in order only by the burden as it was measured there while that core fed it",
            matters: "it belongs into the burden of the feeding CT, whose class and limit factor hold with it",
            action: "measure the burden at the CT that feeds it; then a smaller burden, a shorter lead, or another interposing CT",
            source: "impedances of an ideal transformer seen from its primary; the exciting current is left out",
        }
    }
}
