//! A remanence factor that is a fraction, and a loop time constant that inductance, winding and burden do not give.

use super::Fenced;
use crate::ground::quantity::{Quantity, Reading};
use crate::ground::span::Given;
use crate::record::core::Core;
use crate::record::kinds::Test;
use crate::record::kinds::remanence::Remanence;
use crate::record::visit::Visit;
use crate::record::{Record, words};
use crate::standards::{TransientClass, threshold};
use crate::trade::{Burden, Class};

pub(super) fn fence(record: &Record, visit: &Visit, out: &mut Vec<Fenced>) {
    for (index, test, body) in visit.of(Test::remanence) {
        let at = test.pair.map(|pair| pair.value.core);
        let at = at.or((record.cores.len() == 1).then_some(0));
        let Some(core) = at.and_then(|at| record.cores.get(at)) else {
            continue;
        };
        out.extend(fraction(index, body, core));
        out.extend(constants(index, body, core));
    }
}

/// Per cent written as a fraction; of class TPZ next to nothing remains.
fn fraction(index: usize, body: &Remanence, core: &Core) -> Option<Fenced> {
    let least = threshold("remanence-factor-least")?.limit;
    let without = core.class.value() == Some(&Class::Transient(TransientClass::Tpz));
    let read = body.factor.get().filter(|_| !without)?;
    if !read.value.is_exact() || read.value.si >= least || read.value.si <= 0.0 {
        return None;
    }
    let meant = (read.value.number * 1e8).round() / 1e6;
    let told = words::remanence_for_percent(&read.value.written_number(), meant, read.span);
    Some(Fenced::reading(index, read.span, told))
}

/// A time constant and an inductance that do not belong together: nobody knows which of them is right. What is only
/// bounded is held against nothing.
fn constants(index: usize, body: &Remanence, core: &Core) -> Option<Fenced> {
    let near = threshold("loop-constant-agrees")?.limit;
    let (time, henry) = (exact(&body.loop_time_constant)?, exact(&body.inductance)?);
    let winding = core.resistance.value()?.value;
    let winding = winding.is_exact().then_some(winding.si)?;
    let seconds = henry.value.si / (winding + burden(core)?);
    let share = seconds / time.value.si;
    let both = share.is_finite() && share > 0.0;
    if !both || (1.0 / near..=near).contains(&share) {
        return None;
    }
    let told = words::loop_constants_differ(
        (&time.value.written(), time.span),
        (&henry.value.written(), henry.span),
        seconds,
    );
    Some(Fenced {
        test: index,
        told: Some(told),
        at: vec![time.span, henry.span],
        section: None,
    })
}

fn exact(given: &Given<Quantity>) -> Option<&Reading> {
    given.get().filter(|read| read.value.is_exact())
}

/// The rated burden, ohm.
fn burden(core: &Core) -> Option<f64> {
    let isr = core.rated_secondary()?;
    match Given::value(&core.burden)? {
        Burden::Power { va, .. } | Burden::Range { va, .. } => Some(va.si / (isr * isr)),
        Burden::Impedance { ohm, .. } => Some(ohm.si),
        Burden::Shorted => Some(0.0),
        Burden::Designation(_) | Burden::Connected => None,
    }
}
