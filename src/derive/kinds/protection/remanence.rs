//! Remanence factor and loop time constant as measured.

use super::burden::resistive;
use super::{Accuracy, Check};
use crate::derive::case::Case;
use crate::derive::input;
use crate::derive::kinds::{Derived, resistance};
use crate::derive::transient::loop_time_constant;
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

pub(super) fn derive(
    case: &Case<'_>,
    w: &mut Workings,
    derived: &Derived,
    found: &mut Vec<Accuracy>,
) {
    for (index, test, body) in case.visit.of(Test::remanence) {
        let Some(pair) = test
            .pair
            .map(|on| on.value.ascending())
            .or_else(|| only_pair(case))
        else {
            continue;
        };
        let mut push =
            |reading: &Reading, check: Check| found.push(entry(index, test, pair, reading, check));
        if let Some(factor) = body.factor.get().filter(|factor| factor.value.is_exact()) {
            let value = entered(w, "remanence factor", "%", factor);
            push(factor, Check::Remanence(value));
        }
        if let Some((reading, constant)) = constant(case, w, derived, body, pair) {
            push(&reading, Check::LoopConstant(constant));
        }
    }
}

fn only_pair(case: &Case<'_>) -> Option<Pair> {
    (case.record.cores.len() == 1)
        .then(|| case.full(0))
        .flatten()
}

/// No function of an instrument measures these, so they come without an uncertainty.
fn entered(w: &mut Workings, what: &'static str, unit: &'static str, reading: &Reading) -> Value {
    w.reading(
        what,
        unit,
        reading.value.si,
        Origin::Reading { span: reading.span },
        &[],
    )
}

fn entry(index: usize, test: &Test, pair: Pair, reading: &Reading, check: Check) -> Accuracy {
    Accuracy {
        pair,
        test: index,
        scaled_from: None,
        rct: None,
        other_frequency: None,
        readings: vec![reading.span],
        doubtful: test.doubtful,
        check,
    }
}

/// The loop time constant as read, else from the inductance with winding and rated burden.
fn constant(
    case: &Case<'_>,
    w: &mut Workings,
    derived: &Derived,
    body: &Remanence,
    pair: Pair,
) -> Option<(Reading, LoopConstant)> {
    if let Some(read) = body
        .loop_time_constant
        .get()
        .filter(|read| read.value.is_exact())
    {
        let found = entered(w, "secondary loop time constant", "s", read);
        return Some((
            *read,
            LoopConstant {
                found,
                computed: false,
            },
        ));
    }
    let read = body.inductance.get().filter(|read| read.value.is_exact())?;
    let core = case.core(pair)?;
    let isr = case.rated_secondary(pair).filter(|isr| *isr > 0.0)?;
    let isr = input::plate_number(w, "rated secondary current", "A", isr, core.span);
    let rb = resistive(w, &core.burden, isr)?;
    let (rct, _) = resistance::at_75(case, w, derived, pair)?;
    let l = entered(w, "inductance", "H", read);
    let found = loop_time_constant(w, l, rct, rb.z)?;
    Some((
        *read,
        LoopConstant {
            found,
            computed: true,
        },
    ))
}
