//! The accuracy limit factor that the curve really reaches, with the rated and the connected burden.

use super::burden::{Connected, Impedance, connected, rated};
use super::{Accuracy, Check, Ground};
use crate::derive::accuracy::{actual_factor, factor_by_proportion, loop_impedance};
use crate::derive::formula::formulas;
use crate::derive::formula::symbol;
use crate::derive::input;
use crate::derive::outcome::Outcome;
use crate::derive::workings::{Value, Workings};
use crate::ground::span::Span;

/// The factor with one burden. Information: with the rated burden it is the class check again.
#[derive(Clone, Debug)]
pub struct Factor {
    /// The composite error that it is taken at, as a fraction.
    pub eps: f64,
    pub found: Outcome,
    pub with: With,
    /// The textbook proportion for the connected burden.
    pub proportion: Option<Value>,
}

/// The burden of a factor.
#[derive(Clone, Debug)]
pub enum With {
    Rated(Impedance),
    Connected(Connected),
}

formulas! {
    static APPARENT_POWER = "connected-burden-power", "burden at rated secondary current":
        "Z*Isr^2" ("VA") of [
            symbol("Z", "ohm", "impedance of the burden"),
            symbol("Isr", "A", "rated secondary current"),
        ], |[z, isr]| z * isr.powi(2), "IEC 61869-1, definition of burden (from memory)";
}

/// With the rated burden on the pair of the class, with the connected one on the pair in service.
pub(super) fn derive(
    ground: &Ground<'_>,
    w: &mut Workings,
    composite: u8,
    rated_factor: f64,
    found: &mut Vec<Accuracy>,
) {
    let eps = f64::from(composite) / 100.0;
    found.extend(with_rated(ground, w, eps));
    if ground.case.full(ground.pair.core) != Some(ground.pair) {
        return;
    }
    let in_service = ground
        .case
        .record
        .pair_in_service(ground.pair.core, ground.case.visit)
        .map(|pair| pair.ascending());
    let served = in_service.and_then(|pair| Ground::of(ground.case, ground.derived, pair));
    found.extend(served.and_then(|served| with_connected(&served, w, eps, rated_factor)));
}

fn with_rated(ground: &Ground<'_>, w: &mut Workings, eps: f64) -> Option<Accuracy> {
    let isr = ground.isr(w)?;
    let rct = ground.rct(w)?;
    let burden = rated(w, ground.rated_burden(), ground.class(), isr)?;
    let z = loop_impedance(w, rct.0, burden.z, burden.power_factor)?;
    let found = actual_factor(ground.curve, w, isr, z, eps);
    let factor = Factor {
        eps,
        found,
        with: With::Rated(burden),
        proportion: None,
    };
    Some(ground.entry(
        Some(rct),
        readings(ground, &found, isr, z),
        Check::Factor(factor),
    ))
}

fn with_connected(
    ground: &Ground<'_>,
    w: &mut Workings,
    eps: f64,
    rated_factor: f64,
) -> Option<Accuracy> {
    let isr = ground.isr(w)?;
    let rct = ground.rct(w)?;
    let circuit = connected(w, ground.derived, ground.pair)?;
    let z = loop_impedance(
        w,
        rct.0,
        circuit.impedance.z,
        circuit.impedance.power_factor,
    )?;
    let found = actual_factor(ground.curve, w, isr, z, eps);
    let proportion = proportion(ground, w, [isr, rct.0, circuit.impedance.z], rated_factor);
    let mut readings = readings(ground, &found, isr, z);
    readings.extend(circuit.readings.iter().copied());
    let factor = Factor {
        eps,
        found,
        with: With::Connected(circuit),
        proportion,
    };
    Some(ground.entry(Some(rct), readings, Check::Factor(factor)))
}

/// The textbook proportion; on the whole winding only, since a tap has no rated factor of its own.
fn proportion(
    ground: &Ground<'_>,
    w: &mut Workings,
    [isr, rct, zb]: [Value; 3],
    rated_factor: f64,
) -> Option<Value> {
    if ground.case.full(ground.pair.core) != Some(ground.pair) {
        return None;
    }
    let plate = rated(w, ground.rated_burden(), ground.class(), isr)?;
    let k = input::plate_number(
        w,
        "rated accuracy limit factor",
        "",
        rated_factor,
        ground.core.class.span().unwrap_or(ground.core.span),
    );
    let (sr, sb) = (
        w.step(&APPARENT_POWER, [plate.z, isr])?,
        w.step(&APPARENT_POWER, [zb, isr])?,
    );
    factor_by_proportion(w, [k, sr, sb, rct, isr])
}

/// The rows around the e.m.f. of a factor.
pub(in crate::derive::kinds) fn readings(
    ground: &Ground<'_>,
    found: &Outcome,
    isr: Value,
    z: Value,
) -> Vec<Span> {
    match found {
        Outcome::Known(factor) | Outcome::AtLeast(factor) | Outcome::AtMost(factor) => {
            ground.rows_at(factor.si * isr.si * z.si)
        }
        Outcome::NotReached { .. } | Outcome::Lacking(_) => {
            ground.excited.last_row().into_iter().collect()
        }
    }
}
