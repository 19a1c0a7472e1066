//! The errors that turns and exciting current let one expect at the rated burden. Never measured,
//! and never from a curve of another frequency: its exciting current is too low.

use super::formulas::{ANGLE_BETWEEN, BEHIND_SECONDARY, EMF_AT};
use super::{Estimate, Turns, burden, ratio_span};
use crate::derive::accuracy::{burden_impedance, loop_impedance};
use crate::derive::case::Case;
use crate::derive::error_bound::{bounds, errors};
use crate::derive::input;
use crate::derive::kinds::Derived;
use crate::derive::kinds::excitation::{Excited, for_pair};
use crate::derive::kinds::resistance::{From, at_75};
use crate::derive::workings::{Value, Workings};
use crate::ground::span::Span;
use crate::record::readings::Measure;
use crate::standards::{BurdenKind, ieee_burden, measuring, power_factor};
use crate::trade::{Burden, Class, Pair};

/// Currents, per cent of rated, at which measuring classes have limits; a class for special use has
/// those of all others.
fn measuring_currents() -> Vec<f64> {
    let rows = measuring("0.2S").map_or(&[][..], |class| &class.rows);
    rows.iter().map(|row| row.percent).collect()
}

pub(super) fn derive(
    case: &Case<'_>,
    w: &mut Workings,
    derived: &Derived,
    turns: &[Turns],
) -> Vec<Estimate> {
    let mut found: Vec<Estimate> = Vec::new();
    for known in turns
        .iter()
        .filter(|known| known.doubtful.is_none() && known.fits.is_none())
    {
        if found.iter().any(|estimate| estimate.pair == known.pair) {
            continue;
        }
        found.extend(of_pair(case, w, derived, known).unwrap_or_default());
    }
    found
}

/// What does not depend on the current.
struct Loop<'a> {
    excited: &'a Excited,
    turns: Value,
    /// VA at rated secondary current.
    va: f64,
    rct: Value,
    from: From,
    zb: Value,
    /// Angle of the burden, rad.
    angle: Value,
    z: Value,
    secondary: f64,
    span: Span,
}

fn of_pair(
    case: &Case<'_>,
    w: &mut Workings,
    derived: &Derived,
    turns: &Turns,
) -> Option<Vec<Estimate>> {
    let pair = turns.pair;
    let core = case.core(pair)?;
    let percents = match core.class_of(pair)? {
        Class::Measuring { .. } | Class::IeeeMetering { .. } => measuring_currents(),
        Class::Protection { .. } => vec![100.0],
        _ => return None,
    };
    let excited = for_pair(case, derived, pair)
        .filter(|excited| excited.other_frequency.is_none() && excited.doubtful.is_none())?;
    excited.curve.as_ref()?;
    let (va, pf) = rated(case, pair)?;
    let secondary = case.rated_secondary(pair)?;
    let (rct, from) = at_75(case, w, derived, pair)?;
    let span = ratio_span(core, pair);
    let isr = input::plate_number(w, "rated secondary current", "A", secondary, span);
    let burden = input::plate_number(
        w,
        "rated burden",
        "VA",
        va,
        core.burden.span().unwrap_or(span),
    );
    let zb = burden_impedance(w, burden, isr)?;
    let factor = input::plate_number(w, "power factor of the rated burden", "", pf, span);
    let angle = input::plate_number(
        w,
        "angle of the rated burden",
        "rad",
        libm::acos(pf.clamp(0.0, 1.0)),
        span,
    );
    let z = loop_impedance(w, rct, zb, factor)?;
    let known = Loop {
        excited,
        turns: turns.against_currents,
        va,
        rct,
        from,
        zb,
        angle,
        z,
        secondary,
        span,
    };
    let mut readings = turns.readings.clone();
    readings.extend(excited.rows.first().copied());
    let at = |w: &mut Workings, percent: f64| known.at(case, w, pair, percent, readings.clone());
    Some(percents.iter().map(|percent| at(w, *percent)).collect())
}

impl Loop<'_> {
    fn at(
        &self,
        case: &Case<'_>,
        w: &mut Workings,
        pair: Pair,
        percent: f64,
        readings: Vec<Span>,
    ) -> Estimate {
        let exact = self.errors(case, w, percent);
        Estimate {
            pair,
            percent,
            burden: self.va,
            errors: exact.map(|(errors, _)| errors),
            bound: exact.is_none_or(|(_, bound)| bound),
            plate_resistance: self.from == From::Plate,
            readings,
            doubtful: self.excited.doubtful,
        }
    }

    /// Ratio error and phase displacement, and whether they are bounds only.
    fn errors(
        &self,
        case: &Case<'_>,
        w: &mut Workings,
        percent: f64,
    ) -> Option<((Value, Value), bool)> {
        let curve = self.excited.curve.as_ref()?;
        let i = input::plate_number(
            w,
            format!("secondary current at {percent} % of rated"),
            "A",
            self.secondary * percent / 100.0,
            self.span,
        );
        let emf = w.step(&EMF_AT, [i, self.z])?;
        let exciting = curve.current_value(w, emf)?;
        let lag = self
            .angle(case, w, emf)
            .and_then(|angle| w.step(&BEHIND_SECONDARY, [angle, self.zb, self.angle, self.rct]));
        match lag {
            Some(lag) => errors(w, self.turns, exciting, i, lag)
                .map(|found| ((found.ratio, found.phase), false)),
            None => {
                bounds(w, self.turns, exciting, i).map(|found| ((found.ratio, found.phase), true))
            }
        }
    }

    /// Angle of the exciting current behind the e.m.f., between the two readings around it. Only for a
    /// curve taken on the pair itself.
    fn angle(&self, case: &Case<'_>, w: &mut Workings, emf: Value) -> Option<Value> {
        let test = case.visit.tests.get(self.excited.test)?;
        let body = test.excitation()?;
        if test
            .pair
            .is_some_and(|pair| pair.value.ascending() != self.excited.pair)
        {
            return None;
        }
        let mut read: Vec<_> = body
            .rows
            .iter()
            .filter_map(|row| Some((row.voltage.get()?, row.angle.get()?)))
            .collect();
        read.sort_by(|a, b| a.0.value.si.total_cmp(&b.0.value.si));
        let above = read
            .iter()
            .position(|(v, _)| v.value.si >= emf.si)
            .filter(|at| *at > 0)?;
        let (low, high) = (read.get(above - 1)?, read.get(above)?);
        let mut enter =
            |measure, what: &str, reading| input::reading(w, case, test, measure, what, reading);
        let (a, b) = (
            enter(Measure::Angle, "angle, reading below", low.1),
            enter(Measure::Angle, "angle, reading above", high.1),
        );
        let (u, v) = (
            enter(Measure::Voltage, "voltage, reading below", low.0),
            enter(Measure::Voltage, "voltage, reading above", high.0),
        );
        w.step(&ANGLE_BETWEEN, [a, b, emf, u, v])
    }
}

/// Rated burden in VA with its power factor.
fn rated(case: &Case<'_>, pair: Pair) -> Option<(f64, f64)> {
    if let Some((va, pf)) = burden::rated(case, pair) {
        let unstated = || power_factor(BurdenKind::Measuring, va).map(|(factor, _)| factor);
        return Some((va, pf.or_else(unstated)?));
    }
    let core = case.core(pair)?;
    let of_class = match core.class_of(pair)? {
        Class::IeeeMetering { burden, .. } => burden.clone(),
        _ => None,
    };
    let name = match (of_class, burden::rated_burden(case, pair)) {
        (Some(name), _) => name,
        (None, Some((Burden::Designation(name), _))) => name.clone(),
        _ => return None,
    };
    // The designation names the impedance at 5 A; other secondaries keep the volt-amperes.
    ieee_burden(&name)
        .filter(|burden| burden.used_for == "metering")
        .map(|burden| (burden.va, burden.pf))
}
