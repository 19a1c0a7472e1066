//! What the duty asks of the circuit: its rules.

use super::rules;

rules! {
    Excitation, Circuit {
        REQUIRED_KNEE = "required-knee" {
            title: "knee for the relay's requirement, tap in service",
            means: "the knee that was measured against the one that the relay asks for",
            matters: "below it the relay may operate late, not at all, or for a fault outside its zone",
            action: "take it up with whoever set the relay: the requirement, the tap, the leads",
            source: "the requirement that the duty states",
        }
        REQUIRED_FACTOR = "required-factor" {
            title: "actual limit factor for the relay's requirement, tap in service",
            means: "the actual accuracy limit factor against the one that the relay asks for",
            matters: "below it the relay may operate late, not at all, or for a fault outside its zone",
            action: "take it up with whoever set the relay: the requirement, the tap, the leads",
            source: "the requirement that the duty states",
        }
        DUTY_EMF = "duty-emf" {
            title: "e.m.f. for the symmetrical fault current, tap in service",
            means: "the e.m.f. that winding resistance and burden need at the symmetrical fault current of the site",
            matters: "above the knee the core saturates; below it a d.c. component or residual flux can still saturate it",
            action: "",
            source: "circuit equation: secondary fault current times the impedance of winding and burden",
        }
        DUTY_EMF_OFFSET = "duty-emf-offset" {
            title: "e.m.f. for the fully offset fault current, tap in service",
            means: "the e.m.f. at which a core would follow a fully offset fault current to its end without saturating",
            matters: "nearly every sound core gives less; it shows how much of a fault is transformed before the core saturates",
            action: "",
            source: "IEEE Std C37.110, dimensioning for full offset (from memory)",
        }
        DUTY_BURDEN = "duty-burden" {
            title: "burden of the circuit, against the duty's",
            means: "a measured burden above the one that the duty states",
            matters: "a requirement that was worked out for a smaller burden shows nothing at the one that is connected",
            action: "have the requirement renewed for the measured burden, or find what loads the circuit; then put the new one into the duty on record",
            source: "common practice, no source",
        }
        SECURITY_CONNECTED = "security-factor-connected" {
            title: "actual security factor at the connected burden",
            means: "the multiple of rated current at which the exciting current is 10 % of it, with the burden that is connected",
            matters: "below rated burden the factor rises, and meters see more of a fault than the plate says",
            action: "",
            source: "IEC 61869-2:2012, 3.4.204 and 7.2.6.202 (from memory), at the connected burden",
        }
        TIME_TO_SATURATION = "time-to-saturation" {
            title: "time to saturation under full offset",
            means: "the time until a fully offset fault current drives the core to its knee",
            matters: "a relay that has decided earlier is not affected by saturation",
            action: "",
            source: "IEEE C37.110 (from memory)",
        }
        SIMULATED_CURRENT = "simulated-current" {
            title: "simulated secondary current, fully offset",
            means: "the secondary current computed from the measured curve under full offset",
            matters: "it shows how far the current is distorted, and when",
            action: "",
            source: "flux balance solved in time, own derivation",
        }
    }
}
