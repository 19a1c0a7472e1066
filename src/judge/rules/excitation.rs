//! The excitation curve by itself and against earlier ones: its rules.

use super::rules;

rules! {
    Excitation, Transformer {
        KNEE_IEC = "knee-iec" {
            title: "knee point voltage, 10 % more voltage and 50 % more current",
            means: "the point of the excitation curve from which 10 % more voltage takes 50 % more current",
            matters: "beyond it the core no longer follows the primary current",
            action: "",
            source: "IEC 61869-2:2012, 3.4.215",
        }
        KNEE_45 = "knee-45" {
            title: "knee point voltage, 45° tangent",
            means: "the point of the log-log excitation curve whose tangent has a slope of one",
            matters: "the knee of cores without gap in North American practice",
            action: "",
            source: "IEEE C57.13.1 (from memory)",
        }
        KNEE_30 = "knee-30" {
            title: "knee point voltage, 30° tangent",
            means: "the point of the log-log excitation curve whose tangent has an angle of 30°",
            matters: "the knee of gapped cores in North American practice",
            action: "",
            source: "IEEE C57.13.1 (from memory)",
        }
        CURVE_ABOVE_REFERENCE = "curve-above-reference" {
            title: "exciting current",
            means: "the exciting current below the knee against the maker's certificate or an earlier visit",
            matters: "more current at the same voltage is residual magnetism, a shorted turn, a closed primary or another core",
            action: "demagnetise and repeat; then compare the sister phases",
            source: "common practice, no source",
        }
        CURVE_BELOW_REFERENCE = "curve-below-reference" {
            title: "voltage above the knee at one exciting current",
            means: "the voltage above the knee at one exciting current against the maker's certificate or an earlier visit",
            matters: "less voltage above the knee is fewer turns or less iron",
            action: "check tap and frequency, then repeat",
            source: "common practice, no source",
        }
        RESIDUAL_MAGNETISM = "residual-magnetism" {
            title: "residual magnetism",
            means: "a curve that is raised at its low end and not at the knee",
            matters: "a magnetised core saturates early in one direction",
            action: "demagnetise from above the knee down to zero, then repeat the excitation",
            source: "common practice, no source",
        }
        SHORTED_TURN_SUSPECTED = "shorted-turn-suspected" {
            title: "shorted turn suspected",
            means: "a curve that is raised over its whole length",
            matters: "a shorted turn heats and destroys the winding, and spoils ratio and knee",
            action: "rule out a closed primary loop and a short on the winding's own leads, then repeat; if it stays, remove from service",
            source: "common practice, no source",
        }
    }
    Excitation, Measurement {
        CURVE_FLAW = "curve-flaw" {
            title: "excitation curve",
            means: "rows of an excitation test that do not make a rising curve",
            matters: "a knee is only as good as the readings around it",
            action: "",
            source: "common practice, no source",
        }
        VOLTMETER_RMS = "voltmeter-rms" {
            title: "voltmeter",
            means: "a true r.m.s. voltmeter where the class asks for a mean-sensing one",
            matters: "above the knee the voltage is no sine, and the two differ",
            action: "",
            source: "IEC 61869-2:2012, 3.4.213 and 7.2 (from memory)",
        }
        VOLTMETER_UNSTATED = "voltmeter-unstated" {
            title: "voltmeter",
            means: "whether the record says what the voltmeter senses",
            matters: "above the knee the voltage is no sine, and mean and r.m.s. differ",
            action: "",
            source: "IEC 61869-2:2012, 3.4.213 and 7.2 (from memory)",
        }
        READINGS_ABOVE_KNEE = "readings-above-knee" {
            title: "readings above the knee",
            means: "how many readings lie above the knee",
            matters: "a knee at the end of a curve is not bracketed",
            action: "go on to two readings above the knee",
            source: "common practice, no source",
        }
        OPEN_TERMINAL_VOLTAGE = "open-terminal-voltage" {
            title: "voltage at open terminals",
            means: "the highest voltage at terminals that are open during the excitation, also of the part of a winding that was not driven",
            matters: "it can hurt, and it can break down terminal block, leads and source",
            action: "drive the full winding instead",
            source: "IEC 61869-2:2012, 5.6.202 limits it to 4.5 kV peak for the inter-turn test (from memory); else common practice, no source",
        }
        PRIMARY_LOOP_SUSPECTED = "primary-loop-suspected" {
            title: "closed primary loop suspected",
            means: "raised exciting currents while both ends of the primary are earthed",
            matters: "a closed primary looks like a shorted turn on every core",
            action: "lift one earth of the primary under whatever sanction the site needs, and repeat, before a core is suspected",
            source: "common practice, no source",
        }
    }
}
