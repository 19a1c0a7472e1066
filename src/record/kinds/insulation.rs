//! `[insulation]`: resistance between groups of windings and earth, by direct voltage.

use super::Context;
use crate::record::readings::Measure;
use crate::record::schema::section;

section! {
    "insulation", "resistance between windings and earth by direct voltage";
    /// All readings of one section.
    Insulation {
        guard: Text "where the guard terminal was connected: bushing skirt; or none";
        humidity: Percent "relative humidity, where it is not that of the visit";
    }
    /// One reading.
    rows: InsulationRow by rows {
        between: Between "what was measured against what: 1S to primary, cores and earth";
        voltage: Voltage "direct test voltage" positive exact set;
        time: Time "time under voltage when it was read" positive exact set;
        resistance: Resistance
            "insulation resistance as shown"
            positive never(&["mohm", "uohm"]) measures(Measure::Insulation);
        current: Current "leakage current, where resistance follows from it" positive;
    }
}

fn rows(c: &mut Context<'_>) -> Vec<InsulationRow> {
    for table in &c.body.tables {
        c.column_needed(table, &["between"]);
    }
    c.rows(&[&["resistance", "current"]], InsulationRow::read)
}
