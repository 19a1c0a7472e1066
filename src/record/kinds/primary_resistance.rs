//! `[primary-resistance]`: resistance of a primary that is a winding, by direct current.

use super::{Context, resistance};
use crate::record::readings::Measure;
use crate::record::schema::section;

section! {
    "primary-resistance", "resistance of a primary that is a winding, by direct current";
    /// All readings of one section.
    PrimaryResistance {
        wires: Number
            "4: the leads are not in the reading; 2: they are, and are subtracted by the self-check's value";
    }
    /// One reading.
    rows: PrimaryRow by rows {
        links: Text "position of the primary links, where they can stand otherwise: series" set;
        current: Current "direct current" positive set measures(Measure::Current);
        voltage: Voltage "voltage across the primary" positive measures(Measure::Voltage);
        resistance: Resistance
            "resistance as shown"
            positive never(&["Mohm", "Gohm"]) measures(Measure::Resistance);
    }
}

impl PrimaryResistance {
    /// Whether anything of it was read.
    pub fn is_done(&self) -> bool {
        let mut rows = self.rows.iter();
        rows.any(|row| !(row.resistance.is_missing() && row.voltage.is_missing()))
    }
}

fn rows(c: &mut Context<'_>) -> Vec<PrimaryRow> {
    c.rows_by(resistance::needs, PrimaryRow::read)
}
