//! `[burden]`: the connected circuit, measured with the CT side open.

use crate::record::readings::Measure;
use crate::record::schema::section;
use crate::record::value::choices;

section! {
    "burden", "the connected circuit, CT side open";
    /// All of one section.
    BurdenTest {
        frequency: Frequency "frequency of the source, where it is not the rated one";
    }
    /// One loop.
    rows: BurdenRow needs [["current"], ["voltage"]] {
        on: Pair "pair whose outgoing circuit was measured" or(&["pair"]);
        path "loop": Choice(Path)
            "where the current went round; phase-neutral unless written" set;
        phases: Text "the two phases of a phase-phase loop: L1-L2" set;
        current: Current "current into the circuit" positive set measures(Measure::Current);
        voltage: Voltage "voltage across it" positive measures(Measure::Voltage);
        angle: Angle "angle by which the current lags" measures(Measure::Angle);
    }
}

choices! {
    /// Where the current went round the circuit.
    #[derive(strum::IntoStaticStr)]
    #[strum(serialize_all = "kebab-case")]
    pub enum Path {
        PhaseNeutral,
        PhasePhase,
        PhaseEarth,
        /// The circuit of one phase alone, out and back.
        SinglePhase,
    }
}

impl Path {
    /// As written.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.into()
    }

    /// Whether it is the circuit of one phase, out and back: what a rated burden speaks of. Two phases
    /// in series hold two of them, and nothing says that they are alike; the way through the earth is
    /// not the neutral lead.
    #[must_use]
    pub fn is_of_one_phase(self) -> bool {
        match self {
            Self::PhaseNeutral | Self::SinglePhase => true,
            Self::PhasePhase | Self::PhaseEarth => false,
        }
    }
}
