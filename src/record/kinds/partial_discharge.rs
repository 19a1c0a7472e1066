//! `[partial-discharge]`: charge of partial discharges at test voltages from the primary to earth.

use crate::record::readings::Measure;
use crate::record::schema::section;

section! {
    "partial-discharge", "charge of partial discharges, primary to earth, on the way down from a prestress";
    /// All readings of one section.
    PartialDischarge {
        prestress: Voltage
            "voltage that was on before, r.m.s., where it is not the withstand test of the same visit";
    }
    /// The charge at one voltage.
    rows: DischargeRow needs [["voltage"], ["charge"]] {
        voltage: Voltage "test voltage, r.m.s." positive exact set;
        charge: Charge "apparent charge, as shown" positive measures(Measure::Charge);
    }
}
