//! The errors that turns and exciting current let one expect at the rated burden. Never measured,
//! and never from a curve of another frequency: its exciting current is too low.

use super::formulas::{ANGLE_BETWEEN, BEHIND_SECONDARY, EMF_AT};
use super::{Estimate, Turns, burden, ratio_span};
use crate::derive::accuracy::{BURDEN_IMPEDANCE, LOOP_IMPEDANCE};
use crate::derive::curve::Curve;
use crate::derive::deriving::Deriving;
use crate::derive::error_bound::errors;
use crate::derive::kinds::excitation::Excited;
use crate::derive::kinds::resistance::From;
use crate::derive::workings::Value;
use crate::ground::span::Span;
use crate::record::readings::Measure::{Angle, Voltage};
use crate::standards::{BurdenKind, ieee_burden, measuring, power_factor};
use crate::trade::{Burden, Class, Pair};

/// Currents, per cent of rated, at which measuring classes have limits; a class for special use has
/// those of all others.
fn measuring_currents() -> Vec<f64> {
    let rows = measuring("0.2S").map_or(&[][..], |class| &class.rows);
    rows.iter().map(|row| row.percent).collect()
}

pub(super) fn derive(d: &mut Deriving<'_>, turns: &[Turns]) -> Vec<Estimate> {
    let mut found: Vec<Estimate> = Vec::new();
    for known in turns {
        let sound = known.doubtful.is_none() && known.fits.is_none();
        if sound && found.iter().all(|estimate| estimate.pair != known.pair) {
            found.extend(of_pair(d, known).unwrap_or_default());
        }
    }
    found
}

/// What does not depend on the current.
struct Loop<'a> {
    excited: &'a Excited,
    curve: &'a Curve,
    turns: Value,
    rct: Value,
    zb: Value,
    /// Angle of the burden, rad.
    angle: Value,
    z: Value,
    secondary: f64,
    span: Span,
}

fn of_pair(d: &mut Deriving<'_>, turns: &Turns) -> Option<Vec<Estimate>> {
    let pair = turns.pair;
    let core = d.core(pair)?;
    let percents = match core.class_of(pair)? {
        Class::Measuring { .. } | Class::IeeeMetering { .. } => measuring_currents(),
        Class::Protection { .. } => vec![100.0],
        _ => return None,
    };
    let (excited, _) = d.derived.any_curve(pair)?;
    if excited.other_frequency.is_some() || excited.doubtful.is_some() {
        return None;
    }
    let curve = excited.curve.as_ref()?;
    let (va, pf) = rated(d, pair)?;
    let secondary = d.rated_secondary(pair)?;
    let (rct, from) = d.resistance_at_75(pair)?;
    let span = ratio_span(core, pair);
    let mut plate = |what, unit, value, at| d.w.number(what, unit, value, at);
    let isr = plate("rated secondary current", "A", secondary, span);
    let burden = plate("rated burden", "VA", va, core.burden.span().unwrap_or(span));
    let factor = plate("power factor of the rated burden", "", pf, span);
    let angle = libm::acos(pf.clamp(0.0, 1.0));
    let angle = plate("angle of the rated burden", "rad", angle, span);
    let zb = d.w.step(&BURDEN_IMPEDANCE, [burden, isr])?;
    let known = Loop {
        excited,
        curve,
        turns: turns.against_currents,
        rct,
        zb,
        angle,
        z: d.w.step(&LOOP_IMPEDANCE, [rct, zb, factor])?,
        secondary,
        span,
    };
    let mut readings = turns.readings.clone();
    readings.extend(excited.rows.first().copied());
    let at = |percent: f64| {
        let exact = known.errors(d, percent);
        Estimate {
            pair,
            percent,
            burden: va,
            errors: exact.map(|(errors, _)| errors),
            bound: exact.is_none_or(|(_, bound)| bound),
            plate_resistance: from == From::Plate,
            readings: readings.clone(),
            doubtful: excited.doubtful,
        }
    };
    Some(percents.into_iter().map(at).collect())
}

impl Loop<'_> {
    /// Ratio error and phase displacement, and whether they are bounds only.
    fn errors(&self, d: &mut Deriving<'_>, percent: f64) -> Option<((Value, Value), bool)> {
        let what = format!("secondary current at {percent} % of rated");
        let i = self.secondary * percent / 100.0;
        let i = d.w.number(what, "A", i, self.span);
        let emf = d.w.step(&EMF_AT, [i, self.z])?;
        let exciting = self.curve.current_value(d.w, emf)?;
        let lag = self.angle(d, emf).and_then(|angle| {
            let inputs = [angle, self.zb, self.angle, self.rct];
            d.w.step(&BEHIND_SECONDARY, inputs)
        });
        let found = errors(d.w, [self.turns, exciting, i], lag)?;
        Some((found, lag.is_none()))
    }

    /// Angle of the exciting current behind the e.m.f., between the two readings around it. Only for a
    /// curve taken on the pair itself.
    fn angle(&self, d: &mut Deriving<'_>, emf: Value) -> Option<Value> {
        let test = d.visit.tests.get(self.excited.test)?;
        let body = test.excitation()?;
        if d.driven(test).is_some_and(|pair| pair != self.excited.pair) {
            return None;
        }
        let rows = body.rows.iter();
        let read = rows.filter_map(|row| Some((row.voltage.get()?, row.angle.get()?)));
        let mut read: Vec<_> = read.collect();
        read.sort_by(|a, b| a.0.value.si.total_cmp(&b.0.value.si));
        let above = read.iter().position(|(v, _)| v.value.si >= emf.si)?;
        let (low, high) = (read.get(above.checked_sub(1)?)?, read.get(above)?);
        let mut enter = |measure, what: &'static str, reading| d.read(test, measure, what, reading);
        let a = enter(Angle, "angle, reading below", low.1);
        let b = enter(Angle, "angle, reading above", high.1);
        let u = enter(Voltage, "voltage, reading below", low.0);
        let v = enter(Voltage, "voltage, reading above", high.0);
        d.w.step(&ANGLE_BETWEEN, [a, b, emf, u, v])
    }
}

/// Rated burden in VA with its power factor.
fn rated(d: &Deriving<'_>, pair: Pair) -> Option<(f64, f64)> {
    if let Some((va, pf)) = burden::rated(d, pair) {
        let unstated = || power_factor(BurdenKind::Measuring, va).map(|(factor, _)| factor);
        return Some((va, pf.or_else(unstated)?));
    }
    let of_class = match d.core(pair)?.class_of(pair)? {
        Class::IeeeMetering { burden, .. } => burden.as_ref(),
        _ => None,
    };
    let name = match (of_class, burden::rated_burden(d, pair)) {
        (Some(name), _) | (None, Some((Burden::Designation(name), _))) => name,
        _ => return None,
    };
    // The designation names the impedance at 5 A; other secondaries keep the volt-amperes.
    let burden = ieee_burden(name).filter(|burden| burden.used_for == "metering")?;
    Some((burden.va, burden.pf))
}
