//! A driven winding: current and e.m.f. at a voltage, with whatever is closed round the core.

use super::bench::{Bench, Sense};
use super::core::Pair;
use super::iron::{Curve, Drawn};
use std::f64::consts::PI;
use std::rc::Rc;

/// A winding that is driven with alternating voltage.
pub struct Driven<'a> {
    bench: &'a Bench,
    curve: Rc<Curve>,
    /// Turns, ohms and reactance of the pair.
    turns: f64,
    ohms: f64,
    leakage: f64,
    core: usize,
}

/// What it does at one voltage: e.m.f. (V), exciting current (A), angle of the e.m.f. behind the voltage (rad).
#[derive(Clone, Copy)]
pub struct Taken {
    pub emf: f64,
    pub amperes: f64,
    pub harmonic: f64,
    pub angle: f64,
}

impl<'a> Driven<'a> {
    /// The pair as it truly is.
    pub fn new(bench: &'a Bench, core: usize, pair: Pair, curve: Rc<Curve>) -> Self {
        let unit = &bench.body;
        let one = &unit.cores[core];
        let turns = one.turns_of(pair).abs();
        Self {
            bench,
            curve,
            turns,
            ohms: one.ohms_of(pair, bench.winding),
            leakage: one.leakage * turns / one.all_turns(),
            core,
        }
    }

    /// Ampere-turns at an e.m.f. per turn, loops and all.
    fn drawn(&self, per_turn: f64) -> Drawn {
        let mut drawn = self.curve.at(per_turn);
        for one in &self.bench.places[self.core].loops {
            let square = one.r * one.r + one.x * one.x;
            let flow = per_turn * one.turns * one.turns / square;
            drawn.active += flow * one.r;
            drawn.reactive += flow * one.x;
        }
        drawn
    }

    fn voltage(&self, emf: f64) -> (f64, Drawn) {
        let drawn = self.drawn(emf / self.turns);
        let (active, reactive) = (drawn.active / self.turns, drawn.reactive / self.turns);
        let real = emf + active * self.ohms + reactive * self.leakage;
        let other = active * self.leakage - reactive * self.ohms;
        (libm::hypot(real, other), drawn)
    }

    /// At a voltage of the terminals, r.m.s. by the mean.
    pub fn at(&self, volts: f64) -> Taken {
        let (mut low, mut high) = (volts * 1e-6, volts);
        for _ in 0..36 {
            let middle = 0.5 * (low + high);
            if self.voltage(middle).0 > volts {
                high = middle;
            } else {
                low = middle;
            }
        }
        let emf = 0.5 * (low + high);
        let drawn = self.drawn(emf / self.turns);
        let (active, reactive) = (drawn.active / self.turns, drawn.reactive / self.turns);
        let real = emf + active * self.ohms + reactive * self.leakage;
        let other = active * self.leakage - reactive * self.ohms;
        Taken {
            emf,
            amperes: drawn.total() / self.turns,
            harmonic: drawn.harmonic / self.turns,
            angle: -libm::atan2(other, real),
        }
    }

    /// Exciting current while the voltmeter of the visit shows `shown`, with the voltage that is truly on.
    pub fn shown(&self, shown: f64) -> (f64, Taken) {
        match self.bench.sense {
            Sense::Mean => (shown, self.at(shown)),
            // A sine's r.m.s. is 1.11 times its mean and 0.71 times its crest.
            Sense::Unscaled => (shown, self.at(shown * PI / 8.0_f64.sqrt())),
            Sense::Crest => (shown, self.at(shown / 2.0_f64.sqrt())),
            Sense::Rms(source) => {
                let taken = self.at(shown);
                (libm::hypot(shown, source * taken.harmonic), taken)
            }
        }
    }
}

impl Driven<'_> {
    /// Ratio error (share) and displacement (arcmin) at a secondary current over a loop of r and x.
    pub fn errors(&self, amperes: f64, r: f64, x: f64) -> (f64, f64) {
        let emf = amperes * libm::hypot(r, x);
        let drawn = self.drawn(emf / self.turns);
        // The exciting current lies behind the e.m.f. by its own angle, the secondary current by the loop's.
        let loop_angle = libm::atan2(x, r);
        let behind = libm::atan2(drawn.reactive, drawn.active) - loop_angle;
        let share = libm::hypot(drawn.active, drawn.reactive) / self.turns / amperes;
        let (real, other) = (1.0 + share * libm::cos(behind), share * libm::sin(behind));
        let error = 1.0 / libm::hypot(real, other) - 1.0;
        (error, libm::atan2(other, real).to_degrees() * 60.0)
    }
}
