//! Classes P and PR: composite error at the accuracy limit, by the indirect test.

use super::burden::{Impedance, rated};
use super::{Accuracy, Check, Ground, Lack, error_at};
use crate::derive::accuracy::{AtEmf, LimitingEmf, at_emf, limiting_emf};
use crate::derive::outcome::Outcome;
use crate::derive::workings::{Value, Workings};
use crate::trade::Class;

/// The composite error at the accuracy limit.
#[derive(Clone, Debug)]
pub struct Limit {
    pub class: Class,
    /// Rated accuracy limit factor.
    pub factor: Value,
    pub burden: Impedance,
    /// The e.m.f. asked for; its phasor sum decides.
    pub emf: LimitingEmf,
    /// Exciting current at the phasor sum, as far as the readings go.
    pub at: AtEmf,
    /// Composite error in per cent, turns correction left out.
    pub error: Outcome,
    /// The composite error at the arithmetic sum, per cent.
    pub arithmetic: Outcome,
    /// E.m.f. and composite error at unity power factor, where the maker may have chosen it.
    pub unity: Option<(Value, Outcome)>,
}

pub(super) fn derive(
    ground: &Ground<'_>,
    w: &mut Workings,
    class: &Class,
    factor: f64,
) -> Result<Accuracy, Lack> {
    let (isr, rct) = (ground.isr(w)?, ground.rct(w)?);
    let burden = rated(ground, w, class, isr).ok_or(Lack::Burden)?;
    let k = ground.class_factor(w, "rated accuracy limit factor", factor);
    let around = [rct.0, burden.z, burden.power_factor];
    let emf = limiting_emf(w, [k, isr], around).ok_or(Lack::Burden)?;
    let at = at_emf(ground.curve, w, emf.phasor);
    let error = error_at(w, &at, k, isr);
    let far = at_emf(ground.curve, w, emf.arithmetic);
    let arithmetic = error_at(w, &far, k, isr);
    let assumed = !burden.stated && burden.power_factor.si < 1.0;
    let limit = Limit {
        class: class.clone(),
        factor: k,
        burden,
        emf,
        at,
        error,
        arithmetic,
        // At unity power factor phasor and arithmetic sum are the same.
        unity: assumed.then_some((emf.arithmetic, arithmetic)),
    };
    let readings = ground.rows_at(emf.phasor.si);
    Ok(ground.entry(Some(rct), readings, Check::Limit(limit)))
}
