//! The secondary current under the fully offset fault current. Information, never a verdict: loss
//! current is left out, and past the last reading the curve goes on straight.

use super::load::Load;
use super::needs::remanence;
use crate::derive::flux_curve::FluxCurve;
use crate::derive::kinds::protection::Ground;
use crate::derive::simulate::{Fault, Run, STEPS_PER_CYCLE, run};
use crate::derive::workings::Value;
use crate::record::duty::Duty;
use crate::standards::threshold;

/// The waveforms, thinned for a plot; time in second, current in ampere on the secondary side.
#[derive(Clone, Debug)]
pub struct Wave {
    /// Primary current over the ratio.
    pub primary: Vec<(f64, f64)>,
    pub secondary: Vec<(f64, f64)>,
    /// When the exciting current first exceeds 10 % of the peak of the symmetrical current, second;
    /// `None` when it does not while the wave lasts.
    pub first_error: Option<f64>,
    /// How long it lasts, second.
    pub duration: f64,
    /// When the flux leaves the range of the readings, second: from there on it is a guess.
    pub beyond_readings: Option<f64>,
    /// Flux at the start, per cent of that at the last reading.
    pub remanence: f64,
}

/// Points of a cycle that are kept for the plot.
const KEPT: f64 = 100.0;
/// Cycles shown at least.
const CYCLES: f64 = 5.0;
/// Primary time constants shown, as far as the longest duration allows.
const CONSTANTS: f64 = 4.0;
/// Longest duration, second.
const LONGEST: f64 = 0.4;

pub(super) fn of(ground: &Ground<'_>, duty: &Duty, around: Option<(Value, Load)>) -> Option<Wave> {
    // A curve of another frequency has too little current below saturation for a waveform.
    if ground.excited.other_frequency.is_some() {
        return None;
    }
    let frequency = ground.case.record.plate.rated_frequency()?;
    let ratio = ground.case.ratio(ground.pair);
    let ratio = ratio.filter(|ratio| *ratio > 0.0)?;
    let (rct, load) = around?;
    let burden = load.impedance;
    let core = FluxCurve::from_readings(ground.curve, frequency).ok()?;
    let omega = 2.0 * std::f64::consts::PI * frequency;
    let cos = burden.power_factor.si.clamp(0.0, 1.0);
    let primary_constant = duty.x_over_r.value().filter(|x| **x > 0.0)? / omega;
    let share = remanence(duty);
    let least = CYCLES / frequency;
    let fault = Fault {
        current: duty.fault_current.value()?.si / ratio,
        frequency,
        primary_constant,
        inception: 0.0,
        resistance: rct.si + burden.z.si * cos,
        inductance: burden.z.si * (1.0 - cos * cos).sqrt() / omega,
        remanence: core.last_flux() * share / 100.0,
        duration: (CONSTANTS * primary_constant).clamp(least, LONGEST.max(least)),
        error: threshold("simulated-error")?.limit / 100.0,
    };
    let found = run(&core, &fault).ok()?;
    let mut flux = found.flux.iter();
    let beyond = flux.position(|flux| flux.abs() > core.last_flux());
    Some(Wave {
        primary: thinned(&found, &found.primary),
        secondary: thinned(&found, &found.secondary),
        first_error: found.first_error,
        duration: fault.duration,
        beyond_readings: beyond.map(|n| n as f64 * found.step),
        remanence: share,
    })
}

fn thinned(run: &Run, values: &[f64]) -> Vec<(f64, f64)> {
    let every = (STEPS_PER_CYCLE / KEPT) as usize;
    values
        .iter()
        .enumerate()
        .step_by(every.max(1))
        .map(|(n, value)| (n as f64 * run.step, *value))
        .collect()
}
