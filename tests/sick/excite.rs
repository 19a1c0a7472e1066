//! A driven winding: current and e.m.f. at a voltage, with whatever is closed round the core.

use super::bench::{Bench, Loop, Sense};
use super::core::{Core, Pair};
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
    pair: Pair,
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
            pair,
        }
    }

    /// Ampere-turns at an e.m.f. per turn, loops and all; and the voltage, in phase and behind, by which the currents
    /// of loops lessen the drop in copper that they have in common with the driven pair, where they run against it.
    fn drawn(&self, per_turn: f64) -> (Drawn, [f64; 2]) {
        let mut drawn = self.curve.at(per_turn);
        let mut less = [0.0; 2];
        for one in &self.bench.places[self.core].loops {
            let shared = self.shared(one);
            // What is driven for a loop makes up for its ampere-turns, and drops in the shared copper.
            let r = one.r - shared * one.turns / self.turns;
            let square = r * r + one.x * one.x;
            let flow = per_turn * one.turns * one.turns / square;
            drawn.active += flow * r;
            drawn.reactive += flow * one.x;
            less[0] += flow * r / one.turns * shared;
            less[1] += flow * one.x / one.turns * shared;
        }
        (drawn, less)
    }

    /// Copper that a loop has in common with the driven pair, ohm.
    fn shared(&self, one: &Loop) -> f64 {
        let body = &self.bench.body.cores[self.core];
        let ohms = one.within.and_then(|within| {
            let share = one.turns / body.turns_of(within).abs();
            let common = Core::common(within, self.pair)?;
            Some(share * body.ohms_of(common, self.bench.winding))
        });
        ohms.unwrap_or(0.0)
    }

    /// Voltage of the terminals at an e.m.f., in phase with it and behind.
    fn terminals(&self, emf: f64) -> (f64, f64, Drawn) {
        let (drawn, less) = self.drawn(emf / self.turns);
        let (active, reactive) = (drawn.active / self.turns, drawn.reactive / self.turns);
        let real = emf + active * self.ohms - less[0] + reactive * self.leakage;
        let other = active * self.leakage - (reactive * self.ohms - less[1]);
        (real, other, drawn)
    }

    /// At a voltage of the terminals, r.m.s. by the mean.
    pub fn at(&self, volts: f64) -> Taken {
        let (mut low, mut high) = (volts * 1e-6, volts);
        for _ in 0..36 {
            let middle = 0.5 * (low + high);
            let (real, other, _) = self.terminals(middle);
            if libm::hypot(real, other) > volts {
                high = middle;
            } else {
                low = middle;
            }
        }
        let emf = 0.5 * (low + high);
        let (real, other, drawn) = self.terminals(emf);
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
        let (drawn, _) = self.drawn(emf / self.turns);
        // The exciting current lies behind the e.m.f. by its own angle, the secondary current by the loop's.
        let loop_angle = libm::atan2(x, r);
        let behind = libm::atan2(drawn.reactive, drawn.active) - loop_angle;
        let share = libm::hypot(drawn.active, drawn.reactive) / self.turns / amperes;
        let (real, other) = (1.0 + share * libm::cos(behind), share * libm::sin(behind));
        let error = 1.0 / libm::hypot(real, other) - 1.0;
        (error, libm::atan2(other, real).to_degrees() * 60.0)
    }
}
