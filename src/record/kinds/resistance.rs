//! `[resistance]`: winding resistance by direct current.

use super::{Context, Needs};
use crate::record::body::Table;
use crate::record::readings::Measure;
use crate::record::schema::section;

section! {
    "resistance", "winding resistance by direct current";
    /// All readings of one section.
    Resistance {
        wires: Number
            "4: the leads are not in the reading; 2: they are, and are subtracted by the self-check's value";
    }
    /// One reading.
    rows: ResistanceRow by rows {
        on: Pair "pair that was read" or(&["pair"]);
        current: Current "direct current" positive set measures(Measure::Current);
        voltage: Voltage "voltage across the pair" positive measures(Measure::Voltage);
        resistance: Resistance
            "resistance as shown"
            positive never(&["Mohm", "Gohm"]) measures(Measure::Resistance);
        after: Time "time since the current was switched on" set;
    }
}

fn rows(c: &mut Context<'_>) -> Vec<ResistanceRow> {
    c.rows_by(needs, ResistanceRow::read)
}

/// A resistance as shown, or what it follows from.
pub(super) fn needs(table: &Table) -> Needs {
    if table.has("resistance") {
        &[&["resistance"]]
    } else {
        &[&["voltage"], &["current"]]
    }
}
