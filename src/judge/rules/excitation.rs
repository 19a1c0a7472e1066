//! The excitation curve by itself and against earlier ones: its rules.

use super::rules;

rules! {
    Excitation, Transformer {
        KNEE_IEC = "knee-iec" {
            title: "knee point voltage, 10 % more voltage and 50 % more current",
            means: "the point of the excitation curve from which 10 % more voltage takes 50 % more current",
            matters: "above it the exciting current rises steeply, and the secondary current no longer follows the primary",
            action: "",
            source: "IEC 61869-2:2012, 3.4.215, with IEV 321-02-34 (from memory); the same rule as seen in IEEE 3004.1-2013, definition B",
        }
        KNEE_45 = "knee-45" {
            title: "knee point voltage, 45° tangent",
            means: "the point of the excitation curve, on log-log axes with equal decades, where the tangent has a slope of one (45°)",
            matters: "it is the knee of cores without a gap in North American practice",
            action: "",
            source: "IEEE 3004.1-2013, definition A of the knee point voltage; for cores without a gap IEEE C57.13.1 and C37.110 (from memory)",
        }
        KNEE_30 = "knee-30" {
            title: "knee point voltage, 30° tangent",
            means: "the point of the excitation curve, on log-log axes with equal decades, where the tangent has an angle of 30°",
            matters: "it is the knee of gapped cores in North American practice",
            action: "",
            source: "IEEE C57.13, C57.13.1 and C37.110, excitation-curve clauses (from memory)",
        }
        CURVE_ABOVE_REFERENCE = "curve-above-reference" {
            title: "exciting current",
            means: "the exciting current below the knee against the manufacturer's certificate or an earlier visit",
            matters: "more current at the same voltage points to residual magnetism, a shorted turn, a closed primary or another core",
            action: "demagnetise and repeat; then compare the sister phases",
            source: "IEEE C57.13-1993, typical excitation curve clause: at most 125 % of the current (from memory)",
        }
        CURVE_BELOW_REFERENCE = "curve-below-reference" {
            title: "voltage above the knee at one exciting current",
            means: "the voltage above the knee at one exciting current against the manufacturer's certificate or an earlier visit",
            matters: "less voltage above the knee points to fewer turns, a smaller core, another tap or another frequency",
            action: "check tap and frequency, then repeat",
            source: "IEEE C57.13-1993, typical excitation curve clause: at least 95 % of the voltage (from memory)",
        }
        ANOTHER_IRON = "another-iron" {
            title: "another batch of iron than its sisters",
            means: "a curve, or all curves of a unit, along the axis of voltage off those of the sisters by no more than sections of iron differ by",
            matters: "it is odd and no fault; the knee that the plate asks for decides",
            action: "",
            source: "common practice, no source",
        }
        CURVE_UNEXPLAINED = "curve-unexplained" {
            title: "curve unlike its reference, unexplained",
            means: "a curve that lies far off the certificate, an earlier visit or the nearest sister, in either direction, where no cause that is known explains it",
            matters: "a knee that is too good is as little to be relied on as one that is too low: the curve may be misread, or the core another one",
            action: "take this core again and another core beside it, with the same source and a second voltmeter",
            source: "common practice, no source",
        }
        KNEE_LOWER = "knee-lower" {
            title: "knee lower than before",
            means: "a curve that bends at a lower voltage than the earlier one and is the same below",
            matters: "a core that saturates earlier gives less than its class promises",
            action: "repeat with the voltmeter of then; if it stays, compare the sister phases and ask the maker",
            source: "common practice, no source",
        }
        SHORTED_TURN_SUSPECTED = "shorted-turn-suspected" {
            title: "shorted turn suspected",
            means: "an exciting current that is higher than that of the reference over the whole curve",
            matters: "a shorted turn overheats and can destroy the winding, and falsifies ratio and knee",
            action: "rule out a closed primary loop and a short on the winding's own leads, then repeat; if it stays, remove from service",
            source: "a utility's testing handbook names a shorted turn or a closed path round the core as causes; how the curve tells them apart is common practice, no source",
        }
    }
    Excitation, Measurement {
        CURVE_OF_ANOTHER_TAP = "curve-of-another-tap" {
            title: "curve of another tap",
            means: "a curve that fits the earlier one of its core when it is taken for that of another pair of terminals",
            matters: "knee and exciting current of another tap say nothing of this one, and a driven tap raises the whole winding",
            action: "look at the terminals that the leads are on, against the drawing; then repeat",
            source: "turns: voltages in proportion, currents in inverse proportion; common practice, no source",
        }
        CURVES_EXCHANGED = "curves-exchanged" {
            title: "two curves exchanged",
            means: "two pairs whose curves fit what is known of each other, while the other tests stand right",
            matters: "knees and exciting currents are held against what belongs to the other",
            action: "compare the headings of both curves with the sheet that was written at the test; where it says the same, take one of them again",
            source: "common practice, no source",
        }
        CURVE_SLIP = "curve-slip" {
            title: "slip of the pen in a curve",
            means: "a reading of a curve, or a column of it, that fits the others with its decimal point, its unit, two digits or the two columns changed",
            matters: "a reading that was typed wrong bends the curve, and with it the knee",
            action: "compare this row with the sheet that was written at the test, and correct it",
            source: "common practice, no source",
        }
        BURDEN_LEFT_ON = "burden-left-on" {
            title: "burden left connected",
            means: "a curve that fits the earlier one when the connected circuit, or what is left of it, is added across the winding; or one that the record says was taken with the circuit connected",
            matters: "the source feeds the circuit as well: the current is not the exciting current, and relays may operate",
            action: "open the links of this core's circuit, then repeat",
            source: "Ohm's law; common practice, no source",
        }
        SHORT_LEFT_ON = "short-left-on" {
            title: "short or load across the winding",
            means: "a curve that fits the earlier one when a conductance larger than a shorted turn's is added across the winding",
            matters: "a shorting link, a circuit or touching leads take a current that is none of the core's",
            action: "look for shorting links on all taps of this core, for its circuit and for touching clips; then repeat",
            source: "Ohm's law; common practice, no source",
        }
        VOLTMETER_SCALE = "voltmeter-scale" {
            title: "scale of the voltmeter",
            means: "a curve that fits the earlier one when all its voltages are scaled as a mean or a peak value is to the r.m.s. value of a sine",
            matters: "a knee read on another scale is wrong by a tenth or by two fifths",
            action: "find out what the voltmeter shows, and write the voltage as the r.m.s. value of a sine with the same mean",
            source: "form factor 1.11 and crest factor 1.41 of a sine; IEC 61869-2:2012, 7.2.6.202 (from memory)",
        }
        VOLTMETER_SENSE = "voltmeter-sense" {
            title: "what the voltmeter senses",
            means: "a curve that is the earlier one below the knee, and above it lies higher, as a true r.m.s. voltmeter shows more of a voltage that saturation makes peaky",
            matters: "above the knee only the mean follows the flux; a knee by another meter is no change of the core",
            action: "take the readings above the knee again with a voltmeter that senses the mean and shows it as an r.m.s. value",
            source: "IEC 61869-2:2012, 7.2.6.202 (from memory); form factor of a peaky wave; common practice, no source",
        }
        SOURCE_FREQUENCY = "source-frequency" {
            title: "frequency of the source",
            means: "curves that fit the earlier ones when all voltages are scaled by one frequency to another",
            matters: "the voltage at one flux is in proportion to the frequency, and so is the knee",
            action: "find out the frequency of the source; where it is not the rated one, write `frequency:` into the section",
            source: "law of induction",
        }
        RESIDUAL_MAGNETISM = "residual-magnetism" {
            title: "residual magnetism",
            means: "an exciting current that is higher than that of the reference at the low end of the curve and not at the knee",
            matters: "a magnetised core saturates early in one direction",
            action: "demagnetise from above the knee down to zero, then repeat the excitation",
            source: "common practice, no source",
        }
        CURVE_FLAW = "curve-flaw" {
            title: "excitation curve",
            means: "rows of an excitation test that do not make a rising curve",
            matters: "a knee is only as good as the readings around it",
            action: "",
            source: "common practice, no source",
        }
        VOLTMETER_RMS = "voltmeter-rms" {
            title: "voltmeter",
            means: "a true r.m.s. voltmeter where the standard asks for one that senses the mean and is scaled in r.m.s.",
            matters: "above the knee the voltage is not a sine and the two read differently; only the mean follows the peak flux",
            action: "",
            source: "IEC 61869-2:2012, 7.2.6.202 and 7.2.6.203; IEEE C57.13.1, annex B (from memory)",
        }
        VOLTMETER_UNSTATED = "voltmeter-unstated" {
            title: "voltmeter",
            means: "whether the record says what the voltmeter senses",
            matters: "above the knee the voltage is not a sine, and mean and r.m.s. readings differ",
            action: "",
            source: "IEC 61869-2:2012, 7.2.6.202 and 7.2.6.203; IEEE C57.13.1, annex B (from memory)",
        }
        VOLTMETER_PEAK = "voltmeter-peak" {
            title: "voltmeter",
            means: "a voltmeter that shows the crest of the voltage",
            matters: "the peak of the flux follows the mean of the voltage and not its crest, so that a curve by crests has no knee; the crest tells what the insulation is stressed by",
            action: "repeat with a mean-sensing voltmeter, scaled in r.m.s. of a sine",
            source: "law of induction",
        }
        READINGS_ABOVE_KNEE = "readings-above-knee" {
            title: "readings above the knee",
            means: "how many readings lie above the knee",
            matters: "a knee at the end of a curve is not bracketed",
            action: "go on to two readings above the knee",
            source: "a utility's site test form: at least two",
        }
        OPEN_TERMINAL_VOLTAGE = "open-terminal-voltage" {
            title: "voltage at open terminals",
            means: "the highest voltage at terminals that are open during the excitation, also of the part of a winding that was not driven",
            matters: "it can injure or kill, and it can break down terminal block, leads and source",
            action: "barrier every open end, and stop at a lower voltage or test at a lower frequency",
            source: "limits at site are common practice, no source; beside them IEC 61869-2:2012, 5.3.201, 4.5 kV peak in the inter-turn test, and IEEE C57.13, 6.7 (1993/2008), 3.5 kV crest at open terminals (both from memory)",
        }
        PRIMARY_LOOP_SUSPECTED = "primary-loop-suspected" {
            title: "closed primary loop suspected",
            means: "higher exciting currents while both ends of the primary are earthed",
            matters: "a closed primary looks like a shorted turn on every core",
            action: "under the site's safety rules lift one earth of the primary, whose open end may then carry induced voltage, and repeat before a core is suspected",
            source: "common practice, no source",
        }
    }
}
