//! Insulation resistance: its rules.

use super::rules;

rules! {
    Insulation, Transformer {
        INSULATION_RESISTANCE = "insulation-resistance" {
            title: "insulation resistance",
            means: "resistance of one group of windings to the others and earth, at one minute, corrected to 20 °C where the kind of insulation is known",
            matters: "low or falling insulation resistance points to moisture, dirt or failing insulation",
            action: "discharge and earth, clean and dry terminal box and bushing, read again",
            source: "no minimum is known in IEC 61869-2; a published table or the client's own minimum where the job names one; without one a floor after IEEE C57.13.1 (from memory)",
        }
        POLARISATION_INDEX = "polarisation-index" {
            title: "polarisation index",
            means: "resistance at ten minutes over that at one minute",
            matters: "in large oil-paper insulation a low index can point to moisture; a small winding hardly absorbs",
            action: "",
            source: "IEEE 43, for rotating machines (from memory)",
        }
        DIELECTRIC_ABSORPTION = "dielectric-absorption" {
            title: "dielectric absorption ratio",
            means: "resistance at 60 s over that at 15 s or 30 s",
            matters: "it is used like the polarisation index where the voltage was not held for ten minutes",
            action: "",
            source: "trade practice: 60 s over 30 s, or over 15 s (the latter from memory)",
        }
    }
    Insulation, Measurement {
        INSULATION_TEST_VOLTAGE = "insulation-test-voltage" {
            title: "test voltage of a secondary",
            means: "the d.c. test voltage put on a secondary winding against the highest in common use",
            matters: "too high a voltage can damage a secondary winding or what is still connected to it",
            action: "discharge and earth; then read again with the test voltage agreed for secondaries, and compare",
            source: "ANSI/NETA MTS-2007, 7.10, tests with 1000 V d.c.; that more is too much is common practice, no source",
        }
        INSULATION_DISCHARGE = "insulation-discharge" {
            title: "least time to discharge and earth after the longest application",
            means: "the least time that a winding stays earthed after the d.c. voltage is taken off, and in any case until a meter shows zero",
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
