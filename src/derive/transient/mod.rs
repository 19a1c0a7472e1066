//! Transient duty of class TPX, TPY and TPZ cores, and the time to saturation.
//!
//! The transient factor in use is the envelope of the flux: its "+ 1" is the peak of the
//! alternating part, which a current just begun has not reached. Before half a cycle it overstates.

use super::formula::{AnyFormula, Formula, Symbol, symbol};
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

static KTF_GAPPED: Formula<4> = Formula {
    name: "ktf-gapped",
    what: "transient factor of a gapped core",
    text: "2*pi*f*Tp*Ts/(Tp - Ts)*(exp(-t/Tp) - exp(-t/Ts)) + 1",
    unit: "",
    of: [F, TP, TS, T],
    source: ANNEX,
    go: |[f, tp, ts, t]| {
        TWO_PI * f * tp * ts / (tp - ts) * ((-t / tp).exp() - (-t / ts).exp()) + 1.0
    },
};

static KTF_EQUAL: Formula<4> = Formula {
    name: "ktf-equal",
    what: "transient factor when both time constants are equal",
    text: "2*pi*f*t*exp(-2*t/(Tp + Ts)) + 1",
    unit: "",
    of: [F, TP, TS, T],
    source: "limit of the Annex 2B expression for Tp = Ts",
    go: |[f, tp, ts, t]| TWO_PI * f * t * (-2.0 * t / (tp + ts)).exp() + 1.0,
};

static KTF_CLOSED: Formula<3> = Formula {
    name: "ktf-ungapped",
    what: "transient factor of a core without a gap",
    text: "2*pi*f*Tp*(1 - exp(-t/Tp)) + 1",
    unit: "",
    of: [F, TP, T],
    source: "limit of the Annex 2B expression for an infinite Ts",
    go: |[f, tp, t]| TWO_PI * f * tp * (1.0 - (-t / tp).exp()) + 1.0,
};

static T_MAX: Formula<2> = Formula {
    name: "ktf-time-of-maximum",
    what: "time of the greatest transient factor",
    text: "Tp*Ts/(Tp - Ts)*ln(Tp/Ts)",
    unit: "s",
    of: [TP, TS],
    source: ANNEX,
    go: |[tp, ts]| tp * ts / (tp - ts) * (tp / ts).ln(),
};

static T_MAX_EQUAL: Formula<2> = Formula {
    name: "ktf-time-of-maximum-equal",
    what: "time of the greatest transient factor when both time constants are equal",
    text: "(Tp + Ts)/2",
    unit: "s",
    of: [TP, TS],
    source: "limit of the Annex 2B expression for Tp = Ts",
    go: |[tp, ts]| (tp + ts) / 2.0,
};

static KTF_MAX_CLOSED: Formula<2> = Formula {
    name: "ktf-max-ungapped",
    what: "greatest transient factor of a core without a gap",
    text: "1 + 2*pi*f*Tp",
    unit: "",
    of: [F, TP],
    source: ANNEX,
    go: |[f, tp]| 1.0 + TWO_PI * f * tp,
};

static LOOP_CONSTANT: Formula<3> = Formula {
    name: "loop-time-constant",
    what: "secondary loop time constant",
    text: "L/(Rct + Rb)",
    unit: "s",
    of: [
        symbol("L", "H", "magnetising and leakage inductance"),
        RCT,
        RB,
    ],
    source: "IEC 61869-2:2012, 3.4 and Annex 2B (from memory)",
    go: |[l, rct, rb]| l / (rct + rb),
};

static EAL: Formula<5> = Formula {
    name: "equivalent-limiting-emf",
    what: "rated equivalent limiting secondary e.m.f.",
    text: "Kssc*Ktd*(Rct + Rb)*Isr",
    unit: "V",
    of: [KSSC, KTD, RCT, RB, ISR],
    source: "IEC 61869-2:2012, 5.6.202.5 and Annex 2B (from memory)",
    go: |[kssc, ktd, rct, rb, isr]| kssc * ktd * (rct + rb) * isr,
};

static PEAK_LIMIT: Formula<3> = Formula {
    name: "peak-exciting-limit",
    what: "limit of the peak exciting current, classes TPX and TPY",
    text: "sqrt(2)*Isr*Kssc*eps",
    unit: "A",
    of: [ISR, KSSC, EPS],
    source: "IEC 61869-2:2012, 2B.2 (from memory)",
    go: |[isr, kssc, eps]| std::f64::consts::SQRT_2 * isr * kssc * eps,
};

static PEAK_LIMIT_TPZ: Formula<6> = Formula {
    name: "peak-exciting-limit-tpz",
    what: "limit of the peak exciting current, class TPZ",
    text: "sqrt(2)*Isr*Kssc*((Ktd - 1)/(2*pi*f*Ts) + eps)",
    unit: "A",
    of: [ISR, KSSC, KTD, F, TS, EPS],
    source: "IEC 61869-2:2012, 2B.2.3.4 (from memory)",
    go: |[isr, kssc, ktd, f, ts, eps]| {
        std::f64::consts::SQRT_2 * isr * kssc * ((ktd - 1.0) / (TWO_PI * f * ts) + eps)
    },
};

static PEAK_ERROR: Formula<3> = Formula {
    name: "peak-error-gapped",
    what: "peak error of a gapped core, linear part",
    text: "100*Ktd/(2*pi*f*Ts)",
    unit: "%",
    of: [KTD, F, TS],
    source: "IEC 61869-2:2012, note to Table 206 (from memory)",
    go: |[ktd, f, ts]| 100.0 * ktd / (TWO_PI * f * ts),
};

static SATURATION: Formula<3> = Formula {
    name: "time-to-saturation",
    what: "time to saturation under full offset, resistive burden",
    text: "-Tp*ln(1 - (Ks - 1)/(2*pi*f*Tp))",
    unit: "s",
    of: [
        symbol("Ks", "", "saturation voltage over I*Z, less remanence"),
        F,
        TP,
    ],
    source: "IEEE Std C37.110, time to saturation (from memory)",
    go: |[ks, f, tp]| -tp * (1.0 - (ks - 1.0) / (TWO_PI * f * tp)).ln(),
};

/// The formulas of this module.
pub static FORMULAS: &[&dyn AnyFormula] = &[
    &KTF_GAPPED,
    &KTF_EQUAL,
    &KTF_CLOSED,
    &T_MAX,
    &T_MAX_EQUAL,
    &KTF_MAX_CLOSED,
    &LOOP_CONSTANT,
    &EAL,
    &PEAK_LIMIT,
    &PEAK_LIMIT_TPZ,
    &PEAK_ERROR,
    &SATURATION,
];

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

/// Secondary loop time constant in seconds of inductance `l` (henry) and resistances (ohm).
pub fn loop_time_constant(w: &mut Workings, l: Value, rct: Value, rb: Value) -> Option<Value> {
    w.step(&LOOP_CONSTANT, [l, rct, rb])
}

/// Rated equivalent limiting e.m.f. in volt from `[Kssc, Ktd, Rct ohm, Rb ohm, Isr A]`.
pub fn equivalent_limiting_emf(w: &mut Workings, inputs: [Value; 5]) -> Option<Value> {
    w.step(&EAL, inputs)
}

/// Limit of the peak exciting current in ampere at the equivalent limiting e.m.f., classes TPX
/// and TPY; `eps` is the peak error as a fraction.
pub fn peak_limit(w: &mut Workings, isr: Value, kssc: Value, eps: Value) -> Option<Value> {
    w.step(&PEAK_LIMIT, [isr, kssc, eps])
}

/// The same for class TPZ, from `[Isr A, Kssc, Ktd, f Hz, Ts s, eps of the alternating part]`.
pub fn peak_limit_tpz(w: &mut Workings, inputs: [Value; 6]) -> Option<Value> {
    w.step(&PEAK_LIMIT_TPZ, inputs)
}

/// Peak error in per cent of a gapped core while it is linear.
pub fn peak_error(w: &mut Workings, ktd: Value, f: Value, ts: Value) -> Option<Value> {
    w.step(&PEAK_ERROR, [ktd, f, ts])
}

/// When a core saturates under a fully offset current.
#[derive(Clone, Copy, Debug)]
pub enum Saturation {
    /// After this many seconds; good to two digits at most.
    After(Value),
    /// Even the symmetrical current saturates it.
    AtOnce,
    /// The direct component never brings it there.
    Never,
    /// The inputs are out of domain.
    Unknown,
}

/// Time to saturation for `ks`, the saturation voltage (less remanence) over I*Z, at `f` hertz
/// and primary time constant `tp` seconds. A closed form for a resistive burden, full offset and
/// no ripple.
pub fn time_to_saturation(w: &mut Workings, ks: Value, f: Value, tp: Value) -> Saturation {
    let reach = TWO_PI * f.si * tp.si;
    if !(reach > 0.0 && reach.is_finite() && ks.si.is_finite()) {
        Saturation::Unknown
    } else if ks.si <= 1.0 {
        Saturation::AtOnce
    } else if ks.si - 1.0 >= reach {
        Saturation::Never
    } else {
        w.step(&SATURATION, [ks, f, tp])
            .map_or(Saturation::Unknown, Saturation::After)
    }
}

#[cfg(test)]
mod tests;
