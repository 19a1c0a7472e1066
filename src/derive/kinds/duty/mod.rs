//! What the circuit asks of a core and what the core gives, for the tap in service.

pub(in crate::derive) mod load;
pub(in crate::derive) mod needs;
mod wave;

pub use load::{Load, LoadFrom};
pub use needs::Needs;
pub use wave::Wave;

use super::excitation::CurveAt;
use super::protection::Ground;
use super::resistance::From;
use crate::derive::accuracy::actual_factor;
use crate::derive::deriving::Deriving;
use crate::derive::knee::{Knee, KneeRule};
use crate::derive::outcome::Outcome;
use crate::derive::workings::{Value, Workings};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Located, Span};
use crate::record::duty::{Duty, KneeBy};
use crate::trade::{Class, Pair};

/// One duty against one core.
#[derive(Clone, Debug)]
pub struct Served {
    /// The duty's place in the record.
    pub duty: usize,
    /// The tap in service.
    pub pair: Pair,
    /// The section of the curve.
    pub at: CurveAt,
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
    /// By the rule that the duty names, else by that of the plate, on the tap in service.
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
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Served> {
    let cores = 0..d.record.cores.len();
    cores.filter_map(|core| served(d, core)).collect()
}

fn served(d: &mut Deriving<'_>, core: usize) -> Option<Served> {
    let duty = d.record.duty_on(core, d.visit.date.value)?;
    let mut duties = d.record.duties.iter();
    let index = duties.position(|other| other.span == duty.span)?;
    let pair = tap(d, duty)?;
    let ground = Ground::of(d.case, d.derived, pair)?;
    let w = &mut *d.w;
    let rct = ground.rct(w).ok();
    let load = load::of(&ground, w, duty);
    let around = rct.zip(load).map(|((rct, _), load)| (rct, load));
    let (knee, factor) = (duty.required_knee.get(), duty.required_factor.get());
    Some(Served {
        duty: index,
        pair,
        at: ground.at,
        scaled_from: ground.excited.scaled_from,
        rct,
        load,
        knee: knee.map(|required| required_knee(&ground, w, duty, required)),
        factor: factor.map(|required| required_factor(&ground, w, required, around)),
        needs: needs::of(&ground, w, duty, around),
        wave: wave::of(&ground, duty, around),
        other_frequency: ground.excited.other_frequency,
        doubtful: ground.excited.doubtful.or(duty.doubtful),
    })
}

/// The tap in service: as found at the visit, else by the duty, else the whole winding.
fn tap(d: &Deriving<'_>, duty: &Duty) -> Option<Pair> {
    let pair = d
        .in_service(duty.core)
        .or(duty.tap.map(|tap| tap.value.ascending()))
        .or_else(|| d.full(duty.core))?;
    (pair.core == duty.core).then_some(pair)
}

fn required_knee(
    ground: &Ground<'_>,
    w: &mut Workings,
    duty: &Duty,
    required: &Located<Quantity>,
) -> RequiredKnee {
    let excited = ground.excited;
    let found = match duty.knee_rule.value() {
        Some(KneeBy::Steps) => excited.knee(KneeRule::Iec),
        Some(KneeBy::Tangent45) => excited.knee(KneeRule::Tangent45),
        Some(KneeBy::Tangent30) => excited.knee(KneeRule::Tangent30),
        None => excited.deciding(&ground.case),
    };
    RequiredKnee {
        required: w.plate("required knee voltage", required),
        at: required.span,
        found,
        readings: ground.excited.around(&found),
    }
}

/// With winding resistance and burden, where both are known.
fn required_factor(
    ground: &Ground<'_>,
    w: &mut Workings,
    required: &Located<f64>,
    around: Option<(Value, Load)>,
) -> RequiredFactor {
    let eps = match ground.core.class.value() {
        Some(Class::Protection { composite: 5, .. }) => 0.05,
        _ => 0.10,
    };
    let isr = ground.isr(w).ok();
    let z = around.and_then(|(rct, load)| load.impedance.in_loop(w, rct));
    let known = isr.zip(z);
    let found = known.map(|(isr, z)| actual_factor(ground.curve, w, isr, z, eps));
    let rows = known.zip(found);
    RequiredFactor {
        required: required.value,
        at: required.span,
        eps,
        found,
        emf: known.map(|(isr, z)| required.value * isr.si * z.si),
        readings: rows.map_or_else(
            || ground.last_row(),
            |((isr, z), found)| ground.rows_of(&found, isr, z),
        ),
    }
}
