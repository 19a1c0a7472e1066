//! Insulation resistance: its rules.

use super::rules;

rules! {
    Insulation, Transformer {
        INSULATION_RESISTANCE = "insulation-resistance" {
            title: "insulation resistance",
            means: "resistance of one group of windings to the others and earth, at one minute, taken to 20 °C where the kind of insulation is known",
            matters: "low or falling insulation resistance points to moisture, dirt or a failing winding",
            action: "clean and dry terminal box and bushing, read again",
            source: "no minimum in IEC 61869-2; a published table or the client's own minimum where the job names one; without one a floor after IEEE C57.13.1 (from memory)",
        }
        POLARISATION_INDEX = "polarisation-index" {
            title: "polarisation index",
            means: "resistance at ten minutes over that at one minute",
            matters: "in large oil-paper insulation a low index points to moisture",
            action: "",
            source: "IEEE 43, for rotating machines (from memory)",
        }
        DIELECTRIC_ABSORPTION = "dielectric-absorption" {
            title: "dielectric absorption ratio",
            means: "resistance at 60 s over that at 15 s or 30 s",
            matters: "as the polarisation index, where ten minutes were not spent",
            action: "",
            source: "common practice, no source",
        }
    }
    Insulation, Measurement {
        INSULATION_TEST_VOLTAGE = "insulation-test-voltage" {
            title: "test voltage of a secondary",
            means: "the d.c. voltage of the test against what a secondary winding is tested with",
            matters: "too high a voltage can damage a secondary winding or what is still connected to it",
            action: "read again with the test voltage agreed for secondaries, and compare",
            source: "common practice, no source",
        }
        INSULATION_DISCHARGE = "insulation-discharge" {
            title: "least time to discharge and earth after the longest application",
            means: "how long a winding has to be earthed after the d.c. voltage is taken off",
            matters: "stored charge can kill",
            action: "",
            source: "IEEE 43-2013, clause 4, for rotating machines: four times the time of application (from memory)",
        }
        INSULATION_GROUPS = "insulation-groups" {
            title: "insulation not read",
            means: "pairs of windings, or windings and earth, that no reading covers",
            matters: "a fault between two windings that were never tested apart stays unseen",
            action: "",
            source: "common practice, no source",
        }
    }
}
