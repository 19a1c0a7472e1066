//! What follows from the readings of a visit, test by test: one file each. Later tests may use the
//! results of earlier ones (an e.m.f. needs the winding resistance), so the order here is fixed,
//! whatever the order of work was.

pub mod burden;
pub mod circuit;
pub mod demagnetisation;
pub mod dissipation_factor;
pub mod duty;
pub mod excitation;
pub mod injection;
pub mod insulation;
pub mod load;
pub mod overall;
pub mod partial_discharge;
pub mod polarity;
pub mod primary_resistance;
pub mod protection;
pub mod ratio;
pub mod resistance;
pub mod security;
pub mod self_check;
pub mod stability;

use super::case::Case;
use super::deriving::Deriving;
use super::outcome::Outcome;
use super::workings::Workings;
use std::sync::Arc;

/// What an earlier visit of the same occasion gave, and this one may still rest on.
#[derive(Clone, Debug)]
pub struct Before {
    /// Index of the visit in the record.
    pub visit: usize,
    pub resistance: Vec<resistance::Winding>,
    pub burden: Vec<burden::Loop>,
    pub excitation: Vec<excitation::Excited>,
    pub runs: Vec<ratio::Run>,
}

/// Everything derived from one visit. Values are handles into the record's workings.
#[derive(Clone, Debug, Default)]
pub struct Derived {
    pub self_check: Vec<self_check::Checked>,
    pub insulation: Vec<insulation::Group>,
    pub partial_discharge: Vec<partial_discharge::Discharge>,
    pub dissipation_factor: Vec<dissipation_factor::Insulated>,
    pub resistance: Vec<resistance::Winding>,
    pub burden: Vec<burden::Loop>,
    /// Loops, and insulation with the earth lifted, as read.
    pub circuit: Vec<circuit::Read>,
    /// The primary, where it is a winding.
    pub primary_resistance: Vec<primary_resistance::Primary>,
    pub excitation: Vec<excitation::Excited>,
    pub demagnetisation: Vec<demagnetisation::Brought>,
    pub ratio: ratio::Measured,
    pub polarity: Vec<polarity::Shown>,
    /// Class and accuracy of each core, from its curve, resistance and burden.
    pub protection: Vec<protection::Accuracy>,
    /// What the circuit asks and the core gives.
    pub duty: Vec<duty::Served>,
    /// Security factors at the connected burden.
    pub security: Vec<security::AtConnected>,
    /// What relays and meters show of what was fed into their circuits.
    pub injection: Vec<injection::Shown>,
    /// Currents on load beside the primary current, and beside each other.
    pub load: load::Seen,
    /// Operating beside restraining currents of differential zones.
    pub stability: Vec<stability::Balance>,
    /// Earlier visits of the same occasion, oldest first.
    pub before: Vec<Arc<Before>>,
}

impl Derived {
    /// The resistance of a circuit that a row of a test holds.
    pub fn circuit_at(&self, test: usize, row: usize) -> Option<Outcome> {
        let place = self
            .circuit
            .binary_search_by_key(&(test, row), circuit::Read::place);
        self.circuit.get(place.ok()?).map(|read| read.r)
    }

    /// What a later visit of the same occasion may rest on.
    pub(super) fn kept(&self, visit: usize) -> Before {
        Before {
            visit,
            resistance: self.resistance.clone(),
            burden: self.burden.clone(),
            excitation: self.excitation.clone(),
            runs: self.ratio.runs.clone(),
        }
    }
}

/// Derives everything of one visit.
pub(super) fn visit(case: Case<'_>, before: Vec<Arc<Before>>, w: &mut Workings) -> Derived {
    let mut derived = Derived {
        before,
        ..Derived::default()
    };
    macro_rules! derive {
        ($($kind:ident),*) => {$(
            derived.$kind = $kind::derive(&mut Deriving { case, derived: &derived, w: &mut *w });
        )*};
    }
    derive!(
        self_check,
        insulation,
        partial_discharge,
        dissipation_factor,
        resistance,
        burden,
        circuit,
        primary_resistance,
        excitation,
        demagnetisation,
        ratio,
        polarity,
        protection,
        duty,
        security,
        injection,
        load,
        stability
    );
    derived
}
