//! `[excitation]`: voltage on an open secondary and the current it takes.

use crate::record::readings::Measure;
use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "excitation", "voltage on the open secondary and the current it takes";
    /// One curve.
    Excitation {
        voltmeter: Choice(Voltmeter)
            "mean: mean-sensing, scaled in r.m.s. of a sine; rms: true r.m.s.";
        frequency: Frequency "frequency of the source, where it is not the rated one";
        "method": Text "how the curve was taken, where it is not by a rising sine voltage";
    }
    /// One point of the curve.
    rows: ExcitationRow needs [["voltage"], ["current"]] {
        voltage: Voltage "voltage on the driven pair" positive exact measures(Measure::Voltage);
        current: Current "exciting current, r.m.s." positive exact measures(Measure::Current);
        peak: Current "exciting current, peak" positive exact;
        angle: Angle "angle by which the current lags the voltage" exact measures(Measure::Angle);
    }
}

choices! {
    /// How the voltmeter senses.
    #[strum(serialize_all = "lowercase")]
    pub enum Voltmeter {
        Mean,
        Rms,
    }
}
