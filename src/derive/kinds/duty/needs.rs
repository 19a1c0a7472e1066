//! What the fault level asks for: symmetrical, with full offset, and the time to saturation.
//! Information, since the generic rule of 1 + X/R asks more than nearly every sound relay needs.

use super::load::Load;
use crate::derive::formula::{Symbol, formulas, symbol};
use crate::derive::kinds::protection::Ground;
use crate::derive::knee::Knee;
use crate::derive::transient::{Saturation, time_to_saturation};
use crate::derive::workings::{Value, Workings};
use crate::ground::span::Span;
use crate::record::duty::Duty;

/// What a fault level asks for.
#[derive(Clone, Debug)]
pub struct Needs {
    /// Where the duty states the fault current.
    pub at: Span,
    /// Symmetrical secondary current, ampere.
    pub secondary: Value,
    /// E.m.f. for it through winding and burden, volt.
    pub symmetrical: Value,
    /// The same with full offset, times 1 + X/R, volt.
    pub offset: Option<Value>,
    /// From the knee, less the remanence stated.
    pub saturation: Option<Saturation>,
    /// Remanence that was taken off, per cent.
    pub remanence: f64,
}

const E: Symbol = symbol("E", "V", "symmetrical e.m.f.");
const X_OVER_R: Symbol = symbol("X", "", "X/R of the fault loop");

formulas! {
    static SECONDARY = "fault-secondary", "symmetrical secondary current of the fault":
        "I/n" ("A") of [
            symbol("I", "A", "symmetrical fault current"),
            symbol("n", "", "rated ratio of the tap in service"),
        ], |[i, n]| i / n, "rated transformation ratio";

    static SYMMETRICAL = "fault-emf", "e.m.f. for the symmetrical fault current":
        "I*Z" ("V") of [
            symbol("I", "A", "symmetrical secondary current of the fault"),
            symbol("Z", "ohm", "impedance of winding and burden"),
        ], |[i, z]| i * z, "Ohm's law, alternating current";

    static OFFSET = "fault-emf-offset", "e.m.f. for the fully offset fault current":
        "E*(1 + X)" ("V") of [E, X_OVER_R], |[e, x]| e * (1.0 + x),
        "IEEE Std C37.110, dimensioning for full offset (from memory)";

    static TIME_CONSTANT = "fault-time-constant", "primary time constant of the fault loop":
        "X/(2*pi*f)" ("s") of [X_OVER_R, symbol("f", "Hz", "rated frequency")],
        |[x, f]| x / (2.0 * std::f64::consts::PI * f),
        "time constant of a loop of inductance and resistance";

    static RESERVE = "saturation-reserve",
        "saturation voltage over symmetrical e.m.f., less remanence":
        "V*(1 - m/100)/E" ("")
        of [symbol("V", "V", "knee point voltage"), symbol("m", "%", "remanence"), E],
        |[v, m, e]| v * (1.0 - m / 100.0) / e, "IEEE Std C37.110, time to saturation (from memory)";
}

/// The remanence that a duty states, per cent of saturation; none without one.
pub(super) fn remanence(duty: &Duty) -> f64 {
    let stated = duty.remanence.value().map_or(0.0, |stated| stated.si);
    stated.clamp(0.0, 100.0)
}

pub(super) fn of(
    ground: &Ground<'_>,
    w: &mut Workings,
    duty: &Duty,
    around: Option<(Value, Load)>,
) -> Option<Needs> {
    let fault = duty.fault_current.get();
    let fault = fault.filter(|fault| fault.value.si > 0.0)?;
    let ratio = ground.case.ratio(ground.pair);
    let ratio = ratio.filter(|ratio| *ratio > 0.0)?;
    let (rct, load) = around?;
    let burden = load.impedance;
    let z = burden.in_loop(w, rct)?;
    let current = w.plate("symmetrical fault current", fault);
    let what = "rated ratio of the tap in service";
    let n = w.number(what, "", ratio, ground.core.span);
    let secondary = w.step(&SECONDARY, [current, n])?;
    let symmetrical = w.step(&SYMMETRICAL, [secondary, z])?;
    let given = duty.x_over_r.get().filter(|x| x.value > 0.0);
    let x = given.map(|x| w.number("X/R of the fault loop", "", x.value, x.span));
    Some(Needs {
        at: fault.span,
        secondary,
        symmetrical,
        offset: x.and_then(|x| w.step(&OFFSET, [symmetrical, x])),
        saturation: x.and_then(|x| saturation(ground, w, duty, symmetrical, x)),
        remanence: remanence(duty),
    })
}

fn saturation(
    ground: &Ground<'_>,
    w: &mut Workings,
    duty: &Duty,
    e: Value,
    x: Value,
) -> Option<Saturation> {
    let Knee::At(knee) = ground.excited.deciding(&ground.case) else {
        return None;
    };
    let f = ground.on(w).rated_frequency()?;
    let tp = w.step(&TIME_CONSTANT, [x, f])?;
    let at = duty.remanence.span().unwrap_or(duty.span);
    let m = w.number("remanence", "%", remanence(duty), at);
    let ks = w.step(&RESERVE, [knee.voltage, m, e])?;
    Some(time_to_saturation(w, ks, f, tp))
}
