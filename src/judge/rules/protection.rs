//! What the excitation curve shows of a class: its rules.

use super::rules;

rules! {
    Excitation, Transformer {
        COMPOSITE_ERROR = "composite-error" {
            title: "composite error",
            means: "composite error at the accuracy limit with rated burden, from the excitation curve (indirect test, valid for low-leakage types)",
            matters: "it is a requirement of classes P and PR",
            action: "compare the curve with the certificate and the sister phases",
            source: "IEC 61869-2:2012, Table 205 (P as reprinted in a handbook, PR from memory), 7.2.6.203 and 7.3.5.203 (from memory)",
        }
        SECURITY_FACTOR = "security-factor" {
            title: "instrument security factor at rated burden",
            means: "the multiple of rated primary current at which the composite error reaches 10 %, from the excitation curve",
            matters: "a core that saturates late passes fault current on to the meters",
            action: "compare the curve with the certificate; ask for the direct test at rated burden, or protect the meter otherwise",
            source: "IEC 61869-2:2012, 3.4.204 to 3.4.206 and 7.2.6.202 (from memory)",
        }
        EXCITING_AT_CLASS = "exciting-at-class" {
            title: "exciting current at the class voltage",
            means: "exciting current at the secondary e.m.f. that belongs to an IEEE relaying class",
            matters: "it shows whether the ratio error of class C stays within 10 % at 20 times rated current",
            action: "compare the curve with the certificate and the sister phases",
            source: "IEEE C57.13, 6.4.1 (1993/2008), relaying classes: the limits as retold in trade articles, the calculation from memory",
        }
        PEAK_EXCITING_CURRENT = "peak-exciting-current" {
            title: "peak exciting current at the equivalent limiting e.m.f.",
            means: "peak exciting current at the equivalent limiting secondary e.m.f.",
            matters: "it is a requirement of classes TPX, TPY and TPZ in the indirect test",
            action: "compare the curve with the certificate and the sister phases",
            source: "IEC 61869-2:2012, 3.4.238, Table 206 and annex 2B (from memory)",
        }
        TRANSIENT_FACTOR = "transient-factor" {
            title: "transient factor",
            means: "the transient factor that the duty on the rating plate asks for, against the rated transient dimensioning factor Ktd on the same plate",
            matters: "a core that is dimensioned for less than its own duty saturates before the accuracy limit",
            action: "ask the manufacturer which holds, Ktd or the time constants and times of the duty; until then take the core as good for what its Ktd allows",
            source: "IEC 61869-2:2012, 3.4.233, 3.4.234 and annex 2B (from memory)",
        }
        EXCITING_CURRENT = "exciting-current" {
            title: "exciting current",
            means: "exciting current at the voltage that the rating plate states for it",
            matters: "it is a requirement of classes PX and PXR, and of the older X and PS",
            action: "compare the curve with the certificate and the sister phases",
            source: "IEC 61869-2:2012, 5.6.202.4 and 7.3.203 (from memory)",
        }
        KNEE_EMF = "knee-emf" {
            title: "knee point e.m.f.",
            means: "the knee point e.m.f. against the rated one, which is a lower limit",
            matters: "it is a requirement of classes PX and PXR, and of the older X and PS",
            action: "compare the curve with the certificate and the sister phases",
            source: "IEC 61869-2:2012, 5.6.202.4 and 7.3.203 (from memory)",
        }
        ACTUAL_FACTOR_RATED = "actual-factor-rated" {
            title: "actual accuracy limit factor at rated burden",
            means: "the multiple of rated primary current at which the composite error reaches the class limit with rated burden",
            matters: "it says how much reserve there is beyond the rated factor",
            action: "",
            source: "own derivation from the indirect test, IEC 61869-2:2012, 7.2.6.203 (from memory); an estimate, not a clause",
        }
    }
    Excitation, Circuit {
        ACTUAL_FACTOR = "actual-factor" {
            title: "actual accuracy limit factor at the connected burden",
            means: "the multiple of rated primary current at which the composite error reaches the class limit with the burden as measured",
            matters: "it says up to which symmetrical fault current the circuit is served within the class limit",
            action: "",
            source: "own derivation from the indirect test, IEC 61869-2:2012, 7.2.6.203 (from memory); an estimate, not a clause",
        }
    }
    Remanence, Transformer {
        REMANENCE_FACTOR = "remanence-factor" {
            title: "remanence factor",
            means: "remanent flux, three minutes after the saturating current is cut, over saturation flux",
            matters: "classes PR, PXR and TPY limit it, so that a core keeps room for the next fault",
            action: "repeat after saturating the core once more; then compare with the certificate and the sister phases",
            source: "IEC 61869-2:2012, 3.4.211, 3.4.212, 5.6.202.3.5, 5.6.202.4 and Table 204 (from memory)",
        }
        LOOP_TIME_CONSTANT = "loop-time-constant" {
            title: "secondary loop time constant",
            means: "the time constant of the secondary loop, from winding, burden and inductance",
            matters: "with the d.c. time constant of the fault it sets how far a d.c. component drives the flux",
            action: "check the winding resistance and burden that it rests on, then compare with the certificate",
            source: "IEC 61869-2:2012, 7.3.202 and annex 2B (from memory, the tolerances with low confidence)",
        }
    }
}
