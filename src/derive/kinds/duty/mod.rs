//! What the circuit asks of a core and what the core gives, for the tap in service.

pub(in crate::derive) mod load;
pub mod needs;
pub mod wave;

use super::Derived;
use super::protection::Ground;
use super::resistance::From;
use crate::derive::accuracy::{actual_factor, loop_impedance};
use crate::derive::case::Case;
use crate::derive::input;
use crate::derive::knee::Knee;
use crate::derive::outcome::Outcome;
use crate::derive::workings::{Value, Workings};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Located, Span};
use crate::record::duty::Duty;
use crate::trade::{Class, Pair};

pub use load::{Load, LoadFrom};
pub use needs::Needs;
pub use wave::Wave;

/// One duty against one core.
#[derive(Clone, Debug)]
pub struct Served {
    /// The duty's place in the record.
    pub duty: usize,
    /// The tap in service.
    pub pair: Pair,
    /// The section of the curve.
    pub test: usize,
    /// The driven pair, when the curve was scaled from it by turns.
    pub scaled_from: Option<Pair>,
    /// Winding resistance at 75 °C, ohm, and where it comes from.
    pub rct: Option<(Value, From)>,
    pub load: Option<Load>,
    pub knee: Option<RequiredKnee>,
    pub factor: Option<RequiredFactor>,
    /// What the fault level asks for: information.
    pub needs: Option<Needs>,
    /// Secondary current in the fault: information.
    pub wave: Option<Wave>,
    /// The frequency of the test in hertz, when it is not the rated one.
    pub other_frequency: Option<f64>,
    pub doubtful: Option<Span>,
}

/// The knee against the relay's rule.
#[derive(Clone, Debug)]
pub struct RequiredKnee {
    pub required: Value,
    pub at: Span,
    /// By the rule of the plate, on the tap in service.
    pub found: Knee,
    pub readings: Vec<Span>,
}

/// The actual factor at the connected burden against the relay's rule.
#[derive(Clone, Debug)]
pub struct RequiredFactor {
    pub required: f64,
    pub at: Span,
    /// The composite error that it is taken at, as a fraction.
    pub eps: f64,
    /// `None` when winding resistance or burden is not known.
    pub found: Option<Outcome>,
    /// E.m.f. at the required factor, volt.
    pub emf: Option<f64>,
    pub readings: Vec<Span>,
}

/// Derives all of a visit.
pub fn derive(case: &Case<'_>, w: &mut Workings, derived: &Derived) -> Vec<Served> {
    let cores = 0..case.record.cores.len();
    cores
        .filter_map(|core| served(case, w, derived, core))
        .collect()
}

fn served(case: &Case<'_>, w: &mut Workings, derived: &Derived, core: usize) -> Option<Served> {
    let duty = case.record.duty_on(core, case.visit.date.value)?;
    let index = case
        .record
        .duties
        .iter()
        .position(|other| other.span == duty.span)?;
    let pair = tap(case, duty)?;
    let ground = Ground::of(case, derived, pair)?;
    let rct = ground.rct(w);
    let load = load::of(&ground, w, duty);
    let knee = duty
        .required_knee
        .get()
        .map(|required| required_knee(&ground, w, required));
    let factor = duty
        .required_factor
        .get()
        .map(|required| required_factor(&ground, w, required, rct, load.as_ref()));
    let needs = needs::of(&ground, w, duty, rct.map(|(rct, _)| rct), load.as_ref());
    let wave = wave::of(&ground, duty, rct.map(|(rct, _)| rct), load.as_ref());
    Some(Served {
        duty: index,
        pair,
        test: ground.excited.test,
        scaled_from: ground.excited.scaled_from,
        rct,
        load,
        knee,
        factor,
        needs,
        wave,
        other_frequency: ground.excited.other_frequency,
        doubtful: ground.excited.doubtful.or(duty.doubtful),
    })
}

/// The tap in service: as found at the visit, else by the duty, else the whole winding.
fn tap(case: &Case<'_>, duty: &Duty) -> Option<Pair> {
    let found = case.record.pair_in_service(duty.core, case.visit);
    let pair = found
        .or(duty.tap.map(|tap| tap.value))
        .or_else(|| case.full(duty.core))?;
    (pair.core == duty.core).then(|| pair.ascending())
}

fn required_knee(
    ground: &Ground<'_>,
    w: &mut Workings,
    required: &Located<Quantity>,
) -> RequiredKnee {
    let found = ground.excited.deciding(ground.case);
    let value = input::plate(w, "required knee voltage", required);
    RequiredKnee {
        required: value,
        at: required.span,
        found,
        readings: ground.excited.around(&found),
    }
}

fn required_factor(
    ground: &Ground<'_>,
    w: &mut Workings,
    required: &Located<f64>,
    rct: Option<(Value, From)>,
    load: Option<&Load>,
) -> RequiredFactor {
    let eps = match ground.core.class.value() {
        Some(Class::Protection { composite: 5, .. }) => 0.05,
        _ => 0.10,
    };
    let isr = ground.isr(w);
    let z = rct.zip(load).and_then(|((rct, _), load)| {
        loop_impedance(w, rct, load.impedance.z, load.impedance.power_factor)
    });
    let found = isr
        .zip(z)
        .map(|(isr, z)| actual_factor(ground.curve, w, isr, z, eps));
    let emf = isr.zip(z).map(|(isr, z)| required.value * isr.si * z.si);
    let readings = match (found, isr, z) {
        (Some(found), Some(isr), Some(z)) => {
            super::protection::factor::readings(ground, &found, isr, z)
        }
        _ => ground.excited.last_row().into_iter().collect(),
    };
    RequiredFactor {
        required: required.value,
        at: required.span,
        eps,
        found,
        emf,
        readings,
    }
}
