//! Polarity: its rules.

use super::rules;

rules! {
    Polarity, Transformer {
        POLARITY = "polarity" {
            title: "polarity",
            means: "whether a pair of terminals has the polarity that its marks promise",
            matters: "reversed polarity can trip what is sound and leave faults standing",
            action: "first check the test leads and repeat; if it stays, check the marks and the direction of P1 (H1)",
            source: "IEC 61869-1:2007, 7.3.6, verification of terminal markings (from memory); IEEE C57.13.1-2017, clause 9 (only its title was seen)",
        }
        SECONDARY_REVERSED = "secondary-reversed" {
            title: "ends of a winding exchanged",
            means: "one core that is reversed in every test, with its taps counted from the other end, beside others that are as marked",
            matters: "reversed polarity can trip what is sound and leave faults standing",
            action: "with the primary dead, trace the ends of the winding to their terminals; then test polarity again",
            source: "common practice, no source",
        }
        PRIMARY_REVERSED = "primary-reversed" {
            title: "primary the other way round",
            means: "every core reversed at once: the primary is, and not the windings",
            matters: "differential and directional protection see all currents turned round",
            action: "check how the unit stands and where its primary marks point, and which end the battery's plus was on; exchange no secondary",
            source: "common practice, no source",
        }
    }
    Polarity, Measurement {
        LEADS_FROM_THE_OTHER_END = "leads-from-the-other-end" {
            title: "leads on the other ends of a winding",
            means: "one core that is reversed in every test, with its taps counted from the other end, where an earlier visit found it as marked",
            matters: "what was read is that of other terminals than the record says",
            action: "follow each lead of the test to its mark, then test again; where it stays, trace the ends of the winding with the primary dead",
            source: "common practice, no source",
        }
        POLARITY_CONTRADICTION = "polarity-contradiction" {
            title: "polarity contradicted",
            means: "two tests of one pair that disagree on its polarity",
            matters: "one of the two was connected the wrong way round, and the record does not tell which",
            action: "repeat both; one of them was connected the wrong way round",
            source: "common practice, no source",
        }
    }
}
