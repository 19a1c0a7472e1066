//! `[excitation]`: voltage on an open secondary and the current it takes.

use super::state::Secondary;
use super::{Context, Flux};
use crate::record::readings::Measure;
use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "excitation", "voltage on the open secondary and the current it takes";
    /// One curve.
    Excitation {
        voltmeter: Choice(Voltmeter)
            "mean: mean-sensing, scaled in r.m.s. of a sine; rms: true r.m.s.; peak: it shows the crest";
        frequency: Frequency "frequency of the source, where it is not the rated one";
        "method": Text "how the curve was taken, where it is not by a rising sine voltage";
        ended: Choice(Ended)
            "how the run ended; zero: the voltage was run down to zero; tripped: it was cut off at voltage";
        burden: Choice(Attached) "whether the circuit of the winding was still connected";
        primary: Text
            "state of the primary during this run, where it is not that of the visit: P1 open, P2 earthed; shorted";
        other_cores "other cores": Choice(Secondary)
            "the other cores during this run: connected, shorted or open";
    }
    /// One point of the curve.
    rows: ExcitationRow by rows {
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
        /// The crest. Above the knee it follows neither the flux nor the r.m.s. value.
        Peak,
    }

    /// How a run ended.
    #[strum(serialize_all = "lowercase")]
    pub enum Ended {
        Zero,
        /// By a trip, a fuse or a switch, so that flux stays in the core.
        Tripped,
    }

    /// Whether the circuit of the driven winding was connected to it.
    #[strum(serialize_all = "lowercase")]
    pub enum Attached {
        Connected,
        Disconnected,
    }
}

impl Excitation {
    /// Whether the source fed the circuit as well.
    pub fn is_with_burden(&self) -> bool {
        self.burden.value() == Some(&Attached::Connected)
    }
}

fn rows(c: &mut Context<'_>) -> Vec<ExcitationRow> {
    if c.body.get("ended").value() == Some(&Ended::Tripped) {
        c.flux = Flux::Tripped;
    }
    c.rows(&[&["voltage"], &["current"]], ExcitationRow::read)
}
