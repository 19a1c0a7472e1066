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
    }
}
