//! Secondary injection: its rule.

use super::rules;

rules! {
    Injection, Circuit {
        INJECTION_ERROR = "injection-error" {
            title: "error of the current shown",
            means: "what a relay or meter shows of a current that is fed into its circuit, against that current",
            matters: "it shows that the circuit leads to this input and no other, that it is whole, and how the device scales it",
            action: "look for an open link, a short left on, the wrong input or a wrong ratio; mend it, and feed again",
            source: "common practice, no source; the limit is what the device's maker states",
        }
        INJECTION_UNFED = "injection-unfed" {
            title: "current shown of a phase that is not fed",
            means: "what a relay or meter shows of a phase while the current goes through another one, as a share of rated current",
            matters: "a phase that shows what another one carries is crossed with it, or a second path leads there",
            action: "follow both phases from the point where the current is fed to their inputs; count the earths; mend it, and feed again",
            source: "common practice, no source",
        }
    }
    Injection, Measurement {
        INJECTION_SLIP = "injection-slip" {
            title: "current shown, written in another unit",
            means: "what a relay or meter shows is off by a thousand, or by the ratio that it is set to: more likely a slip of the writing than of the circuit",
            matters: "as it is written it shows nothing of the circuit",
            action: "look at the device again, and correct unit or ratio of the row; where it was written as shown, look for a wrong ratio",
            source: "common practice, no source",
        }
    }
}
