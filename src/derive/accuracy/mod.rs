//! Accuracy at the limit, from the exciting current: limiting e.m.f., composite error, and the
//! factors that the curve really reaches. Turns correction is left out, as in the standard's
//! indirect test.

use super::crossing::{Crossing, falls_from, knots, last_rise};
use super::curve::{Curve, METHOD};
use super::formula::{Symbol, formulas, symbol};
use super::num::seed;
use super::outcome::{Outcome, Reason};
use super::root::at_root;
use super::workings::{Value, Workings};

const IEC_EMF: &str = "IEC 61869-2:2012, 3.4.209 and 3.4.206 (from memory)";
const IEC_INDIRECT: &str = "IEC 61869-2:2012, 7.2.6.203 b, indirect test (from memory)";
const K: Symbol = symbol("K", "", "limit factor");
const ISR: Symbol = symbol("Isr", "A", "rated secondary current");
const RCT: Symbol = symbol("Rct", "ohm", "winding resistance at 75 °C");
const ZB: Symbol = symbol("Zb", "ohm", "impedance of the burden");
const PF: Symbol = symbol("c", "", "power factor of the burden");

formulas! {
    pub static BURDEN_IMPEDANCE = "burden-impedance", "impedance of the burden":
        "S/Isr^2" ("ohm") of [symbol("S", "VA", "burden"), ISR], |[s, isr]| s / isr.powi(2),
        "IEC 61869-1, definition of burden (from memory)";

    pub static LOOP_IMPEDANCE = "loop-impedance", "impedance of winding and burden":
        "sqrt((Rct + Zb*c)^2 + Zb^2*(1 - c^2))" ("ohm") of [RCT, ZB, PF],
        |[r, z, c]| ((r + z * c).powi(2) + z.powi(2) * (1.0 - c.powi(2))).sqrt(),
        "phasor sum of winding resistance and burden";

    static EMF = "limiting-emf", "limiting e.m.f., phasor sum":
        "K*Isr*Z" ("V") of [K, ISR, symbol("Z", "ohm", "impedance of winding and burden")],
        |[k, isr, z]| k * isr * z, IEC_EMF;

    static EMF_ARITHMETIC = "limiting-emf-arithmetic", "limiting e.m.f., arithmetic sum":
        "K*Isr*(Rct + Zb)" ("V") of [K, ISR, RCT, ZB], |[k, isr, r, z]| k * isr * (r + z),
        "arithmetic sum, never less than the phasor sum";

    pub(super) static COMPOSITE = "composite-error", "composite error at the limit, turns correction left out":
        "100*Ie/(K*Isr)" ("%")
        of [symbol("Ie", "A", "exciting current at the limiting e.m.f."), K, ISR],
        |[ie, k, isr]| 100.0 * ie / (k * isr), IEC_INDIRECT;

    static FACTOR = "limit-factor", "limit factor at this e.m.f.":
        "E/(Isr*Z)" ("")
        of [symbol("E", "V", "e.m.f."), ISR, symbol("Z", "ohm", "impedance of winding and burden")],
        |[e, isr, z]| e / (isr * z), IEC_EMF;

    pub(super) static POWER = "circuit-power", "apparent power at rated secondary current":
        "Z*Isr^2" ("VA") of [symbol("Z", "ohm", "impedance of the circuit"), ISR],
        |[z, isr]| z * isr.powi(2),
        "IEC 61869-2:2012: burden in volt-amperes at rated secondary current (from memory)";

    pub static PROPORTION = "limit-factor-proportion",
        "accuracy limit factor with the connected burden, by proportion":
        "K*(Sr + Rct*Isr^2)/(Sb + Rct*Isr^2)" ("") of [
            symbol("K", "", "rated accuracy limit factor"),
            symbol("Sr", "VA", "rated burden"),
            symbol("Sb", "VA", "connected burden"),
            RCT,
            ISR,
        ],
        |[k, sr, sb, r, isr]| {
            let own = r * isr.powi(2);
            k * (sr + own) / (sb + own)
        },
        "relay makers' application manuals, CT requirements; an estimate";
}

/// The limiting e.m.f. in volt, both ways.
#[derive(Clone, Copy, Debug)]
pub struct LimitingEmf {
    /// Impedance of winding and burden, ohm.
    pub loop_impedance: Value,
    /// Phasor sum: the verdict rests on this one.
    pub phasor: Value,
    /// Arithmetic sum: never less.
    pub arithmetic: Value,
}

/// The e.m.f. at `k` times the rated secondary current `isr` (ampere) through `rct` and a burden
/// `zb` (ohm) of power factor `pf`.
pub fn limiting_emf(
    w: &mut Workings,
    [k, isr]: [Value; 2],
    [rct, zb, pf]: [Value; 3],
) -> Option<LimitingEmf> {
    let z = w.step(&LOOP_IMPEDANCE, [rct, zb, pf])?;
    Some(LimitingEmf {
        loop_impedance: z,
        phasor: w.step(&EMF, [k, isr, z])?,
        arithmetic: w.step(&EMF_ARITHMETIC, [k, isr, rct, zb])?,
    })
}

/// The factor at which the exciting current reaches `eps` (a fraction: 0.05 for 5 %) of the
/// secondary current, for rated secondary current `isr` (ampere) through a loop of `z` ohm: the
/// actual accuracy limit factor, or with 0.1 the security factor.
///
/// It is the last place where the share of the exciting current rises through `eps`; past the
/// last reading "at least", before the first "at most". An estimate from the curve, no clause of a
/// standard.
pub fn actual_factor(curve: &Curve, w: &mut Workings, isr: Value, z: Value, eps: f64) -> Outcome {
    let share = libm::log(eps / z.si);
    if !share.is_finite() {
        return Outcome::Lacking(Reason::OutOfDomain);
    }
    let (low, high) = curve.log_range();
    let knots = knots(low, high, curve.log_voltages().iter().copied());
    let excess = |x: f64| curve.log_current(x) - x - share;
    let (e, kind): (Option<Value>, fn(Value) -> Outcome) = match last_rise(&knots, excess) {
        Crossing::Before => (Some(curve.first().v), Outcome::AtMost),
        Crossing::After if falls_from(curve, curve.points().len() - 2) => {
            return Outcome::Lacking(Reason::NotRising);
        }
        Crossing::After => (Some(curve.last().v), Outcome::AtLeast),
        Crossing::At(x) if falls_from(curve, curve.interval(x)) => {
            return Outcome::Lacking(Reason::NotRising);
        }
        Crossing::At(x) => (crossing_emf(curve, w, z, eps, x), Outcome::Known),
    };
    e.and_then(|e| w.step(&FACTOR, [e, isr, z]))
        .map_or(Outcome::Lacking(Reason::OutOfDomain), kind)
}

fn crossing_emf(curve: &Curve, w: &mut Workings, z: Value, eps: f64, x: f64) -> Option<Value> {
    let k = curve.interval(x);
    let piece = curve.local::<9>(k, 0);
    let ln_share = (eps / seed(z.si, 8)).ln();
    let slope = curve.log_slope(x) - 1.0;
    let e = at_root(x, slope, |x| piece.at(x) - x - ln_share)?.exp();
    let mut inputs = curve.touched(k, 0, &e);
    inputs.extend(e.d.last().map(|d| (z, *d)));
    let what = "e.m.f. at which the exciting current reaches its share";
    let text = format!("Ie(E) = {eps}*E/Z; {METHOD}");
    w.many(what, "V", text, IEC_INDIRECT, e.v, &inputs)
}

/// The exciting current at an e.m.f., or what the curve can say instead.
#[derive(Clone, Copy, Debug)]
pub enum AtEmf {
    /// Within the readings: the exciting current, ampere.
    Within { current: Value },
    /// The e.m.f. lies above the last reading, ampere and volt: there is more current at the e.m.f.
    Above {
        last_current: Value,
        last_voltage: Value,
    },
    /// The e.m.f. lies below the first reading, ampere and volt: there is less current at the e.m.f.
    Below {
        first_current: Value,
        first_voltage: Value,
    },
}

/// The exciting current at the e.m.f. `e` (volt), as far as the readings go.
pub fn at_emf(curve: &Curve, w: &mut Workings, e: Value) -> AtEmf {
    let (first, last) = (curve.first(), curve.last());
    match curve.current_value(w, e) {
        Some(current) => AtEmf::Within { current },
        None if e.si < first.v.si => AtEmf::Below {
            first_current: first.i,
            first_voltage: first.v,
        },
        None => AtEmf::Above {
            last_current: last.i,
            last_voltage: last.v,
        },
    }
}

#[cfg(test)]
mod tests;
