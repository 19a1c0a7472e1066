//! Burdens as impedance and power factor: rated ones, and what is connected.

use super::Ground;
use crate::derive::accuracy::{BURDEN_IMPEDANCE, LOOP_IMPEDANCE};
use crate::derive::kinds::Derived;
use crate::derive::workings::{Value, Workings};
use crate::ground::span::{Given, Located, Span};
use crate::record::kinds::burden::Path;
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

impl Impedance {
    /// Impedance in ohm of this burden in series with a winding of `rct` ohm, by phasors.
    pub(in crate::derive::kinds) fn in_loop(self, w: &mut Workings, rct: Value) -> Option<Value> {
        w.step(&LOOP_IMPEDANCE, [rct, self.z, self.power_factor])
    }
}

/// Whose power factor a rated burden has where the plate states none.
fn kind(class: &Class) -> BurdenKind {
    match class {
        Class::Protection {
            low_remanence: true,
            ..
        } => BurdenKind::Pr,
        Class::Protection { .. } => BurdenKind::P,
        _ => BurdenKind::Measuring,
    }
}

/// The rated burden of a class with the power factor of the table unless the plate states one.
pub(super) fn rated(
    ground: &Ground<'_>,
    w: &mut Workings,
    class: &Class,
    isr: Value,
) -> Option<Impedance> {
    let given = ground.rated_burden();
    let burden = given.get()?;
    if written_factor(&burden.value).is_some() {
        return resistive(w, given, isr);
    }
    let z = magnitude(w, burden, isr)?;
    let (c, row) = power_factor(kind(class), z.si * isr.si * isr.si)?;
    // Where the plate's standard is not known the usual one is taken, by the name of the one that it is of.
    let source = ground.case.record.plate.cite(row);
    let source = source.as_ref().unwrap_or(row);
    Some(Impedance {
        z,
        power_factor: w.cited("power factor of the rated burden", "", c, source),
        stated: false,
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
    let (what, c) = ("power factor of the burden", written.unwrap_or(1.0));
    Some(Impedance {
        z,
        power_factor: w.number(what, "", c, burden.span),
        stated: written.is_some(),
    })
}

fn magnitude(w: &mut Workings, burden: &Located<Burden>, isr: Value) -> Option<Value> {
    let at = burden.span;
    match &burden.value {
        Burden::Power { va, .. } | Burden::Range { va, .. } => {
            let va = w.plate("burden", &Located::new(*va, at));
            w.step(&BURDEN_IMPEDANCE, [va, isr])
        }
        Burden::Impedance { ohm, .. } => {
            Some(w.plate("impedance of the burden", &Located::new(*ohm, at)))
        }
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
    pub path: Option<Path>,
    pub readings: Vec<Span>,
}

/// The measured loop of a pair. Without an angle it counts as a resistance, which asks most of the core.
pub(in crate::derive::kinds) fn connected(
    w: &mut Workings,
    derived: &Derived,
    pair: Pair,
) -> Option<Connected> {
    let found = derived.loop_of(pair)?;
    let mut unread = || {
        w.constant(
            "power factor, no angle read",
            "",
            1.0,
            "asks most of the core",
        )
    };
    Some(Connected {
        impedance: Impedance {
            z: found.z,
            power_factor: found.power_factor.unwrap_or_else(&mut unread),
            stated: found.power_factor.is_some(),
        },
        va: found.va,
        path: found.path,
        readings: found.readings.clone(),
    })
}
