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
    }
    Polarity, Measurement {
        POLARITY_CONTRADICTION = "polarity-contradiction" {
            title: "polarity contradicted",
            means: "two tests of one pair that disagree on its polarity",
            matters: "one of the two was connected the wrong way round, and the record does not tell which",
            action: "repeat both; one of them was connected the wrong way round",
            source: "common practice, no source",
        }
    }
}
