//! What a core takes at a sine of flux. The law has two parts: a weak-field part whose permeability
//! depends on the amplitude and which lags by a loss angle, and a part that turns steep as the
//! polarisation nears saturation. Figures of the materials: common practice, no source; `sanity.rs`
//! holds them against flux densities that makers of strip publish.

use std::f64::consts::PI;

const MU0: f64 = 4e-7 * PI;
/// Samples of half a period; the other half mirrors it where no flux is left behind.
const HALF: usize = 24;

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Iron {
    pub name: &'static str,
    /// Saturation polarisation, T.
    pub saturation: f64,
    /// Amplitude of the weak field at saturation, A/m, and how it grows with the amplitude of flux.
    pub weak: f64,
    pub growth: f64,
    /// Field of the steep part where j^2/(1 - j^2) is 1, A/m, and its power.
    pub steep: f64,
    pub power: f64,
    /// Loss angle of the weak part, rad.
    pub loss: f64,
}

const fn strip(name: &'static str, weak: f64, steep: f64, loss: f64) -> Iron {
    Iron {
        name,
        saturation: 1.98,
        weak,
        growth: 0.65,
        steep,
        power: 3.2,
        loss,
    }
}

/// Oriented silicon steel: high permeability, usual, and an older, thicker grade.
pub const ORIENTED: [Iron; 3] = [
    strip("high permeability", 13.0, 1.1, 0.75),
    strip("usual", 18.0, 1.7, 0.85),
    strip("older", 26.0, 2.6, 0.95),
];

/// Nickel-iron of about 80 % nickel.
pub const NICKEL: Iron = Iron {
    name: "nickel-iron",
    saturation: 0.75,
    weak: 1.3,
    growth: 0.60,
    steep: 0.12,
    power: 2.8,
    loss: 0.60,
};

/// A core: strip wound to a ring, perhaps with gaps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    pub iron: Iron,
    /// m2
    pub area: f64,
    /// m
    pub path: f64,
    /// Sum of the gaps, m.
    pub gap: f64,
}

/// Ampere-turns at one flux: in phase with the e.m.f., in quadrature to it, and the rest (r.m.s.).
#[derive(Clone, Copy, Debug, Default)]
pub struct Drawn {
    pub active: f64,
    pub reactive: f64,
    pub harmonic: f64,
}

/// What a ring draws over e.m.f. per turn, at one frequency and with one flux left in it.
pub struct Curve(Vec<(f64, [f64; 3])>);

impl Ring {
    /// E.m.f. per turn at a share of saturation, V r.m.s.
    pub fn volts_per_turn(&self, share: f64, hertz: f64) -> f64 {
        (PI * 2.0_f64.sqrt()) * hertz * self.area * self.iron.saturation * share
    }

    /// `left` is the flux left behind as a share of saturation; an alternating flux shakes it down
    /// as it grows.
    pub fn curve(&self, hertz: f64, rated: f64, left: f64) -> Curve {
        let low = (0..36).map(|n| 0.002 * libm::pow(300.0, f64::from(n) / 36.0));
        let high = (0..60).map(|n| 1.0 - 0.4 * libm::pow(0.004, f64::from(n) / 59.0));
        Curve(
            low.chain(high)
                .map(|share| self.point(share, hertz, hertz / rated, left))
                .collect(),
        )
    }

    fn point(&self, share: f64, hertz: f64, speed: f64, left: f64) -> (f64, [f64; 3]) {
        let iron = &self.iron;
        let bias = left * (1.0 - share) * (1.0 - share);
        // Small swings about a bias meet less permeability; the share of it is common practice.
        let stiff = 1.0 + 3.0 * bias * bias;
        let weak = stiff * iron.weak * libm::pow(share, iron.growth);
        let (store, loss) = (
            weak * libm::cos(iron.loss),
            // Two fifths of the loss are by eddies and go with the frequency.
            weak * libm::sin(iron.loss) * (0.6 + 0.4 * speed),
        );
        let gap = iron.saturation * share / MU0 * self.gap;
        let samples = if left > 0.0 { 2 * HALF } else { HALF };
        let fields: Vec<(f64, f64)> = (0..samples)
            .map(|n| {
                let angle = PI * (n as f64 + 0.5) / HALF as f64;
                let j = (bias + share * libm::sin(angle)).clamp(-0.9995, 0.9995);
                // Under a quarter of saturation the steep part is nothing beside the weak one.
                let steep = if j.abs() < 0.25 {
                    0.0
                } else {
                    iron.steep * libm::pow(j * j / (1.0 - j * j), iron.power) * j.signum()
                };
                let field = store * libm::sin(angle) + loss * libm::cos(angle) + steep;
                (angle, field * self.path + gap * libm::sin(angle))
            })
            .collect();
        let count = samples as f64;
        let sum = fields.iter().map(|at| at.1).sum::<f64>();
        let mean = if left > 0.0 { sum / count } else { 0.0 };
        let square = fields.iter().map(|at| (at.1 - mean) * (at.1 - mean));
        let square = square.sum::<f64>() / count;
        let part = |wave: fn(f64) -> f64| {
            fields.iter().map(|at| at.1 * wave(at.0)).sum::<f64>() / count * 2.0_f64.sqrt()
        };
        let (reactive, active) = (part(libm::sin), part(libm::cos));
        let rest = (square - reactive * reactive - active * active).max(1e-18);
        let air = MU0 * fields.iter().map(|at| at.1).fold(0.0, f64::max) / self.path;
        let volts = self.volts_per_turn(share + air / iron.saturation, hertz);
        (volts, [active, reactive, rest.sqrt()])
    }
}

impl Curve {
    /// Ampere-turns at an e.m.f. per turn, between its points by a straight line on log axes.
    pub fn at(&self, volts: f64) -> Drawn {
        if volts <= 0.0 {
            return Drawn::default();
        }
        let above = self.0.partition_point(|point| point.0 < volts);
        let index = above.clamp(1, self.0.len() - 1);
        let (low, high) = (&self.0[index - 1], &self.0[index]);
        let share = libm::log(volts / low.0) / libm::log(high.0 / low.0);
        let one = |n: usize| low.1[n] * libm::pow(high.1[n] / low.1[n], share);
        Drawn {
            active: one(0),
            reactive: one(1),
            harmonic: one(2),
        }
    }
}

impl Drawn {
    /// R.m.s. of the whole.
    pub fn total(&self) -> f64 {
        (self.active * self.active + self.reactive * self.reactive + self.harmonic * self.harmonic)
            .sqrt()
    }
}
