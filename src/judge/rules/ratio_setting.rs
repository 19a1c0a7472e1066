//! The ratio that a relay or meter is set to: its rule.

use super::rules;

rules! {
    RatioSetting, Circuit {
        RATIO_SETTING = "ratio-setting" {
            title: "ratio that is set",
            means: "the ratio that a relay or meter is set to, against that of the tap in service, and behind a main CT against the overall ratio",
            matters: "set to another tap it shows, trips and counts by a wrong current, and nothing in the CT tells of it",
            action: "ask whoever answers for the settings which tap was meant; then mend setting or tap, and check the other devices of the circuit; a device behind an interposing CT has the overall ratio, and belongs into the record of that CT",
            source: "common practice, no source",
        }
    }
}
