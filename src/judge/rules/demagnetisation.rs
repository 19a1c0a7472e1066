//! Demagnetisation: its rules.

use super::rules;

rules! {
    Demagnetisation, Measurement {
        DEMAGNETISATION_START = "demagnetisation-start" {
            title: "demagnetisation",
            means: "where a demagnetisation started, as a multiple of the knee voltage or of rated primary current",
            matters: "a core that was not saturated first keeps part of its residual flux",
            action: "demagnetise again from above the knee, on a lower tap where the source is too weak, and repeat the curve; barrier every open end, since the full winding reaches its own knee voltage",
            source: "saturation first: IEEE C57.13.1, demagnetising clause (from memory); 1.2 times rated primary current by the closed method: a calibration-practice article",
        }
        DEMAGNETISATION_END = "demagnetisation-end" {
            title: "end of the demagnetisation",
            means: "whether the source was run down to zero before it was switched off",
            matters: "switching off early leaves the core magnetised",
            action: "demagnetise again, slowly down to zero before the source is switched off",
            source: "common practice, no source",
        }
        DIRECT_CURRENT_LAST = "direct-current-last" {
            title: "flux left in the core",
            means: "whether a direct current, of the winding resistance or of a battery, or an excitation that was cut off at voltage, was on the core after it was last demagnetised",
            matters: "a core that is left magnetised saturates early in one direction at the first fault",
            action: "demagnetise from above the knee down to zero; take nothing by direct current after that, and cut nothing off at voltage",
            source: "common practice, no source",
        }
    }
}
