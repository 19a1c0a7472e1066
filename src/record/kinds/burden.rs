//! `[burden]`: the connected circuit, measured with the CT side open.

use crate::record::readings::Measure;
use crate::record::schema::section;

section! {
    "burden", "the connected circuit, CT side open";
    /// All of one section.
    BurdenTest {
        frequency: Frequency "frequency of the source, where it is not the rated one";
    }
    /// One loop.
    rows: BurdenRow needs [["current"], ["voltage"]] {
        on: Pair "pair whose outgoing circuit was measured";
        path "loop": Text "phase-neutral, phase-phase, …";
        current: Current "current into the circuit" positive set measures(Measure::Current);
        voltage: Voltage "voltage across it" positive measures(Measure::Voltage);
        angle: Angle "angle by which the current lags" measures(Measure::Angle);
    }
}
