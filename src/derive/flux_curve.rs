//! From r.m.s. readings to instantaneous flux and current.
//!
//! The peak current of each reading is chosen so that a sine of flux, fed to straight pieces
//! between the points found so far, gives back the r.m.s. current: W. L. A. Neves and H. W.
//! Dommel, On modelling iron core nonlinearities, IEEE Trans. Power Systems 8 (1993), without its
//! loss part. Loss current is 30 to 70 % of the exciting current below the knee (common practice,
//! no source), so the waveform there is rough.
#![allow(
    clippy::indexing_slicing,
    reason = "knot lists hold the origin and one knot more at least"
)]

use super::curve::Curve;
use super::outcome::Reason;
use std::f64::consts::{FRAC_PI_2, PI, SQRT_2};

/// Flux linkage (volt-second) against exciting current (ampere): straight pieces through the
/// origin, the same both ways.
#[derive(Clone, Debug)]
pub struct FluxCurve {
    flux: Vec<f64>,
    current: Vec<f64>,
}

impl FluxCurve {
    /// The curve behind the readings of an excitation test at `frequency` hertz.
    ///
    /// # Errors
    /// [`Reason::NotRising`] where the r.m.s. current rises less than a core could,
    /// [`Reason::OutOfDomain`] when the frequency is not positive.
    pub fn from_readings(curve: &Curve, frequency: f64) -> Result<Self, Reason> {
        if !(frequency > 0.0 && frequency.is_finite()) {
            return Err(Reason::OutOfDomain);
        }
        let mut made = Self {
            flux: vec![0.0],
            current: vec![0.0],
        };
        for point in curve.points() {
            let peak = SQRT_2 * point.v.si / (2.0 * PI * frequency);
            let current = made.next_current(peak, point.i.si)?;
            made.push(peak, current)?;
        }
        Ok(made)
    }

    fn push(&mut self, flux: f64, current: f64) -> Result<(), Reason> {
        if !(flux.is_finite() && current.is_finite()) {
            return Err(Reason::OutOfDomain);
        }
        if flux <= self.last_flux() || current <= self.current[self.current.len() - 1] {
            return Err(Reason::NotRising);
        }
        self.flux.push(flux);
        self.current.push(current);
        Ok(())
    }

    /// Flux of the last knot, volt-second: beyond it the last piece goes on straight.
    #[must_use]
    pub fn last_flux(&self) -> f64 {
        self.flux[self.flux.len() - 1]
    }

    /// The knots: flux and current, from the origin on.
    pub fn knots(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.flux.iter().copied().zip(self.current.iter().copied())
    }

    /// Exciting current in ampere at the flux `flux` in volt-second.
    #[must_use]
    pub fn current_at(&self, flux: f64) -> f64 {
        straight(&self.flux, &self.current, flux)
    }

    /// The flux at which `flux + henry * current` takes the value `sum`; `summed` are the values
    /// at the knots, from [`Self::summed`].
    pub(super) fn flux_where(&self, summed: &[f64], sum: f64) -> f64 {
        straight(summed, &self.flux, sum)
    }

    /// `flux + henry * current` at every knot.
    pub(super) fn summed(&self, henry: f64) -> Vec<f64> {
        self.knots()
            .map(|(flux, current)| flux + henry * current)
            .collect()
    }

    /// The current at the new peak flux `peak` that makes the r.m.s. current `rms`.
    fn next_current(&self, peak: f64, rms: f64) -> Result<f64, Reason> {
        let (from, i) = (self.last_flux(), self.current[self.current.len() - 1]);
        if peak <= from {
            return Err(Reason::NotRising);
        }
        let below = self.squares(peak);
        // Squares over a quarter cycle: below + i^2 a + 2 i s b + s^2 c = rms^2 pi/2, in slope s.
        let [a, b, c] = quarter(peak, from, peak);
        let free = rms * rms * FRAC_PI_2 - below - i * i * a;
        let half = i * b;
        let slope = free / (half + (half * half + c * free).max(0.0).sqrt());
        if slope > 0.0 && slope.is_finite() {
            Ok(i + slope * (peak - from))
        } else {
            Err(Reason::NotRising)
        }
    }

    /// Integral of the squared current over the part of the quarter cycle of a sine of flux that is spent
    /// within the knots.
    fn squares(&self, peak: f64) -> f64 {
        let piece = |k: usize| {
            let (from, i) = (self.flux[k], self.current[k]);
            let slope = (self.current[k + 1] - i) / (self.flux[k + 1] - from);
            let [a, b, c] = quarter(peak, from, self.flux[k + 1]);
            i * i * a + 2.0 * i * slope * b + slope * slope * c
        };
        (0..self.flux.len() - 1).map(piece).sum()
    }
}

/// Integrals over the angles at which `peak * sin` runs from `from` to `to`, of 1, of the flux
/// above `from`, and of its square.
fn quarter(peak: f64, from: f64, to: f64) -> [f64; 3] {
    let angle = |flux: f64| libm::asin((flux / peak).clamp(-1.0, 1.0));
    let (t0, t1) = (angle(from), angle(to));
    let a = t1 - t0;
    let sine = peak * (libm::cos(t0) - libm::cos(t1));
    let square = peak * peak * (a / 2.0 - (libm::sin(2.0 * t1) - libm::sin(2.0 * t0)) / 4.0);
    [
        a,
        sine - from * a,
        square - 2.0 * from * sine + from * from * a,
    ]
}

/// Straight pieces through rising knots from the origin, odd, the last piece going on.
fn straight(x: &[f64], y: &[f64], at: f64) -> f64 {
    let size = at.abs();
    let after = x.partition_point(|knot| *knot <= size);
    let k = after.saturating_sub(1).min(x.len() - 2);
    let value = y[k] + (y[k + 1] - y[k]) * (size - x[k]) / (x[k + 1] - x[k]);
    if at < 0.0 { -value } else { value }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::testing::{SAMPLE, curve};
    use crate::derive::workings::Workings;

    fn made(points: &[(f64, f64)], frequency: f64) -> Result<FluxCurve, Reason> {
        FluxCurve::from_readings(&curve(&mut Workings::new(), points), frequency)
    }

    /// R.m.s. by plain summation over a cycle, no formula shared with the code.
    fn summed_rms(core: &FluxCurve, peak: f64) -> f64 {
        let n = 100_000;
        let squares = (0..n).map(|k| {
            let angle = 2.0 * PI * (f64::from(k) + 0.5) / f64::from(n);
            core.current_at(peak * angle.sin()).powi(2)
        });
        (squares.sum::<f64>() / f64::from(n)).sqrt()
    }

    #[test]
    fn a_sine_gives_back_every_reading() {
        let core = made(&SAMPLE, 50.0).unwrap();
        for (v, i) in SAMPLE {
            let peak = SQRT_2 * v / (100.0 * PI);
            assert!((summed_rms(&core, peak) / i - 1.0).abs() < 1e-4, "{v}");
        }
    }

    #[test]
    fn a_linear_core_has_peaks_of_root_two() {
        let points: Vec<_> = (1..8)
            .map(|k| (10.0 * f64::from(k), 0.01 * f64::from(k)))
            .collect();
        let core = made(&points, 60.0).unwrap();
        for ((_, i), (_, rms)) in core.knots().skip(1).zip(points) {
            assert!((i / (SQRT_2 * rms) - 1.0).abs() < 1e-9);
        }
        assert!((core.current_at(-10.0) + core.current_at(10.0)).abs() < 1e-12);
    }

    #[test]
    fn refuses_what_no_core_does() {
        let flat = [(10.0, 0.01), (20.0, 0.0101), (30.0, 0.0102)];
        assert_eq!(made(&flat, 50.0).err(), Some(Reason::NotRising));
        assert_eq!(made(&flat, 0.0).err(), Some(Reason::OutOfDomain));
    }
}
