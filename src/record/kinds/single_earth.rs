//! `[single-earth]`: the earth of a circuit lifted, the rest of it read against earth, the earth put back.

use super::Context;
use crate::record::readings::Measure;
use crate::record::schema::section;
use crate::record::value::YesNo;

section! {
    "single-earth", "whether a circuit has one earth: that one lifted, the rest read against earth";
    /// All readings of one section.
    SingleEarth {}
    /// One earth that was lifted.
    rows: SingleEarthRow by rows {
        core: Core "name of the core";
        at: Text "where its earth was lifted" set;
        voltage: Voltage "direct test voltage" positive exact set measures(Measure::Voltage);
        time: Time "time under voltage when it was read" positive exact set;
        resistance: Resistance
            "insulation resistance of the circuit, its earth lifted" unsigned never(&["mohm", "uohm"]) measures(Measure::Insulation);
        relays_out "relays out": Choice(YesNo)
            "whether relays and meters were out of the circuit under the test voltage";
        put_back "put back": Choice(YesNo) "whether the earth was put back";
        earths "earths counted": Count
            "earths found on the circuit, its own put back; there is to be one" or(&["grounds counted"]);
        remark: Text "anything else";
    }
}

fn rows(c: &mut Context<'_>) -> Vec<SingleEarthRow> {
    c.rows_of_cores(&[], SingleEarthRow::read, |row| row.core)
}

impl SingleEarthRow {
    /// Whether all of it waits to be filled in.
    pub fn waits(&self) -> bool {
        self.resistance.is_missing() && self.put_back.is_missing() && self.earths.is_missing()
    }
}
