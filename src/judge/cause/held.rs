//! A curve held against one that it should be like: an earlier one of its own pair, else that of a sister.

use super::evidence::By;
use super::hypothesis::NAMED;
use super::path::ohm_of;
use crate::derive::curve::Curve;
use crate::derive::kindred::{Kindred, Traced};
use crate::derive::kinds::excitation::Excited;
use crate::derive::kinds::excitation::shape::{Fit, Pairing, Scatter, Shape};
use crate::derive::kinds::excitation::straight;
use crate::derive::knee::KneeRule;
use crate::document::Grade;
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::kinds::burden::rated_ohm;
use crate::judge::kinds::excitation::reference::{self, Reference};
use crate::judge::rules::excitation as rules;
use crate::record::alike::{are_of_two_types, like_core};
use crate::record::core::Core;
use crate::trade::{Class, Pair, Purpose};
use std::borrow::Cow;
use std::cell::OnceCell;

/// Up to such a share of what a core is rated to hold its exciting current is far below its rated one. Common practice, no
/// source.
const WEAK: f64 = 0.2;

/// A curve beside the one that it is held against.
pub(super) struct Held<'a> {
    pub now: &'a Excited,
    pub curve: &'a Curve,
    pub by: By,
    pub pairing: Pairing<'a>,
    /// Half the misfit while nothing is wrong.
    same: f64,
    /// Whether a limit between the two curves is exceeded.
    exceeded: bool,
    /// A cause that was named explains it.
    explained: bool,
    /// The conductance that fits best, asked for by several causes.
    leak: OnceCell<Fit>,
}

impl Held<'_> {
    /// Half the misfit while nothing is wrong.
    pub fn same(&self) -> f64 {
        if self.explained { 0.0 } else { self.same }
    }

    /// Whether no cause explains it yet.
    pub fn is_open(&self) -> bool {
        !self.explained
    }

    /// Half the misfit of a shape.
    pub fn fit(&self, shape: Shape) -> f64 {
        0.5 * self.pairing.fit(shape).misfit
    }

    /// The conductance that fits best, siemens, and half the misfit with it.
    pub fn leak(&self) -> Option<(f64, f64)> {
        let made = || self.pairing.best(Shape::Leak, self.pairing.conductances());
        let fit = self.leak.get_or_init(made);
        match fit.shape {
            Shape::Leak(conductance) => Some((conductance, 0.5 * fit.misfit)),
            _ => None,
        }
    }

    /// Whether more current is taken at the lower end, and at the upper one.
    pub fn takes_more(&self) -> (bool, bool) {
        let (low, high) = self.pairing.ends();
        (low > 0.0, high > 0.0)
    }

    /// How much likelier than nothing a cause of it has to be.
    pub fn least(&self) -> f64 {
        if self.exceeded { NAMED } else { 2.0 * NAMED }
    }

    /// Where nothing is worth a cause.
    pub fn is_off(&self) -> bool {
        self.same() >= self.least()
    }

    /// How far a reading lies off what it is held against, in ln of its current.
    pub fn off(&self, x: f64, y: f64) -> f64 {
        self.pairing.off(x, y)
    }

    /// Whether what it is held against holds ln V.
    pub fn holds(&self, x: f64) -> bool {
        self.pairing.holds(x)
    }

    pub fn explain(&mut self) {
        self.explained = true;
    }

    pub fn pair(&self) -> Pair {
        self.now.pair.ascending()
    }

    /// The row of its lowest voltage.
    pub fn first_row(&self) -> Vec<Span> {
        let at = self.curve.first().at;
        self.now.rows.get(at).copied().into_iter().collect()
    }

    /// Whether it is held against a curve of the same core.
    pub fn is_of_this_core(&self) -> bool {
        self.by.is_of_the_unit()
    }
}

/// All curves of a visit that have something to be held against.
pub(super) fn all<'a>(j: &Judging<'a>, findings: &[Finding]) -> Vec<Held<'a>> {
    let sound = j.derived.excitation.iter();
    let sound = sound.filter(|one| one.doubtful.is_none() && !one.with_burden);
    sound.filter_map(|one| held(j, findings, one)).collect()
}

fn held<'a>(j: &Judging<'a>, findings: &[Finding], now: &'a Excited) -> Option<Held<'a>> {
    let curve = now.curve.as_ref()?;
    let (by, pairing) = match reference::of(j, now) {
        Some(Reference {
            visit,
            earlier,
            knee,
            ..
        }) => {
            let name = visit.name();
            let by = match visit.purpose() {
                Purpose::Factory => By::Certificate(name),
                _ => By::Visit(name),
            };
            let scatter = Scatter::of_days();
            (
                by,
                Pairing::new(j.w, curve, Cow::Borrowed(earlier), knee, scatter),
            )
        }
        None => beside_sisters(j, now, curve).or_else(|| beside_iron(j, now, curve))?,
    };
    let same = 0.5 * pairing.fit(Shape::Same).misfit;
    let tolerances = [&rules::CURVE_ABOVE_REFERENCE, &rules::CURVE_BELOW_REFERENCE];
    let exceeded = findings.iter().any(|one| {
        let of_it = one.section == Some(now.test) && one.pair == Some(now.pair);
        of_it && tolerances.contains(&one.rule) && one.grade() >= Grade::Review
    });
    Some(Held {
        now,
        curve,
        by,
        pairing,
        same,
        exceeded,
        explained: false,
        leak: OnceCell::new(),
    })
}

/// A straight line through zero is held against what the iron takes of it at most, where no core takes so much: a weak
/// field, a gap and some alloys make a straight line as well.
fn beside_iron<'a>(
    j: &Judging<'a>,
    now: &'a Excited,
    curve: &'a Curve,
) -> Option<(By, Pairing<'a>)> {
    let core = j.case.core(now.pair)?;
    let iron = straight::iron(curve).filter(|_| !KneeRule::is_gapped(core))?;
    let rated = j.case.rated_secondary(now.pair)?;
    let limit = limit(j, core, now.pair)?;
    let mut points = curve.points().iter();
    points.find(|one| one.i.si > rated && one.v.si < WEAK * limit)?;
    let scatter = Scatter::of_makes();
    let end = iron.last().v.si;
    let pairing = Pairing::new(j.w, curve, Cow::Owned(iron), end, scatter);
    Some((By::Iron, pairing))
}

/// Volts that a core is rated to hold: its knee, what its accuracy limit factor asks for, or its burden with a current of five
/// times the rated one.
fn limit(j: &Judging<'_>, core: &Core, pair: Pair) -> Option<f64> {
    let knee = j.case.rated_knee(pair).map(|rated| rated.value.si);
    let by_factor = || match core.class.value()? {
        Class::Protection { limit_factor, .. } => {
            let ohm = rated_ohm(j, pair)? + ohm_of(j, pair).unwrap_or(0.0);
            Some(limit_factor * j.case.rated_secondary(pair)? * ohm)
        }
        Class::IeeeRelay { volts, .. } => Some(*volts),
        _ => Some(5.0 * j.case.rated_secondary(pair)? * rated_ohm(j, pair)?),
    };
    knee.or_else(by_factor)
}

/// Of the sisters' curves the one that is most like it: where one agrees, nothing is odd.
fn beside_sisters<'a>(
    j: &Judging<'a>,
    now: &'a Excited,
    curve: &'a Curve,
) -> Option<(By, Pairing<'a>)> {
    let traced = j.sisters.iter().filter_map(|sister| traced(j, sister, now));
    let fitted = traced.map(|one| {
        let scatter = Scatter::of_makes();
        let pairing = Pairing::new(j.w, curve, Cow::Borrowed(&one.curve), one.knee, scatter);
        (pairing.fit(Shape::Same).misfit, pairing)
    });
    let fitted: Vec<(f64, Pairing<'a>)> = fitted.collect();
    let count = fitted.len();
    let nearest = fitted
        .into_iter()
        .min_by(|(one, _), (other, _)| one.total_cmp(other));
    nearest.map(|(_, pairing)| (By::Sisters(count), pairing))
}

fn traced<'a>(j: &Judging<'a>, sister: &'a Kindred, now: &Excited) -> Option<&'a Traced> {
    let own = now.pair.ascending();
    let of_own = j.case.core(own)?;
    let core = like_core(of_own, &sister.cores)?;
    if are_of_two_types(of_own, sister.cores.get(core)?) {
        return None;
    }
    let pair = Pair { core, ..own };
    let like = |one: &&Traced| one.pair.ascending() == pair && one.other_frequency.is_none();
    let curves = sister
        .on_site()
        .find_map(|shown| shown.curves.iter().find(like));
    curves.filter(|_| now.other_frequency.is_none())
}
