//! Remanence factor and loop time constant as measured.

use super::burden::resistive;
use super::{Accuracy, Check};
use crate::derive::deriving::{Deriving, exact};
use crate::derive::kinds::excitation::CurveAt;
use crate::derive::transient::LOOP_CONSTANT;
use crate::derive::workings::{Origin, Value, Workings};
use crate::ground::quantity::Reading;
use crate::record::kinds::Test;
use crate::record::kinds::remanence::Remanence;
use crate::trade::Pair;

/// The loop time constant against that of the plate.
#[derive(Clone, Debug)]
pub struct LoopConstant {
    /// Second.
    pub found: Value,
    /// Computed from the inductance and not read itself.
    pub computed: bool,
}

pub(super) fn derive(d: &mut Deriving<'_>, found: &mut Vec<Accuracy>) {
    for (index, test, body) in d.visit.of(Test::remanence) {
        let only = || (d.record.cores.len() == 1).then(|| d.full(0)).flatten();
        let Some(pair) = d.driven(test).or_else(only) else {
            continue;
        };
        let mut push = |reading: &Reading, check: Check| {
            found.push(Accuracy {
                pair,
                at: CurveAt::Section(index),
                scaled_from: None,
                rct: None,
                other_frequency: None,
                readings: vec![reading.span],
                doubtful: test.doubtful,
                check,
            });
        };
        if let Some(factor) = exact(&body.factor) {
            let value = entered(d.w, "remanence factor", "%", factor);
            push(factor, Check::Remanence(value));
        }
        if let Some((reading, constant)) = constant(d, body, pair) {
            push(reading, Check::LoopConstant(constant));
        }
    }
}

/// No function of an instrument measures these, so they come without an uncertainty.
fn entered(w: &mut Workings, what: &'static str, unit: &'static str, reading: &Reading) -> Value {
    let origin = Origin::Reading { span: reading.span };
    w.enter(what, unit, reading.value.si, origin)
}

/// The loop time constant as read, else from the inductance with winding and rated burden.
fn constant<'a>(
    d: &mut Deriving<'_>,
    body: &'a Remanence,
    pair: Pair,
) -> Option<(&'a Reading, LoopConstant)> {
    let (read, found, computed) = if let Some(read) = exact(&body.loop_time_constant) {
        let found = entered(d.w, "secondary loop time constant", "s", read);
        (read, found, false)
    } else {
        let read = exact(&body.inductance)?;
        let core = d.core(pair)?;
        let isr = d.isr(pair)?;
        let rb = resistive(d.w, &core.burden, isr)?;
        let (rct, _) = d.resistance_at_75(pair)?;
        let l = entered(d.w, "inductance", "H", read);
        (read, d.w.step(&LOOP_CONSTANT, [l, rct, rb.z])?, true)
    };
    Some((read, LoopConstant { found, computed }))
}
