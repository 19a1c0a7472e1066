//! Transient duty of class TPX, TPY and TPZ cores, and the time to saturation.
//!
//! The transient factor in use is the envelope of the flux: its "+ 1" is the peak of the
//! alternating part, which a current just begun has not reached. Before half a cycle it overstates.

use super::formula::{Symbol, formulas, symbol};
use super::root::solve;
use super::workings::{Value, Workings};

const ANNEX: &str = "IEC 61869-2:2012, Annex 2B (from memory)";
const F: Symbol = symbol("f", "Hz", "rated frequency");
const TP: Symbol = symbol("Tp", "s", "primary time constant");
const TS: Symbol = symbol("Ts", "s", "secondary loop time constant");
const T: Symbol = symbol("t", "s", "time from the start of the fault");
const ISR: Symbol = symbol("Isr", "A", "rated secondary current");
const KSSC: Symbol = symbol("Kssc", "", "rated symmetrical short-circuit current factor");
const KTD: Symbol = symbol("Ktd", "", "rated transient dimensioning factor");
const EPS: Symbol = symbol("eps", "", "peak error as a fraction");
const RCT: Symbol = symbol("Rct", "ohm", "winding resistance");
const RB: Symbol = symbol("Rb", "ohm", "resistive burden");
const TWO_PI: f64 = 2.0 * std::f64::consts::PI;

formulas! {
    static KTF_GAPPED = "ktf-gapped", "transient factor of a gapped core":
        "2*pi*f*Tp*Ts/(Tp - Ts)*(exp(-t/Tp) - exp(-t/Ts)) + 1" ("") of [F, TP, TS, T],
        |[f, tp, ts, t]| {
            TWO_PI * f * tp * ts / (tp - ts) * ((-t / tp).exp() - (-t / ts).exp()) + 1.0
        },
        ANNEX;

    static KTF_EQUAL = "ktf-equal", "transient factor when both time constants are equal":
        "2*pi*f*t*exp(-2*t/(Tp + Ts)) + 1" ("") of [F, TP, TS, T],
        |[f, tp, ts, t]| TWO_PI * f * t * (-2.0 * t / (tp + ts)).exp() + 1.0,
        "limit of the Annex 2B expression for Tp = Ts";

    static KTF_CLOSED = "ktf-ungapped", "transient factor of a core without a gap":
        "2*pi*f*Tp*(1 - exp(-t/Tp)) + 1" ("") of [F, TP, T],
        |[f, tp, t]| TWO_PI * f * tp * (1.0 - (-t / tp).exp()) + 1.0,
        "limit of the Annex 2B expression for an infinite Ts";

    static T_MAX = "ktf-time-of-maximum", "time of the greatest transient factor":
        "Tp*Ts/(Tp - Ts)*ln(Tp/Ts)" ("s") of [TP, TS],
        |[tp, ts]| tp * ts / (tp - ts) * (tp / ts).ln(), ANNEX;

    static T_MAX_EQUAL = "ktf-time-of-maximum-equal",
        "time of the greatest transient factor when both time constants are equal":
        "(Tp + Ts)/2" ("s") of [TP, TS], |[tp, ts]| (tp + ts) / 2.0,
        "limit of the Annex 2B expression for Tp = Ts";

    static KTF_MAX_CLOSED = "ktf-max-ungapped", "greatest transient factor of a core without a gap":
        "1 + 2*pi*f*Tp" ("") of [F, TP], |[f, tp]| 1.0 + TWO_PI * f * tp, ANNEX;

    pub(super) static LOOP_CONSTANT = "loop-time-constant", "secondary loop time constant":
        "L/(Rct + Rb)" ("s") of [symbol("L", "H", "magnetising and leakage inductance"), RCT, RB],
        |[l, rct, rb]| l / (rct + rb), "IEC 61869-2:2012, 3.4 and Annex 2B (from memory)";

    pub(super) static EAL = "equivalent-limiting-emf", "rated equivalent limiting secondary e.m.f.":
        "Kssc*Ktd*(Rct + Rb)*Isr" ("V") of [KSSC, KTD, RCT, RB, ISR],
        |[kssc, ktd, rct, rb, isr]| kssc * ktd * (rct + rb) * isr,
        "IEC 61869-2:2012, 5.6.202.5 and Annex 2B (from memory)";

    pub(super) static PEAK_LIMIT = "peak-exciting-limit",
        "limit of the peak exciting current, classes TPX and TPY":
        "sqrt(2)*Isr*Kssc*eps" ("A") of [ISR, KSSC, EPS],
        |[isr, kssc, eps]| std::f64::consts::SQRT_2 * isr * kssc * eps,
        "IEC 61869-2:2012, 2B.2 (from memory)";

    pub(super) static PEAK_LIMIT_TPZ = "peak-exciting-limit-tpz",
        "limit of the peak exciting current, class TPZ":
        "sqrt(2)*Isr*Kssc*((Ktd - 1)/(2*pi*f*Ts) + eps)" ("A") of [ISR, KSSC, KTD, F, TS, EPS],
        |[isr, kssc, ktd, f, ts, eps]| {
            std::f64::consts::SQRT_2 * isr * kssc * ((ktd - 1.0) / (TWO_PI * f * ts) + eps)
        },
        "IEC 61869-2:2012, 2B.2.3.4 (from memory)";

    static SATURATION = "time-to-saturation",
        "time to saturation under full offset, resistive burden":
        "t - (2*pi*f*Tp*(1 - exp(-t/Tp)) - sin(2*pi*f*t) - Ks)/(2*pi*f*(exp(-t/Tp) - cos(2*pi*f*t)))"
        ("s") of [
            symbol("t", "s", "first root of 2*pi*f*Tp*(1 - exp(-t/Tp)) - sin(2*pi*f*t) = Ks"),
            symbol("Ks", "", "saturation voltage over I*Z, less remanence"), F, TP
        ],
        |[t, ks, f, tp]| {
            let (phase, fade) = (f * t * TWO_PI, (-t / tp).exp());
            let flux = f * tp * TWO_PI * (-fade + 1.0) - phase.sin();
            t - (flux - ks) / (f * TWO_PI * (fade - phase.cos()))
        },
        "flux of a fully offset current, the alternating part with it: IEEE Std C37.110 (from memory); \
         the root by bisection, checked by one step of Newton's method";
}

/// A transient factor.
#[derive(Clone, Copy, Debug)]
pub struct Factor {
    /// The factor itself.
    pub value: Value,
    /// Whether the envelope is valid at this time; before half a cycle it overstates.
    pub branch: Branch,
}

/// Where the envelope of the flux stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Branch {
    /// Half a cycle or later: the envelope is what the flux reaches.
    Envelope,
    /// Before half a cycle: the flux has not met its envelope yet, the factor overstates.
    UnderHalfCycle,
}

/// Nearer than this the quotient form loses digits and its limit has none to lose.
fn nearly_equal(tp: Value, ts: Value) -> bool {
    (tp.si - ts.si).abs() <= 1e-5 * tp.si.abs().max(ts.si.abs())
}

/// The transient factor `t` seconds into a fully offset fault, at `f` hertz, for the time
/// constants `tp` and `ts` in seconds; `ts` is `None` for a core without a gap (TPX).
pub fn factor_at(
    w: &mut Workings,
    f: Value,
    tp: Value,
    ts: Option<Value>,
    t: Value,
) -> Option<Factor> {
    let value = match ts {
        None => w.step(&KTF_CLOSED, [f, tp, t]),
        Some(ts) if nearly_equal(tp, ts) => w.step(&KTF_EQUAL, [f, tp, ts, t]),
        Some(ts) => w.step(&KTF_GAPPED, [f, tp, ts, t]),
    }?;
    let early = 2.0 * f.si * t.si < 1.0;
    let branch = if early {
        Branch::UnderHalfCycle
    } else {
        Branch::Envelope
    };
    Some(Factor { value, branch })
}

/// Time of the greatest transient factor of a gapped core, second.
pub fn time_of_maximum(w: &mut Workings, tp: Value, ts: Value) -> Option<Value> {
    if nearly_equal(tp, ts) {
        w.step(&T_MAX_EQUAL, [tp, ts])
    } else {
        w.step(&T_MAX, [tp, ts])
    }
}

/// The greatest transient factor, however long the fault lasts.
pub fn greatest_factor(w: &mut Workings, f: Value, tp: Value, ts: Option<Value>) -> Option<Factor> {
    let Some(ts) = ts else {
        let value = w.step(&KTF_MAX_CLOSED, [f, tp])?;
        return Some(Factor {
            value,
            branch: Branch::Envelope,
        });
    };
    let t = time_of_maximum(w, tp, ts)?;
    factor_at(w, f, tp, Some(ts), t)
}

/// When a core saturates under a fully offset current.
#[derive(Clone, Copy, Debug)]
pub enum Saturation {
    /// After this many seconds.
    After(Value),
    /// Remanence leaves nothing.
    AtOnce,
    /// The direct component never brings it there.
    Never,
    /// The inputs are out of domain.
    Unknown,
}

/// Time to saturation for `ks`, the saturation voltage (less remanence) over I*Z, at `f` hertz
/// and primary time constant `tp` seconds, for a resistive burden and full offset. The flux meets its
/// envelope only at the end of its first rise, so within the first cycle the envelope comes far too early.
pub fn time_to_saturation(w: &mut Workings, ks: Value, f: Value, tp: Value) -> Saturation {
    let reach = TWO_PI * f.si * tp.si;
    if !(reach > 0.0 && reach.is_finite() && ks.si.is_finite()) {
        Saturation::Unknown
    } else if ks.si <= 0.0 {
        Saturation::AtOnce
    } else if ks.si - 1.0 >= reach {
        Saturation::Never
    } else {
        let root = first_root(ks.si, f.si, tp.si).map(|t| {
            let what = "first root, time to saturation";
            w.constant(what, "s", t, "bisection of the expression for the flux")
        });
        root.and_then(|t| w.step(&SATURATION, [t, ks, f, tp]))
            .map_or(Saturation::Unknown, Saturation::After)
    }
}

/// Parts of a cycle in which the first crossing is looked for.
const PARTS: u32 = 720;

/// The first time in seconds at which the flux of a fully offset current reaches `ks` times the peak of
/// its alternating part. It lies between the time at which the envelope does, and the first touch
/// of flux and envelope after that, less than one cycle later.
fn first_root(ks: f64, f: f64, tp: f64) -> Option<f64> {
    let omega = TWO_PI * f;
    let flux = |t: f64| omega * tp * (1.0 - (-t / tp).exp()) - (omega * t).sin();
    let envelope = -tp * (1.0 - (ks - 1.0) / (omega * tp)).ln();
    let start = envelope.max(0.0);
    let step = 1.0 / (f * f64::from(PARTS));
    let after = |n: u32| start + f64::from(n) * step;
    let above = (1..=PARTS + 1).find(|n| flux(after(*n)) >= ks)?;
    solve(after(above - 1), after(above), |t| Some(flux(t) - ks))
}

#[cfg(test)]
mod tests;
