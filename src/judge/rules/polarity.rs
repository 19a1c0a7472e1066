//! Polarity: its rules.

use super::rules;

rules! {
    Polarity, Transformer {
        POLARITY = "polarity" {
            title: "polarity",
            means: "whether a pair of terminals has the polarity that its marks promise",
            matters: "reversed polarity trips what is sound and leaves faults standing",
            action: "first check the test leads and repeat; if it stays, check the marks and the direction of P1 (H1)",
            source: "IEC 61869-1:2007, 7.3.6, verification of terminal markings (from memory)",
        }
    }
    Polarity, Measurement {
        POLARITY_CONTRADICTION = "polarity-contradiction" {
            title: "polarity contradicted",
            means: "two tests of one pair that disagree on its polarity",
            matters: "one of the two was connected the wrong way round; which is not known",
            action: "repeat both; one of them was connected the wrong way round",
            source: "common practice, no source",
        }
    }
}
