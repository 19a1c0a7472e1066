//! Classes TPX, TPY and TPZ: peak exciting current at the equivalent limiting e.m.f., and the
//! transient factor that the stated duty asks for.

use super::burden::resistive;
use super::{Accuracy, Check, Ground, Lack};
use crate::derive::accuracy::{AtEmf, at_emf};
use crate::derive::input;
use crate::derive::transient::{
    Factor, equivalent_limiting_emf, factor_at, greatest_factor, peak_limit, peak_limit_tpz,
};
use crate::derive::workings::{Value, Workings};
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::standards::{TransientClass, transient};
use crate::trade::Class;

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
    /// At the accuracy time of the plate.
    pub at_limit: Option<Factor>,
    /// However long the fault lasts.
    pub greatest: Option<Factor>,
}

pub(super) fn derive(
    ground: &Ground<'_>,
    w: &mut Workings,
    class: &Class,
    kind: TransientClass,
    found: &mut Vec<Accuracy>,
) {
    match peak(ground, w, kind) {
        Ok(entry) => found.push(entry),
        Err(lack) => found.push(ground.lacking(class, lack)),
    }
    found.extend(dimensioning(ground, w, kind));
}

fn number(w: &mut Workings, what: &'static str, given: &Given<f64>) -> Option<Value> {
    let given = given.get().filter(|given| given.value > 0.0)?;
    Some(input::plate_number(w, what, "", given.value, given.span))
}

fn quantity(w: &mut Workings, what: &'static str, given: &Given<Quantity>) -> Option<Value> {
    Some(input::plate(
        w,
        what,
        given.get().filter(|given| given.value.si > 0.0)?,
    ))
}

fn peak(ground: &Ground<'_>, w: &mut Workings, class: TransientClass) -> Result<Accuracy, Lack> {
    let plate = ground.core;
    let isr = ground.isr(w).ok_or(Lack::RatedCurrent)?;
    let rct = ground.rct(w).ok_or(Lack::Resistance)?;
    let rb = resistive(w, ground.rated_burden(), isr).ok_or(Lack::Burden)?;
    let kssc = number(
        w,
        "rated symmetrical short-circuit current factor",
        &plate.kssc,
    )
    .ok_or(Lack::TransientPlate)?;
    let ktd =
        number(w, "rated transient dimensioning factor", &plate.ktd).ok_or(Lack::TransientPlate)?;
    let emf = equivalent_limiting_emf(w, [kssc, ktd, rct.0, rb.z, isr]).ok_or(Lack::Burden)?;
    let row = transient(class).ok_or(Lack::TransientPlate)?;
    let eps = input::cited(w, "peak error", "", row.peak_error / 100.0, &row.cited);
    let limit = match class {
        TransientClass::Tpx | TransientClass::Tpy => peak_limit(w, isr, kssc, eps),
        TransientClass::Tpz => {
            let ts = quantity(w, "secondary loop time constant", &plate.loop_time_constant);
            let f = quantity(w, "rated frequency", &ground.case.record.plate.frequency);
            ts.zip(f)
                .and_then(|(ts, f)| peak_limit_tpz(w, [isr, kssc, ktd, f, ts, eps]))
        }
    };
    let peak = ground
        .excited
        .peaks
        .as_ref()
        .map(|peaks| at_emf(peaks, w, emf));
    let rms = at_emf(ground.curve, w, emf);
    let readings = ground.rows_at(emf.si);
    Ok(ground.entry(
        Some(rct),
        readings,
        Check::Transient(Peak {
            class,
            emf,
            limit,
            peak,
            rms,
        }),
    ))
}

fn dimensioning(ground: &Ground<'_>, w: &mut Workings, class: TransientClass) -> Option<Accuracy> {
    let plate = ground.core;
    let rated = number(w, "rated transient dimensioning factor", &plate.ktd)?;
    let tp = quantity(w, "primary time constant", &plate.primary_time_constant)?;
    let f = quantity(w, "rated frequency", &ground.case.record.plate.frequency)?;
    let ts = match class {
        TransientClass::Tpx => None,
        TransientClass::Tpy | TransientClass::Tpz => Some(quantity(
            w,
            "secondary loop time constant",
            &plate.loop_time_constant,
        )?),
    };
    let at_limit = quantity(w, "time to the accuracy limit", &plate.accuracy_time)
        .and_then(|t| factor_at(w, f, tp, ts, t));
    let greatest = greatest_factor(w, f, tp, ts);
    let span = plate.ktd.span().into_iter().collect();
    let entry = ground.entry(
        None,
        span,
        Check::Dimensioning(Dimensioning {
            rated,
            at_limit,
            greatest,
        }),
    );
    // It rests on the plate alone, whatever curve there is.
    Some(Accuracy {
        scaled_from: None,
        other_frequency: None,
        ..entry
    })
}
