//! One visit at one CT as it truly is: the body on that day, how the leads lie, what the instruments
//! do, what the technician does. A healthy bench is the default; a fault changes it.

use super::core::Pair;
use super::meter::Kit;
use super::sheet::Kind;
use super::unit::{Primary, Unit};
use std::collections::BTreeMap;

/// A closed circuit round the core: so many turns of it over so much impedance.
#[derive(Clone, Copy, Debug)]
pub struct Loop {
    pub turns: f64,
    /// Where its turns are those of the core's own winding: the part that they lie in, whose copper carries what is
    /// driven as well.
    pub within: Option<Pair>,
    /// Of the whole circuit, its copper among it.
    pub r: f64,
    pub x: f64,
}

/// What a voltmeter of the exciting test does to a sine, and to flux peaks.
#[derive(Clone, Copy, Debug)]
pub enum Sense {
    /// Mean-sensing, scaled.
    Mean,
    /// Mean-sensing, unscaled.
    Unscaled,
    /// Shows the crest.
    Crest,
    /// True r.m.s. behind a source of so many ohms: harmonics of the current drop across it.
    Rms(f64),
}

/// What happens while resistance is read on one pair.
#[derive(Clone, Debug, Default)]
pub struct Direct {
    /// Ohms in series that are no winding, by pair; at every reading of it.
    pub contact: Vec<(Pair, f64)>,
    /// A clip that moves: share by which a reading is high, at most, on one pair.
    pub clip: Option<(Pair, f64)>,
    /// Share by which the first reading is high, and its time constant, s.
    pub settling: Option<(f64, f64)>,
    /// Growth of the resistance per second.
    pub heating: f64,
}

/// What one core meets at a visit.
#[derive(Clone, Debug)]
pub struct Place {
    /// Where the lead of each stated terminal truly sits, by kind of test: core and terminal.
    pub leads: BTreeMap<Kind, Vec<(usize, usize)>>,
    pub loops: Vec<Loop>,
    /// Flux left in the core, share of saturation, when it is excited.
    pub left: f64,
    /// Whether the demagnetisation is done, and done before the direct current instead of after.
    pub demagnetised: bool,
    pub demagnetised_early: bool,
    pub pick_up: f64,
    /// Voltage of the ratio test in shares of the bend.
    pub applied: f64,
    pub direct: Direct,
    /// Leak beside the insulation of this core, ohm.
    pub leak: Option<f64>,
    pub star_first: bool,
    /// The connected circuit as measured: R, X.
    pub circuit: (f64, f64),
    pub earths: u8,
    /// Shift of the error by current, per cent, and the per cent of rated that the source reaches.
    pub distortion: Option<(f64, f64)>,
    /// Which kinds are measured; absent ones are named as not done.
    pub done: Vec<Kind>,
}

#[derive(Clone, Debug)]
pub struct Bench {
    pub date: &'static str,
    pub purpose: &'static str,
    pub kit: Kit,
    pub body: Unit,
    /// Of the air, the winding, and what is written for the winding; none leaves it out.
    pub celsius: f64,
    pub winding: f64,
    pub stated: Option<f64>,
    /// The resistance was taken to 75 °C before it was written.
    pub converted: bool,
    pub wires: u8,
    /// Ohms of a pair of leads; whether they are in what is written of a four-wire reading, or taken off a
    /// two-wire one already.
    pub leads: f64,
    pub leads_left_in: bool,
    pub leads_taken_off: bool,
    /// Readings in a row of each pair of a resistance, at these times.
    pub times: Vec<f64>,
    pub sense: Sense,
    /// True frequency of the source where it is not the stated one.
    pub source_hertz: Option<f64>,
    /// Turns of the primary as it is linked or passed, against what is written.
    pub primary_factor: f64,
    /// Whether the links of the primary are written as in series.
    pub series: bool,
    pub primary_sign: f64,
    pub both_earthed: bool,
    /// Leak beside the insulation of the primary, and of every group.
    pub surface: Option<f64>,
    pub test_lead: Option<f64>,
    pub places: Vec<Place>,
}

impl Place {
    pub fn sound(circuit: (f64, f64), done: Vec<Kind>, applied: f64) -> Self {
        Self {
            leads: BTreeMap::new(),
            loops: Vec::new(),
            left: 0.0,
            demagnetised: true,
            demagnetised_early: false,
            pick_up: 0.0,
            applied,
            direct: Direct::default(),
            leak: None,
            star_first: false,
            circuit,
            earths: 1,
            distortion: None,
            done,
        }
    }
}

impl Bench {
    /// Where the leads of a stated pair truly sit: the core and the pair of it.
    pub fn true_pair(&self, core: usize, kind: Kind, pair: Pair) -> (usize, Pair) {
        match self.places[core].leads.get(&kind) {
            Some(leads) => (leads[pair.0].0, (leads[pair.0].1, leads[pair.1].1)),
            None => (core, pair),
        }
    }

    pub fn does(&self, core: usize, kind: Kind) -> bool {
        self.places[core].done.contains(&kind)
    }

    /// Turns of the primary by stamp, links and passes as they are written.
    pub fn written_turns(&self) -> f64 {
        self.body.primary_turns
            * match self.body.connects {
                Primary::Links if self.series => 2.0,
                Primary::Passes(passes) => passes,
                _ => 1.0,
            }
    }

    pub fn hertz(&self) -> f64 {
        self.source_hertz.unwrap_or(self.body.hertz)
    }

    /// The laid-down leads of one core for all tests through its terminals.
    pub fn lay(&mut self, core: usize, leads: &[(usize, usize)]) {
        for kind in [
            Kind::Excitation,
            Kind::Ratio,
            Kind::Resistance,
            Kind::Polarity,
            Kind::ByCurrent,
        ] {
            self.places[core].leads.insert(kind, leads.to_vec());
        }
    }
}
