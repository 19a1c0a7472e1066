//! The accuracy limit factor that the curve really reaches, with the rated and the connected burden.

use super::burden::{Connected, Impedance, connected, rated};
use super::{Accuracy, Check, Ground};
use crate::derive::accuracy::{POWER, PROPORTION, actual_factor};
use crate::derive::outcome::Outcome;
use crate::derive::workings::{Value, Workings};
use crate::trade::Class;

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

/// With the rated burden on the pair of the class, with the connected one on the pair in service.
pub(super) fn derive(
    ground: &Ground<'_>,
    w: &mut Workings,
    class: &Class,
    (composite, rated_factor): (u8, f64),
    found: &mut Vec<Accuracy>,
) {
    let eps = f64::from(composite) / 100.0;
    found.extend(with(ground, w, eps, |w, isr| {
        let burden = rated(ground, w, class, isr)?;
        Some((burden, With::Rated(burden), None))
    }));
    if !ground.is_full() {
        return;
    }
    let in_service = ground.case.in_service(ground.pair.core);
    let served = in_service.and_then(|pair| Ground::of(ground.case, ground.derived, pair));
    let Some(served) = served else { return };
    found.extend(with(&served, w, eps, |w, _| {
        let circuit = connected(w, served.derived, served.pair)?;
        let (burden, proportion) = (circuit.impedance, served.is_full().then_some(rated_factor));
        Some((burden, With::Connected(circuit), proportion))
    }));
}

/// With one burden, and with the rated factor that the textbook proportion starts from: on the whole
/// winding only, since a tap has none of its own.
fn with(
    ground: &Ground<'_>,
    w: &mut Workings,
    eps: f64,
    burden: impl FnOnce(&mut Workings, Value) -> Option<(Impedance, With, Option<f64>)>,
) -> Option<Accuracy> {
    let (isr, rct) = (ground.isr(w).ok()?, ground.rct(w).ok()?);
    let (burden, with, rated_factor) = burden(w, isr)?;
    let z = burden.in_loop(w, rct.0)?;
    let found = actual_factor(ground.curve, w, isr, z, eps);
    let known = [isr, rct.0, burden.z];
    let proportion = rated_factor.and_then(|factor| proportion(ground, w, known, factor));
    let mut readings = ground.rows_of(&found, isr, z);
    if let With::Connected(circuit) = &with {
        readings.extend(&circuit.readings);
    }
    let factor = Factor {
        eps,
        found,
        with,
        proportion,
    };
    Some(ground.entry(Some(rct), readings, Check::Factor(factor)))
}

fn proportion(
    ground: &Ground<'_>,
    w: &mut Workings,
    [isr, rct, zb]: [Value; 3],
    rated_factor: f64,
) -> Option<Value> {
    let class = ground.core.class_of(ground.pair)?;
    let plate = rated(ground, w, class, isr)?;
    let k = ground.class_factor(w, "rated accuracy limit factor", rated_factor);
    let sr = w.step_as("rated burden", &POWER, [plate.z, isr])?;
    let sb = w.step_as("connected burden", &POWER, [zb, isr])?;
    w.step(&PROPORTION, [k, sr, sb, rct, isr])
}
