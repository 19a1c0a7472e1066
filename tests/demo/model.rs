//! One physical model behind every reading: iron, copper, insulation and the faults of each.
//!
//! Units are SI; `e` is the induced e.m.f. (r.m.s.), phases are seen from it.

use super::complex::Complex;

const MU_0: f64 = 1.256_637_062e-6;
/// Copper's inferred zero-resistance temperature is -234.5 C (IEC 60034-1 gives 235; from memory).
const COPPER: f64 = 234.5;
/// Ratio of peak to r.m.s. of sin^n for n about 25: the crest of a saturation current.
const SATURATED_CREST: f64 = 2.98;

/// A ring core. `bend` is the flux density at which the steep part takes over.
#[derive(Clone)]
pub struct Iron {
    /// m2
    pub area: f64,
    /// m
    pub path: f64,
    /// T, peak
    pub bend: f64,
    /// A/m, r.m.s., scale of the field at the bend
    pub field: f64,
    /// Exponent of the saturating part; the fit holds to about 1.45 x `bend`
    pub steep: f64,
    /// m, sum of the air gaps
    pub gap: f64,
}

/// Field strengths in A/m, r.m.s.
struct Field {
    loss: f64,
    linear: f64,
    saturated: f64,
}

impl Iron {
    /// The core whose bend lies at `volts` with these turns.
    pub fn for_bend(volts: f64, turns: f64, hz: f64, path: f64, bend: f64, field: f64) -> Self {
        let area = volts / (emf_factor(hz) * turns * bend);
        Self {
            area,
            path,
            bend,
            field,
            steep: 24.0,
            gap: 0.0,
        }
    }

    /// Two power laws: rising permeability below the bend, saturation above it, a loss part that
    /// turns the current about 40 degrees at low flux. An offset flux lowers the reversible
    /// permeability as 1 - (B/Bs)^2 (a common textbook form, from memory) and is worn off by the
    /// alternating flux.
    fn field_at(&self, b: f64, remanence: f64) -> Field {
        let x = b / self.bend;
        let low = libm::pow(x, 0.70) * self.field;
        let offset = remanence * (1.0 - x).max(0.0);
        let stiff = 1.0 / (1.0 - offset * offset);
        let gap = b * self.gap / (MU_0 * self.path * std::f64::consts::SQRT_2);
        Field {
            loss: 0.65 * low * stiff,
            linear: 0.75 * low * stiff + gap,
            saturated: self.field * libm::pow(x, self.steep),
        }
    }
}

/// e.m.f. per turn, per m2 and per tesla of peak flux density: 2 pi f / sqrt 2.
fn emf_factor(hz: f64) -> f64 {
    std::f64::consts::SQRT_2 * std::f64::consts::PI * hz
}

/// What is wrong with a core, if anything.
#[derive(Clone, Default)]
pub struct Faults {
    /// Shorted turns and the resistance of the contact between them in ohm.
    pub shorted: Option<(f64, f64)>,
    /// Offset flux left by direct current, as a share of the bend.
    pub remanence: f64,
    /// Resistance and reactance in ohm of a loop closed through the primary.
    pub primary_loop: Option<(f64, f64)>,
}

/// One secondary winding on its core.
#[derive(Clone)]
pub struct Winding {
    pub iron: Iron,
    pub turns: f64,
    pub primary_turns: f64,
    /// ohm, full winding at 75 C
    pub r75: f64,
    pub faults: Faults,
}

/// A state of excitation at the driven terminals.
pub struct Driven {
    pub emf: f64,
    pub volts: Complex,
    pub amps: Complex,
    pub peak: f64,
}

impl Winding {
    /// Resistance in ohm of `turns` of it at a temperature in C.
    pub fn resistance(&self, turns: f64, celsius: f64) -> f64 {
        self.r75 * turns / self.turns * (COPPER + celsius) / (COPPER + 75.0)
    }

    /// Turns that add to the e.m.f.: a short takes its own out as far as its contact is good.
    fn live(&self, turns: f64) -> f64 {
        match self.faults.shorted {
            Some((k, contact)) => {
                let copper = self.resistance(k, 20.0);
                turns - k * copper / (copper + contact)
            }
            None => turns,
        }
    }

    /// Exciting current of a pair of `turns` whose e.m.f. is `emf`.
    fn excite(&self, turns: f64, emf: f64, hz: f64) -> (Complex, f64) {
        let live = self.live(turns);
        let flux = emf / (emf_factor(hz) * live * self.iron.area);
        let field = self.iron.field_at(flux, self.faults.remanence);
        let scale = self.iron.path / live;
        let mut amps = Complex::new(
            field.loss * scale,
            -(field.linear + field.saturated) * scale,
        );
        if let Some((k, contact)) = self.faults.shorted {
            let ohms = (self.resistance(k, 20.0) + contact) * (live / k) * (live / k);
            amps = amps + Complex::new(emf / ohms, 0.0);
        }
        if let Some((r, x)) = self.faults.primary_loop {
            let square = (live / self.primary_turns) * (live / self.primary_turns);
            amps = amps + Complex::new(emf, 0.0) / Complex::new(r * square, x * hz / 50.0 * square);
        }
        let crest = field.linear * std::f64::consts::SQRT_2 + field.saturated * SATURATED_CREST;
        (amps, crest * scale)
    }

    fn driven_by_emf(&self, turns: f64, emf: f64, celsius: f64, hz: f64) -> Driven {
        let (amps, peak) = self.excite(turns, emf, hz);
        let drop = amps * Complex::new(self.resistance(turns, celsius), 0.0);
        Driven {
            emf,
            volts: Complex::new(emf, 0.0) + drop,
            amps,
            peak,
        }
    }

    /// The state with `volts` r.m.s. at the terminals.
    pub fn driven(&self, turns: f64, volts: f64, celsius: f64, hz: f64) -> Driven {
        let (mut low, mut high) = (0.0, volts);
        for _ in 0..80 {
            let middle = 0.5 * (low + high);
            if self.driven_by_emf(turns, middle, celsius, hz).volts.abs() < volts {
                low = middle;
            } else {
                high = middle;
            }
        }
        self.driven_by_emf(turns, high, celsius, hz)
    }

    /// Knee in volts at the terminals: 10 % more voltage gives 50 % more current
    /// (IEC 61869-2:2012, knee point e.m.f.; from memory). Sought on the sound core.
    pub fn knee(&self, turns: f64, hz: f64) -> f64 {
        let sound = Self {
            faults: Faults::default(),
            ..self.clone()
        };
        let amps = |volts: f64| sound.driven(turns, volts, 20.0, hz).amps.abs();
        let bend = self.iron.bend * self.iron.area * turns * emf_factor(hz);
        let (mut low, mut high) = (0.3 * bend, 1.5 * bend);
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            if amps(1.1 * middle) < 1.5 * amps(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        high
    }

    /// Voltage induced in the primary with `volts` on a pair: r.m.s. and lead in arcmin.
    pub fn induced(&self, turns: f64, volts: f64, celsius: f64, hz: f64) -> (f64, f64) {
        let state = self.driven(turns, volts, celsius, hz);
        let primary = state.emf * self.primary_turns / self.live(turns);
        (primary, -state.volts.arcmin())
    }

    /// Ratio error (a fraction) and phase displacement (arcmin, positive when the secondary leads)
    /// of the pair at `primary` A with this burden (IEC 61869-2:2012, 3.4; from memory).
    pub fn errors(&self, pair: &Loaded, primary: f64, celsius: f64, hz: f64) -> (f64, f64) {
        let winding = Complex::new(self.resistance(pair.turns, celsius), 0.0);
        let ohms = winding + pair.burden;
        let ideal = primary * self.primary_turns / pair.turns;
        let mut amps = ideal;
        let mut sum = Complex::new(ideal, 0.0);
        for _ in 0..60 {
            let emf = Complex::new(amps, 0.0) * ohms;
            let (exciting, _) = self.excite(pair.turns, emf.abs(), hz);
            sum = Complex::new(amps, 0.0) + exciting * emf.direction();
            amps *= ideal / sum.abs();
        }
        (pair.rated_ratio * amps / primary - 1.0, -sum.arcmin())
    }
}

/// A pair of terminals with its burden.
pub struct Loaded {
    pub turns: f64,
    pub rated_ratio: f64,
    pub burden: Complex,
}

/// Insulation of one group against the rest.
#[derive(Clone)]
pub struct Insulation {
    /// ohm after 60 s at 20 C
    pub minute: f64,
    /// Exponent of the rise with time: the polarisation index is 10 to this power.
    pub rise: f64,
}

impl Insulation {
    /// ohm after `seconds`; halves for every 10 K (common practice, no source).
    pub fn resistance(&self, seconds: f64, celsius: f64) -> f64 {
        let time = libm::pow(seconds / 60.0, self.rise);
        self.minute * time * libm::exp2((20.0 - celsius) / 10.0)
    }
}
