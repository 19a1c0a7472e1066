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
        INSULATION_MOISTURE = "insulation-moisture" {
            title: "moisture in the insulation",
            means: "all groups are lower by about the same factor than at an earlier visit or in the sisters, at one temperature, and rise less with time",
            matters: "moisture shortens the life of the insulation, and can end in a breakdown; dew in bushing and terminal box reads the same",
            action: "dry and clean bushing and terminal box, look at their seals, and read again on a dry day; where it stays low, have the oil or the dissipation factor looked at",
            source: "common practice, no source; for the rise with time: IEEE 43, for rotating machines (from memory)",
        }
        INSULATION_ONE_WINDING = "insulation-one-winding" {
            title: "insulation of one winding",
            means: "one winding is lower than at an earlier visit or in the sisters, and the others are not",
            matters: "dirt or damp at its terminals, or its insulation itself",
            action: "take all wires off its terminals, clean and dry them, and read it again",
            source: "common practice, no source",
        }
    }
    Insulation, Measurement {
        INSULATION_SURFACE = "insulation-surface" {
            title: "leakage over the surface",
            means: "the primary alone is low, and rises with time as little as a path beside the insulation makes it rise",
            matters: "dirt or dew on the bushing carries more current than the insulation within, which stays unseen",
            action: "clean and dry the bushing, lay the guard round it, and read again",
            source: "Ohm's law, a path beside the insulation; common practice, no source",
        }
        INSULATION_TEST_LEAD = "insulation-test-lead" {
            title: "leaking test leads",
            means: "the groups whose insulation is better are pulled down to about one value, as by one path beside all of them",
            matters: "such readings are those of the leads, and show nothing of the insulation",
            action: "read the leads alone, open and apart from each other; dry or change them, and read all groups again",
            source: "Ohm's law, a path beside the insulation; common practice, no source",
        }
        INSULATION_EARTH_ON = "insulation-earth-on" {
            title: "earth or circuit left connected",
            means: "one winding reads kilohms to earth where insulation reads megohms, and the others are sound",
            matters: "such a reading is that of an earth, a relay or a meter, and shows nothing of the insulation; the test voltage may have reached what is connected",
            action: "discharge and earth; lift the earth of this winding, take all wires of its circuit off, and read again; then put the earth back",
            source: "common practice, no source",
        }
        INSULATION_SLIP = "insulation-slip" {
            title: "slip in an insulation reading",
            means: "a reading that fits only with its decimal point or its unit in another place",
            matters: "a slip of the pen hides a good insulation, or a bad one",
            action: "look at the tester's memory or read again; correct what was written",
            source: "common practice, no source",
        }
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
