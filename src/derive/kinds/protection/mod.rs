//! Class and accuracy of every core from its excitation curve, winding resistance and burden: one
//! entry for every requirement that the plate states.

pub mod burden;
pub mod factor;
pub mod knee;
pub mod limit;
pub mod relay;
pub mod remanence;
pub mod security;
pub mod transient;

use super::Derived;
use super::excitation::{Excited, for_pair};
use super::resistance::{self, From};
use crate::derive::accuracy::{AtEmf, composite_error};
use crate::derive::case::Case;
use crate::derive::curve::Curve;
use crate::derive::input;
use crate::derive::outcome::{Outcome, Reason};
use crate::derive::workings::{Value, Workings};
use crate::ground::span::{Given, Span};
use crate::record::core::Core;
use crate::trade::{Burden, Class, Pair};

/// What a requirement came to on one pair.
#[derive(Clone, Debug)]
pub struct Accuracy {
    pub pair: Pair,
    /// The section that the reading comes from: the excitation, or the remanence.
    pub test: usize,
    /// The driven pair, when the curve was scaled from it by turns.
    pub scaled_from: Option<Pair>,
    /// The winding resistance at 75 °C that went in, ohm, and where it comes from.
    pub rct: Option<(Value, From)>,
    /// The frequency of the test in hertz, when it is not the rated one.
    pub other_frequency: Option<f64>,
    /// The readings that decide.
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
    pub check: Check,
}

/// A requirement, and what was found.
#[derive(Clone, Debug)]
pub enum Check {
    /// Composite error at the accuracy limit, classes P and PR.
    Limit(limit::Limit),
    /// The factor at which the composite error is reached, with one burden.
    Factor(factor::Factor),
    /// Rated knee of classes PX, PXR, X and PS.
    Knee(knee::RatedKnee),
    /// Exciting current at a stated voltage.
    Exciting(knee::Exciting),
    /// IEEE classes C and T.
    Relay(relay::Relay),
    /// Peak exciting current at the equivalent limiting e.m.f., classes TPX, TPY and TPZ.
    Transient(transient::Peak),
    /// Transient factor that the stated duty asks for.
    Dimensioning(transient::Dimensioning),
    /// Instrument security factor.
    Security(security::Security),
    /// Remanence factor in per cent.
    Remanence(Value),
    /// Secondary loop time constant.
    LoopConstant(remanence::LoopConstant),
    /// A requirement of this class cannot be computed, since this is missing.
    Lacking(Class, Lack),
}

/// What a computation lacks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lack {
    Resistance,
    Burden,
    RatedCurrent,
    /// A TP value of the plate: Kssc or Ktd.
    TransientPlate,
}

/// What most requirements of a pair start from.
pub(super) struct Ground<'a> {
    pub case: &'a Case<'a>,
    pub derived: &'a Derived,
    pub core: &'a Core,
    pub pair: Pair,
    pub excited: &'a Excited,
    pub curve: &'a Curve,
}

impl<'a> Ground<'a> {
    /// The ground of a pair; `None` without a usable curve that serves it.
    pub fn of(case: &'a Case<'a>, derived: &'a Derived, pair: Pair) -> Option<Self> {
        let excited = for_pair(case, derived, pair)?;
        Some(Self {
            case,
            derived,
            core: case.core(pair)?,
            pair,
            excited,
            curve: excited.curve.as_ref()?,
        })
    }

    /// Rated secondary current, ampere.
    pub fn isr(&self, w: &mut Workings) -> Option<Value> {
        let isr = self
            .case
            .rated_secondary(self.pair)
            .filter(|isr| *isr > 0.0)?;
        let tap = self
            .core
            .tap(self.pair.from, self.pair.to)
            .map_or(self.core.span, |tap| tap.span);
        Some(input::plate_number(
            w,
            "rated secondary current",
            "A",
            isr,
            tap,
        ))
    }

    /// The class that the plate states for the pair.
    pub fn class(&self) -> Option<&'a Class> {
        self.core.class_of(self.pair)
    }

    /// Winding resistance at 75 °C, ohm.
    pub fn rct(&self, w: &mut Workings) -> Option<(Value, From)> {
        resistance::at_75(self.case, w, self.derived, self.pair)
    }

    /// The rated burden: the tap's own, else the core's.
    pub fn rated_burden(&self) -> &'a Given<Burden> {
        let own = self
            .core
            .tap(self.pair.from, self.pair.to)
            .map(|tap| &tap.burden)
            .filter(|burden| !burden.is_missing());
        own.unwrap_or(&self.core.burden)
    }

    pub fn entry(&self, rct: Option<(Value, From)>, readings: Vec<Span>, check: Check) -> Accuracy {
        Accuracy {
            pair: self.pair,
            test: self.excited.test,
            scaled_from: self.excited.scaled_from,
            rct,
            other_frequency: self.excited.other_frequency,
            readings,
            doubtful: self.excited.doubtful,
            check,
        }
    }

    pub fn lacking(&self, class: &Class, lack: Lack) -> Accuracy {
        self.entry(
            None,
            self.excited.last_row().into_iter().collect(),
            Check::Lacking(class.clone(), lack),
        )
    }

    /// The rows around a voltage; the last one when it lies above the readings, the first below.
    pub fn rows_at(&self, v: f64) -> Vec<Span> {
        let points = self.curve.points();
        let above = points
            .iter()
            .position(|point| point.v.si >= v)
            .unwrap_or(points.len());
        let near = points.iter().skip(above.saturating_sub(1)).take(
            if above == 0 || above == points.len() {
                1
            } else {
                2
            },
        );
        near.filter_map(|point| self.excited.rows.get(point.at))
            .copied()
            .collect()
    }
}

/// The composite error that an exciting current at `k` times `isr` makes: known, or one-sided past
/// the readings.
pub(super) fn error_at(w: &mut Workings, at: &AtEmf, k: Value, isr: Value) -> Outcome {
    let (current, kind): (Value, fn(Value) -> Outcome) = match at {
        AtEmf::Within { current } => (*current, Outcome::Known),
        AtEmf::Above { last_current, .. } => (*last_current, Outcome::AtLeast),
        AtEmf::Below { first_current, .. } => (*first_current, Outcome::AtMost),
    };
    composite_error(w, current, k, isr).map_or(Outcome::Lacking(Reason::OutOfDomain), kind)
}

/// Derives all of a visit.
pub fn derive(case: &Case<'_>, w: &mut Workings, derived: &Derived) -> Vec<Accuracy> {
    let mut found = Vec::new();
    for core in 0..case.record.cores.len() {
        for pair in pairs(case, core) {
            let Some(ground) = Ground::of(case, derived, pair) else {
                continue;
            };
            of_class(&ground, w, &mut found);
            knee::derive(&ground, w, &mut found);
        }
    }
    remanence::derive(case, w, derived, &mut found);
    found
}

/// The pairs that the plate states something of: the whole winding, and taps with a class or a knee.
fn pairs(case: &Case<'_>, core: usize) -> Vec<Pair> {
    let Some(known) = case.record.cores.get(core) else {
        return Vec::new();
    };
    let stated = known
        .taps
        .iter()
        .filter(|tap| !tap.class.is_missing() || !tap.knee.is_missing());
    let mut pairs: Vec<Pair> = case.full(core).into_iter().collect();
    pairs.extend(stated.map(|tap| Pair {
        core,
        from: tap.from,
        to: tap.to,
    }));
    let mut seen: Vec<Pair> = Vec::with_capacity(pairs.len());
    pairs.retain(|pair| {
        let new = !seen.contains(pair);
        seen.push(*pair);
        new
    });
    pairs
}

fn of_class(ground: &Ground<'_>, w: &mut Workings, found: &mut Vec<Accuracy>) {
    let Some(class) = ground.class() else {
        return;
    };
    match class {
        Class::Protection {
            composite,
            limit_factor,
            ..
        } => {
            limit::derive(ground, w, class, *limit_factor, found);
            factor::derive(ground, w, *composite, *limit_factor, found);
        }
        Class::Measuring {
            security: Some(rated),
            ..
        } => security::derive(ground, w, class, *rated, found),
        Class::IeeeRelay { letter, volts } => {
            relay::derive(ground, w, class, (*letter, *volts), found)
        }
        Class::Transient(kind) => transient::derive(ground, w, class, *kind, found),
        Class::Measuring { security: None, .. }
        | Class::Knee { .. }
        | Class::IeeeMetering { .. }
        | Class::Other(_) => {}
    }
}
