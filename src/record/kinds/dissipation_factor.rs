//! `[dissipation-factor]`: capacitance and dissipation factor of the primary's insulation, by alternating voltage.

use crate::record::readings::Measure;
use crate::record::schema::section;

section! {
    "dissipation-factor", "capacitance and dissipation factor of the primary's insulation, by alternating voltage";
    /// All readings of one section.
    DissipationFactor {}
    /// One reading.
    rows: DissipationRow needs [["capacitance", "factor"]] {
        between: Between "what was measured against what: primary to cores and earth, primary to test tap";
        voltage: Voltage "test voltage, r.m.s." positive exact set;
        capacitance: Capacitance "capacitance as shown" positive measures(Measure::Capacitance);
        factor: Percent
            "dissipation factor, tan delta, in per cent; a power factor is another quantity"
            positive or(&["tan-delta"]) measures(Measure::DissipationFactor);
    }
}
