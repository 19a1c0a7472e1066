//! What the excitation curve shows of a class: its rules.

use super::rules;

rules! {
    Excitation, Transformer {
        COMPOSITE_ERROR = "composite-error" {
            title: "composite error",
            means: "composite error at the accuracy limit with rated burden, from the excitation curve (indirect test)",
            matters: "it is the requirement of classes P and PR",
            action: "compare the curve with the certificate and the sister phases",
            source: "IEC 61869-2:2012, 5.6.201 and 7.2.6.201 (from memory)",
        }
        SECURITY_FACTOR = "security-factor" {
            title: "instrument security factor at rated burden",
            means: "the multiple of rated primary current from which the composite error exceeds 10 %, from the excitation curve",
            matters: "a core that saturates late passes fault current on to the meters",
            action: "compare the curve with the certificate; ask for a test at rated burden, or protect the meter otherwise",
            source: "IEC 61869-2:2012, 3.4.204 to 3.4.206 and 7.2.6.202 (from memory)",
        }
        EXCITING_AT_CLASS = "exciting-at-class" {
            title: "exciting current at the class voltage",
            means: "exciting current at the secondary e.m.f. that belongs to an IEEE relay class",
            matters: "it shows whether the error of class C stays within 10 % at 20 times rated current",
            action: "compare the curve with the certificate and the sister phases",
            source: "IEEE C57.13, relay classes (from memory)",
        }
        PEAK_EXCITING_CURRENT = "peak-exciting-current" {
            title: "peak exciting current at the equivalent limiting e.m.f.",
            means: "peak exciting current at the equivalent limiting secondary e.m.f.",
            matters: "it is the requirement of classes TPX, TPY and TPZ in the indirect test",
            action: "compare the curve with the certificate and the sister phases",
            source: "IEC 61869-2:2012, annex 2B and 2C (from memory)",
        }
        TRANSIENT_FACTOR = "transient-factor" {
            title: "transient factor",
            means: "Ktf at the accuracy time that the plate states, against the rated Ktd",
            matters: "it shows whether the plate's dimensioning serves its own duty cycle",
            action: "",
            source: "IEC 61869-2:2012, 3.4.235 to 3.4.237 (from memory)",
        }
        EXCITING_CURRENT = "exciting-current" {
            title: "exciting current",
            means: "exciting current at the voltage that the plate names for it",
            matters: "it is the requirement of classes PX and PXR",
            action: "compare the curve with the certificate and the sister phases",
            source: "IEC 61869-2:2012, 5.6.202 (from memory)",
        }
        KNEE_EMF = "knee-emf" {
            title: "knee point e.m.f.",
            means: "the knee point e.m.f. against the least that the plate names",
            matters: "it is the requirement of classes PX and PXR",
            action: "compare the curve with the certificate and the sister phases",
            source: "IEC 61869-2:2012, 5.6.202 (from memory)",
        }
        ACTUAL_FACTOR_RATED = "actual-factor-rated" {
            title: "actual accuracy limit factor at rated burden",
            means: "the multiple of rated current at which the composite error reaches the class limit with rated burden",
            matters: "it says how much is in reserve beyond the class",
            action: "",
            source: "IEC 61869-2:2012, 3.4.208, by the indirect test (from memory)",
        }
    }
    Excitation, Circuit {
        ACTUAL_FACTOR = "actual-factor" {
            title: "actual accuracy limit factor at the connected burden",
            means: "the multiple of rated current at which the composite error reaches the class limit with the burden as measured",
            matters: "it says what the circuit really gets at a fault",
            action: "",
            source: "IEC 61869-2:2012, 3.4.208, by the indirect test (from memory)",
        }
    }
    Remanence, Transformer {
        REMANENCE_FACTOR = "remanence-factor" {
            title: "remanence factor",
            means: "residual flux after saturation over saturation flux",
            matters: "classes PR, PXR and TPY limit it, so that a core keeps room for the next fault",
            action: "repeat after saturating the core once more; then compare gap and certificate with the sister phases",
            source: "IEC 61869-2:2012, 5.6.203 (from memory)",
        }
        LOOP_TIME_CONSTANT = "loop-time-constant" {
            title: "secondary loop time constant",
            means: "the time constant of the secondary loop, from winding, burden and inductance",
            matters: "it sets how far a d.c. component drives the flux",
            action: "check winding resistance and burden that it rests on, then compare with the certificate",
            source: "IEC 61869-2:2012, 3.4.229 (from memory)",
        }
    }
}
