//! Ratio and turns: its rules.

use super::rules;

rules! {
    Ratio, Transformer {
        RATIO_ERROR = "ratio-error" {
            title: "ratio error",
            means: "ratio error at one current and burden, held against the class where both lie in its range",
            matters: "meters and relays rely on it",
            action: "check burden, connection and demagnetisation, then measure again",
            source: "IEC 61869-2:2012, Tables 201, 202, 203, 205 and 206; IEEE C57.13, 6.4.1, relaying classes (partly from memory: each limit cites its row)",
        }
        PHASE_DISPLACEMENT = "phase-displacement" {
            title: "phase displacement",
            means: "phase displacement at one current and burden, positive when the secondary leads, held against the class where both lie in its range",
            matters: "it becomes an error of power and energy",
            action: "check burden, connection and demagnetisation, then measure again",
            source: "IEC 61869-2:2012, Tables 201, 202, 205 and 206 (partly from memory: each limit cites its row)",
        }
        RATIO_CORRECTION_FACTOR = "ratio-correction-factor" {
            title: "ratio correction factor",
            means: "true ratio over marked ratio",
            matters: "it is held to one of the two conditions of an IEEE metering class",
            action: "check burden and connection, then measure again",
            source: "IEEE C57.13, Table 6 (1993/2008), and C57.13.6, Table 1, as reprinted in a manufacturer's ratings sheet; the two conditions, 5.3 (1993/2008), from memory",
        }
        TRANSFORMER_CORRECTION_FACTOR = "transformer-correction-factor" {
            title: "transformer correction factor",
            means: "ratio correction factor less beta/2600, beta in minutes: the factor that corrects the power read through the CT at a load power factor of 0.6 lagging",
            matters: "it is held to one of the two conditions of an IEEE metering class",
            action: "check burden and connection, then measure again",
            source: "IEEE C57.13, Table 6 (1993/2008), and C57.13.6, Table 1, as reprinted in a manufacturer's ratings sheet; the two conditions, 5.3 (1993/2008), from memory",
        }
        CLASS_SHOWN = "class-shown" {
            title: "accuracy",
            means: "the accuracy class as a whole: it passes when ratio error and phase were read and held at every current and burden that the class names",
            matters: "a class holds over its range of currents and burdens, not at one point",
            action: "measure again where it was outside, and at the currents and burdens that are missing",
            source: "IEC 61869-2:2012, 5.6.201.3, 5.6.202 and 7.3.5 (from memory); IEEE C57.13, Table 6 (1993/2008), as reprinted, and 6.4.1 (from memory)",
        }
        TURNS_RATIO = "turns-ratio" {
            title: "turns ratio error by voltage",
            means: "the turns ratio found by voltage against that of the rating plate; positive with fewer turns than rated",
            matters: "it shows wrong taps, shorted and missing turns without primary current",
            action: "check leads, pair and the rating plate's ratio, demagnetise, then measure again",
            source: "IEC 61869-2:2012, 5.6.202.4 (0.25 % for PX, 1 % for PXR; from memory, PXR uncertain)",
        }
        WRONG_TAP = "wrong-tap" {
            title: "turns ratio of another tap",
            means: "a turns ratio more than 2 % off its own pair and within 1 % of another pair of the core",
            matters: "a lead on another terminal gives every relay the wrong current",
            action: "look where the test leads are and measure again; where it stays, trace the wires from terminal to winding before the tap goes into service",
            source: "common practice, no source",
        }
        TAPS_EXCHANGED = "taps-exchanged" {
            title: "two terminals exchanged",
            means: "ratios, resistances and curve of a core that are those of its marks with the wires of two terminals exchanged",
            matters: "every relay on a tap gets the current of another one",
            action: "with the primary dead, trace both wires to the winding and put them on their terminals; then measure the core again",
            source: "turns in series add up; common practice, no source",
        }
        TAP_SUM = "tap-sum" {
            title: "sum of the sections less the whole",
            means: "the turns of the sections of a winding against the turns of the whole, beyond 0.5 % and beyond the uncertainty",
            matters: "turns add up; where they do not, a reading is wrong or a lead is on another terminal",
            action: "measure the sections again: one reading or one lead is wrong",
            source: "turns in series add up; 0.5 % is common practice, no source",
        }
        EXPECTED_RATIO_ERROR = "expected-ratio-error" {
            title: "calculated ratio error",
            means: "the ratio error that turns ratio and exciting current lead to expect",
            matters: "it tells what to expect of a test by current; not measured, it has no verdict",
            action: "",
            source: "phasor diagram of the current transformer, as in textbooks",
        }
        EXPECTED_PHASE = "expected-phase" {
            title: "calculated phase displacement",
            means: "the phase displacement that turns ratio and exciting current lead to expect",
            matters: "it tells what to expect of a test by current; not measured, it has no verdict",
            action: "",
            source: "phasor diagram of the current transformer, as in textbooks",
        }
    }
    Ratio, Measurement {
        RATIO_BURDEN = "ratio-burden" {
            title: "burden of the ratio test",
            means: "the burden of a ratio test outside the range over which the class holds, or at another power factor",
            matters: "outside its range of burdens, and at another power factor, a class promises nothing",
            action: "repeat with a burden of the class, at its power factor",
            source: "IEC 61869-2:2012, 5.6.201.3 and, for an extended range, 5.6.201.4 (from memory)",
        }
        RATIO_READING = "ratio-reading" {
            title: "row of the ratio test",
            means: "a row of a ratio test that gives no value",
            matters: "what cannot be read cannot be judged",
            action: "",
            source: "common practice, no source",
        }
        RATIO_SLIP = "ratio-slip" {
            title: "slip of the pen in a ratio",
            means: "a voltage of a ratio test that, with its decimal point, its unit, two digits or the two columns changed, gives the turns ratio of the plate",
            matters: "a reading that was typed wrong says nothing of the turns",
            action: "compare this row with the sheet that was written at the test, and correct it",
            source: "common practice, no source",
        }
        RATIO_ROWS_EXCHANGED = "ratio-rows-exchanged" {
            title: "two rows of the ratio test exchanged",
            means: "two pairs whose turns ratios are each other's in the ratio test, while the other tests stand right",
            matters: "both are read as failures of a transformer that may be sound",
            action: "compare both rows with the sheet that was written at the test; where it says the same, test one of the two pairs again",
            source: "common practice, no source",
        }
        ERROR_SLIP = "error-slip" {
            title: "slip of the pen in a ratio error",
            means: "a ratio error by current far off what the rows beside it, the phase displacement and the other burden ask for, and as they ask with its decimal point, its sign or two digits changed",
            matters: "a number that was typed wrong says nothing of the class; an error of the transformer goes smoothly with the current",
            action: "compare this row with the sheet that was written at the test, and correct it",
            source: "phasor diagram of the current transformer, as in textbooks; common practice, no source",
        }
        PHASE_SLIP = "phase-slip" {
            title: "slip of the pen in a phase displacement",
            means: "a phase displacement far off what the rows beside it, the ratio error and the other burden ask for, and as they ask with its decimal point, its sign or two digits changed",
            matters: "a number that was typed wrong says nothing of the class; a displacement of the transformer goes smoothly with the current",
            action: "compare this row with the sheet that was written at the test, and correct it",
            source: "phasor diagram of the current transformer, as in textbooks; common practice, no source",
        }
        ERRORS_EXCHANGED = "errors-exchanged" {
            title: "errors in each other's place",
            means: "two rows of a table of errors, or its two columns, that go smoothly with the current in each other's place only",
            matters: "each is held against the limit of another one",
            action: "compare the table with the sheet that was written at the test, and correct it",
            source: "phasor diagram of the current transformer, as in textbooks; common practice, no source",
        }
        BURDENS_EXCHANGED = "burdens-exchanged" {
            title: "burdens of two tables of errors exchanged",
            means: "errors that are smaller at the greater burden and greater at the smaller one, at each current, with the angles that the other burden gives them",
            matters: "each table is held against the power factor and the range of the other burden",
            action: "compare both tables with the sheet that was written at the test, and the burden that was set; else take one row of each again",
            source: "phasor diagram of the current transformer, as in textbooks; common practice, no source",
        }
        OTHER_CORE_OPEN = "other-core-open" {
            title: "another core open",
            means: "ratio errors by current that move in proportion to the current, beside an earlier visit or the sisters",
            matters: "an open core saturates, bends the primary current, and may reach kilovolts at its terminals",
            action: "stop the current, short all other cores at their terminals, then measure again",
            source: "common practice, no source",
        }
        PRIMARY_LINKS = "primary-links" {
            title: "primary links otherwise than written",
            means: "turns ratios of all cores that are off by the factor of another position of the primary links",
            matters: "the currents in the secondaries are all half or double of what they are taken for",
            action: "look at the links of the primary and write down how they lie; then hold the ratio against that",
            source: "series and parallel of the primary, as on its plate; common practice, no source",
        }
        PRIMARY_PASSES = "primary-passes" {
            title: "passes of the primary otherwise than written",
            means: "turns ratios of all cores that are those of another number of passes through the window",
            matters: "the currents in the secondaries are all off by the same factor",
            action: "count how often the cable passes the window and write it down; then hold the ratio against that",
            source: "each pass is a turn of the primary; common practice, no source",
        }
        PICK_UP = "ratio-pick-up" {
            title: "voltage from outside on the primary",
            means: "readings of the primary that are all off by the same millivolts, whatever was applied",
            matters: "a low reading of the primary is falsified by what the yard induces in its leads",
            action: "keep the leads of the primary short and twisted, earth one end, or apply more voltage; then measure the ratio again",
            source: "common practice, no source",
        }
        VOLTS_PER_TURN = "volts-per-turn" {
            title: "voltage of the ratio test",
            means: "how far the voltage of the ratio test magnetises the core: per turn, or as a share of the knee",
            matters: "near the knee the voltage drop of the exciting current falsifies the turns ratio",
            action: "repeat the ratio at a lower voltage: near the knee the exciting current falsifies it",
            source: "IEEE C57.13.1, 8.1, below saturation (from memory); the share of the knee is the job's own criterion or common practice, no source",
        }
    }
    Ratio, Circuit {
        OVERALL_RATIO = "overall-ratio" {
            title: "overall ratio",
            means: "the rated ratio of the main CT that feeds this one, as it is in service, times that of the pair in service here",
            matters: "relays and meters behind an interposing CT are set to it",
            action: "",
            source: "product of two rated ratios",
        }
        OVERALL_ERROR = "overall-error" {
            title: "overall ratio error",
            means: "ratio error of the main CT, as its record has it, and of this one, added, at a current between the two, in amperes, that both were read at, for each burden that the main CT was read with, or by voltage",
            matters: "what the relay or meter sees errs by both",
            action: "",
            source: "product of two ratios; the product of the two errors is left out",
        }
    }
}
