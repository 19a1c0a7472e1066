//! Classes TPX, TPY and TPZ: peak exciting current at the equivalent limiting e.m.f., and the
//! transient factor that the stated duty asks for.

use super::burden::resistive;
use super::{Accuracy, Check, Ground, Lack};
use crate::derive::accuracy::{AtEmf, at_emf};
use crate::derive::formula::{formulas, symbol};
use crate::derive::transient::{
    EAL, Factor, PEAK_LIMIT, PEAK_LIMIT_TPZ, factor_at, greatest_factor, time_of_maximum,
};
use crate::derive::workings::{Value, Workings};
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::core::{Core, DutyCycle};
use crate::standards::{TransientClass, transient};

formulas! {
    static OF_CYCLE = "ktd-of-two-faults", "transient factor of a C-O-C-O duty":
        "(K1 - 1 - sin(2*pi*f*t1))*exp(-(tfr + t2)/Ts) + K2" ("") of [
            symbol("K1", "", "transient factor at the end of the first fault"),
            symbol("f", "Hz", "rated frequency"),
            symbol("t1", "s", "duration of the first fault"),
            symbol("tfr", "s", "fault repetition time"),
            symbol("t2", "s", "time to the accuracy limit of the second fault"),
            symbol("Ts", "s", "secondary loop time constant"),
            symbol("K2", "", "transient factor of the second fault up to that time"),
        ], |[k1, f, t1, tfr, t2, ts, k2]| {
            let left = k1 - 1.0 - (f * t1 * (2.0 * std::f64::consts::PI)).sin();
            left * (-(tfr + t2) / ts).exp() + k2
        },
        "IEC 61869-2:2012, Annex 2A (from memory)";

    static PHASE_BY_GAP = "phase-by-gap", "phase displacement by the gap alone":
        "1/(2*pi*f*Ts)" ("rad") of [
            symbol("f", "Hz", "rated frequency"),
            symbol("Ts", "s", "secondary loop time constant"),
        ], |[f, ts]| 1.0 / (f * ts * (2.0 * std::f64::consts::PI)),
        "IEC 61869-2:2012, Annex 2B (from memory)";
}

/// The peak exciting current at the equivalent limiting e.m.f.
#[derive(Clone, Debug)]
pub struct Peak {
    pub class: TransientClass,
    /// Rated equivalent limiting e.m.f., volt.
    pub emf: Value,
    /// Upper limit of the peak, ampere; `None` for TPZ without a loop time constant on the plate.
    pub limit: Option<Value>,
    /// As read; `None` when no peaks were recorded.
    pub peak: Option<AtEmf>,
    /// The r.m.s. current at the same e.m.f.
    pub rms: AtEmf,
}

/// The transient factor that the stated duty asks for.
#[derive(Clone, Debug)]
pub struct Dimensioning {
    /// Rated transient dimensioning factor.
    pub rated: Value,
    /// Whether the plate's duty is C-O-C-O.
    pub double: bool,
    /// The factor of C-O-C-O; `None` while the plate lacks its times.
    pub of_cycle: Option<Value>,
    /// The phase displacement that the gap alone makes, radian.
    pub by_gap: Option<Value>,
    /// At the accuracy time of the plate.
    pub at_limit: Option<Factor>,
    /// However long the fault lasts.
    pub greatest: Option<Factor>,
}

fn number(w: &mut Workings, what: &'static str, given: &Given<f64>) -> Option<Value> {
    let given = given.get().filter(|given| given.value > 0.0)?;
    Some(w.number(what, "", given.value, given.span))
}

fn quantity(w: &mut Workings, what: &'static str, given: &Given<Quantity>) -> Option<Value> {
    let given = given.get().filter(|given| given.value.si > 0.0)?;
    Some(w.plate(what, given))
}

const KTD: &str = "rated transient dimensioning factor";
const TS: &str = "secondary loop time constant";

pub(super) fn derive(
    ground: &Ground<'_>,
    w: &mut Workings,
    class: TransientClass,
) -> Result<Accuracy, Lack> {
    let plate = ground.core;
    let (isr, rct) = (ground.isr(w)?, ground.rct(w)?);
    let rb = resistive(w, ground.rated_burden(), isr).ok_or(Lack::Burden)?;
    let what = "rated symmetrical short-circuit current factor";
    let kssc = number(w, what, &plate.kssc).ok_or(Lack::TransientPlate)?;
    let ktd = number(w, KTD, &plate.ktd).ok_or(Lack::TransientPlate)?;
    let emf = w.step(&EAL, [kssc, ktd, rct.0, rb.z, isr]);
    let emf = emf.ok_or(Lack::Burden)?;
    let row = transient(class).ok_or(Lack::TransientPlate)?;
    let eps = w.cited("peak error", "", row.peak_error / 100.0, &row.cited);
    let limit = match class {
        TransientClass::Tpx | TransientClass::Tpy => w.step(&PEAK_LIMIT, [isr, kssc, eps]),
        TransientClass::Tpz => {
            let ts = quantity(w, TS, &plate.loop_time_constant);
            let f = ground.on(w).rated_frequency();
            let inputs = ts.zip(f).map(|(ts, f)| [isr, kssc, ktd, f, ts, eps]);
            inputs.and_then(|inputs| w.step(&PEAK_LIMIT_TPZ, inputs))
        }
    };
    let peaks = ground.excited.peaks.as_ref();
    let peak = Peak {
        class,
        emf,
        limit,
        peak: peaks.map(|peaks| at_emf(peaks, w, emf)),
        rms: at_emf(ground.curve, w, emf),
    };
    let readings = ground.rows_at(emf.si);
    Ok(ground.entry(Some(rct), readings, Check::Transient(peak)))
}

pub(super) fn dimensioning(
    ground: &Ground<'_>,
    w: &mut Workings,
    class: TransientClass,
) -> Option<Accuracy> {
    let plate = ground.core;
    let rated = number(w, KTD, &plate.ktd)?;
    let tp = quantity(w, "primary time constant", &plate.primary_time_constant)?;
    let f = ground.on(w).rated_frequency()?;
    let ts = match class {
        TransientClass::Tpx => None,
        TransientClass::Tpy | TransientClass::Tpz => {
            Some(quantity(w, TS, &plate.loop_time_constant)?)
        }
    };
    let limit = quantity(w, "time to the accuracy limit", &plate.accuracy_time);
    let check = Dimensioning {
        rated,
        double: plate.duty_cycle.value() == Some(&DutyCycle::Double),
        of_cycle: ts.and_then(|ts| of_cycle(w, plate, [f, tp, ts])),
        by_gap: ts.and_then(|ts| w.step(&PHASE_BY_GAP, [f, ts])),
        at_limit: limit.and_then(|t| factor_until(w, [f, tp], ts, t)),
        greatest: greatest_factor(w, f, tp, ts),
    };
    let span = plate.ktd.span().into_iter().collect();
    // It rests on the plate alone, whatever curve there is.
    Some(Accuracy {
        scaled_from: None,
        other_frequency: None,
        ..ground.entry(None, span, Check::Dimensioning(check))
    })
}

/// The factor of two faults one after the other, where the plate gives all of their times.
fn of_cycle(w: &mut Workings, plate: &Core, [f, tp, ts]: [Value; 3]) -> Option<Value> {
    let first = quantity(w, "duration of the first fault", &plate.first_duration)?;
    let dead = quantity(w, "fault repetition time", &plate.dead_time)?;
    let what = "time to the accuracy limit of the second fault";
    let second = quantity(w, what, &plate.second_accuracy_time)?;
    let k1 = factor_at(w, f, tp, Some(ts), first)?.value;
    let k2 = factor_until(w, [f, tp], Some(ts), second)?.value;
    w.step(&OF_CYCLE, [k1, f, first, dead, second, ts, k2])
}

/// The greatest factor up to a time: a gapped core's falls again behind its maximum.
fn factor_until(
    w: &mut Workings,
    [f, tp]: [Value; 2],
    ts: Option<Value>,
    t: Value,
) -> Option<Factor> {
    let peak = ts.and_then(|ts| time_of_maximum(w, tp, ts));
    let t = peak.filter(|peak| peak.si < t.si).unwrap_or(t);
    factor_at(w, f, tp, ts, t)
}
