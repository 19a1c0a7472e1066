//! The secondary current under an offset primary current: one core, one loop of resistance and
//! inductance, a flux-current curve without hysteresis.
//!
//! Information beside a report, never a verdict: past the last reading the curve goes on straight,
//! loss is left out, and remanence is a flux that the core simply starts from.

use super::flux_curve::FluxCurve;
use super::outcome::Reason;
use std::f64::consts::{PI, SQRT_2};

/// No run takes more steps than this.
pub const MOST_STEPS: usize = 200_000;

/// Steps of a cycle; the trapezoidal rule is then good to a few parts in 100,000.
pub const STEPS_PER_CYCLE: f64 = 400.0;

/// What to simulate. All on the secondary side, SI units.
#[derive(Clone, Copy, Debug)]
pub struct Fault {
    /// R.m.s. symmetrical primary current over the ratio, ampere.
    pub current: f64,
    /// Frequency, hertz.
    pub frequency: f64,
    /// Primary time constant, second.
    pub primary_constant: f64,
    /// Angle of inception, radian: 0 gives full offset, a quarter turn none.
    pub inception: f64,
    /// Resistance of winding and burden, ohm.
    pub resistance: f64,
    /// Inductance of the burden, henry; zero for a resistive one.
    pub inductance: f64,
    /// Flux at the start, volt-second, signed.
    pub remanence: f64,
    /// How long, second.
    pub duration: f64,
    /// Exciting current over the peak of the symmetrical current that counts as an error: 0.1.
    pub error: f64,
}

/// A simulated run, one value a step, beginning at the fault.
#[derive(Clone, Debug)]
pub struct Run {
    /// Time between two values, second.
    pub step: f64,
    /// Primary current over the ratio, ampere.
    pub primary: Vec<f64>,
    /// Secondary current, ampere.
    pub secondary: Vec<f64>,
    /// Flux linkage, volt-second.
    pub flux: Vec<f64>,
    /// When the exciting current first exceeds the error asked for, second; `None` if it does not
    /// within the run.
    pub first_error: Option<f64>,
    /// Whether the flux left the range of the readings: from there on the run rests on a straight
    /// continuation.
    pub beyond_readings: bool,
}

impl Fault {
    /// Primary current over the ratio, `t` seconds into the fault.
    #[must_use]
    pub fn primary_at(&self, t: f64) -> f64 {
        let offset = libm::cos(self.inception) * libm::exp(-t / self.primary_constant);
        let wave = libm::cos(2.0 * PI * self.frequency * t + self.inception);
        SQRT_2 * self.current * (offset - wave)
    }

    fn steps(&self) -> Result<usize, Reason> {
        let positive = [
            self.current,
            self.frequency,
            self.primary_constant,
            self.resistance,
            self.duration,
            self.error,
        ];
        let sound = positive.iter().all(|x| *x > 0.0 && x.is_finite())
            && self.inductance >= 0.0
            && self.inductance.is_finite()
            && self.inception.is_finite()
            && self.remanence.is_finite();
        let steps = (self.duration * self.frequency * STEPS_PER_CYCLE).ceil();
        if !sound {
            Err(Reason::OutOfDomain)
        } else if steps > MOST_STEPS as f64 {
            Err(Reason::TooLong)
        } else {
            Ok(steps as usize)
        }
    }
}

/// Simulates `fault` on `core` by the trapezoidal rule with a fixed step. On straight pieces the
/// implicit equation of each step is solved exactly, so no steepness makes it unstable.
///
/// # Errors
/// [`Reason::OutOfDomain`] when an input is not finite or not positive where it has to be,
/// [`Reason::TooLong`] beyond [`MOST_STEPS`].
pub fn run(core: &FluxCurve, fault: &Fault) -> Result<Run, Reason> {
    let steps = fault.steps()?;
    let step = 1.0 / (fault.frequency * STEPS_PER_CYCLE);
    // Loop: d(flux)/dt = R s + L ds/dt with s = p - m(flux). Over one step of length h that is
    // flux + (L + h R/2) m(flux) = known, and the left side rises with the flux.
    let half = 0.5 * step * fault.resistance;
    let henry = fault.inductance + half;
    let summed = core.summed(henry);
    let limit = fault.error * SQRT_2 * fault.current;
    let mut flux = fault.remanence;
    let mut exciting = core.current_at(flux);
    let mut primary = fault.primary_at(0.0);
    let mut out = Run {
        step,
        primary: vec![primary],
        secondary: vec![primary - exciting],
        flux: vec![flux],
        first_error: (exciting.abs() > limit).then_some(0.0),
        beyond_readings: flux.abs() > core.last_flux(),
    };
    for n in 1..=steps {
        let next = fault.primary_at(n as f64 * step);
        let known = flux
            + fault.inductance * (exciting + next - primary)
            + half * (primary - exciting + next);
        let before = exciting;
        flux = core.flux_where(&summed, known);
        exciting = core.current_at(flux);
        primary = next;
        if !(flux.is_finite() && exciting.is_finite()) {
            return Err(Reason::OutOfDomain);
        }
        if out.first_error.is_none() && exciting.abs() > limit {
            let share = (limit - before.abs()) / (exciting.abs() - before.abs());
            out.first_error = Some((n as f64 - 1.0 + share.clamp(0.0, 1.0)) * step);
        }
        out.beyond_readings |= flux.abs() > core.last_flux();
        out.primary.push(primary);
        out.secondary.push(primary - exciting);
        out.flux.push(flux);
    }
    Ok(out)
}

#[cfg(test)]
mod tests;
