//! Burdens as impedance and power factor: rated ones, and what is connected.

use super::super::Derived;
use crate::derive::accuracy::burden_impedance;
use crate::derive::input;
use crate::derive::workings::{Origin, Value, Workings};
use crate::ground::span::{Given, Located, Span};
use crate::standards::{BurdenKind, power_factor};
use crate::trade::{Burden, Class, Pair};

/// An impedance with its power factor.
#[derive(Clone, Copy, Debug)]
pub struct Impedance {
    /// Ohm.
    pub z: Value,
    /// Power factor, inductive; 1 for a resistance.
    pub power_factor: Value,
    /// Whether plate or reading gives the power factor; else it is that of the class, or 1 because
    /// nobody wrote it.
    pub stated: bool,
}

/// Whose power factor a rated burden has where the plate states none.
fn kind(class: Option<&Class>) -> BurdenKind {
    match class {
        Some(Class::Protection {
            low_remanence: true,
            ..
        }) => BurdenKind::Pr,
        Some(Class::Protection { .. }) => BurdenKind::P,
        _ => BurdenKind::Measuring,
    }
}

/// The rated burden of a class with the power factor of the table unless the plate states one.
pub(in crate::derive::kinds) fn rated(
    w: &mut Workings,
    given: &Given<Burden>,
    class: Option<&Class>,
    isr: Value,
) -> Option<Impedance> {
    let burden = given.get()?;
    let z = magnitude(w, burden, isr)?;
    let written = written_factor(&burden.value);
    let c = match written {
        Some(c) => input::plate_number(w, "power factor of the burden", "", c, burden.span),
        None => {
            let (c, source) = power_factor(kind(class), z.si * isr.si * isr.si)?;
            input::cited(w, "power factor of the rated burden", "", c, source)
        }
    };
    Some(Impedance {
        z,
        power_factor: c,
        stated: written.is_some(),
    })
}

/// A burden taken as a resistance unless a power factor is written: classes PX and TP, duties.
pub(in crate::derive::kinds) fn resistive(
    w: &mut Workings,
    given: &Given<Burden>,
    isr: Value,
) -> Option<Impedance> {
    let burden = given.get()?;
    let z = magnitude(w, burden, isr)?;
    let written = written_factor(&burden.value);
    let c = input::plate_number(
        w,
        "power factor of the burden",
        "",
        written.unwrap_or(1.0),
        burden.span,
    );
    Some(Impedance {
        z,
        power_factor: c,
        stated: written.is_some(),
    })
}

fn magnitude(w: &mut Workings, burden: &Located<Burden>, isr: Value) -> Option<Value> {
    match &burden.value {
        Burden::Power { va, .. } | Burden::Range { va, .. } => {
            let va = input::plate(w, "burden", &Located::new(*va, burden.span));
            burden_impedance(w, va, isr)
        }
        Burden::Impedance { ohm, .. } => Some(input::plate(
            w,
            "impedance of the burden",
            &Located::new(*ohm, burden.span),
        )),
        Burden::Designation(_) | Burden::Connected | Burden::Shorted => None,
    }
    .filter(|z| z.si >= 0.0)
}

fn written_factor(burden: &Burden) -> Option<f64> {
    let written = match burden {
        Burden::Power { power_factor, .. } | Burden::Impedance { power_factor, .. } => {
            *power_factor
        }
        Burden::Range { .. } | Burden::Designation(_) | Burden::Connected | Burden::Shorted => None,
    };
    written.filter(|c| (0.0..=1.0).contains(c))
}

/// The connected circuit of a pair as it was measured.
#[derive(Clone, Debug)]
pub struct Connected {
    pub impedance: Impedance,
    /// Volt-amperes at rated secondary current.
    pub va: Option<Value>,
    /// `phase-neutral`, …
    pub path: String,
    pub readings: Vec<Span>,
}

/// The measured loop of a pair, phase to neutral if there are several. Without an angle it counts
/// as a resistance, which asks most of the core.
pub(in crate::derive::kinds) fn connected(
    w: &mut Workings,
    derived: &Derived,
    pair: Pair,
) -> Option<Connected> {
    let fits = |wanted: Pair| {
        derived
            .burden
            .iter()
            .filter(move |one| one.pair.ascending() == wanted && one.doubtful.is_none())
    };
    let neutral = fits(pair).find(|one| one.path == "phase-neutral");
    let found = neutral.or_else(|| fits(pair).next())?;
    let c = match found.power_factor {
        Some(c) => c,
        None => w.reading(
            "power factor, no angle read",
            "",
            1.0,
            Origin::Constant {
                source: "asks most of the core".into(),
            },
            &[],
        ),
    };
    Some(Connected {
        impedance: Impedance {
            z: found.z,
            power_factor: c,
            stated: found.power_factor.is_some(),
        },
        va: found.va,
        path: found.path.clone(),
        readings: found.readings.clone(),
    })
}
