//! Inspection: its rules.

use super::rules;

rules! {
    Inspection, Transformer {
        INSPECTION = "inspection" {
            title: "inspection",
            means: "the state of what was looked at, in the words of the record; all but a few plain good words is for a person to weigh",
            matters: "cracks, leaks, water and loose terminals are seen before a test shows them",
            action: "look at it, and say whether the transformer may serve with it: `yes` or `no` in the column `may serve`",
            source: "common practice, no source",
        }
        CORES_EXCHANGED = "cores-exchanged" {
            title: "two cores exchanged",
            means: "two cores that each give the readings of the other, by certificate or by sisters",
            matters: "metering then hangs on a protection core, and protection on one that saturates early",
            action: "with the primary dead, trace the terminals of both cores to their windings, and correct the marks or the wires",
            source: "common practice, no source",
        }
    }
    Inspection, Measurement {
        RECORDS_EXCHANGED = "records-exchanged" {
            title: "readings of another unit",
            means: "readings that fit an earlier visit or the certificate of a sister and not that of this record",
            matters: "what is judged here may be another transformer",
            action: "hold the serial number on the unit against certificate and sheets, and move what belongs elsewhere",
            source: "common practice, no source",
        }
        COPIED_TABLE = "copied-table" {
            title: "table of another unit",
            means: "a table that agrees with that of a sister in every reading, to the last digit",
            matters: "one of the two was never measured",
            action: "find the sheet that the readings were taken on; measure again where there is none",
            source: "two cores never read the same to the last digit; common practice, no source",
        }
        PLATE_VALUE = "plate-value" {
            title: "value of the plate",
            means: "a value of the plate that the plates of sisters of the same make, the readings, or other values of the plate contradict",
            matters: "a sound transformer fails against a value that was typed wrong, and a bad one may pass",
            action: "read the plate again, or a photo of it, and correct the record",
            source: "units of one make have one plate; common practice, no source",
        }
        PLATE_FREQUENCY = "plate-frequency" {
            title: "rated frequency",
            means: "a rated frequency that the plates of sisters of the same make contradict",
            matters: "every voltage of a curve is taken to the rated frequency",
            action: "read the plate again, or a photo of it, and correct the record",
            source: "units of one make have one plate; common practice, no source",
        }
    }
}
