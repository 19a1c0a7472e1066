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
use super::excitation::{CurveAt, Excited};
use super::resistance::From;
use crate::derive::accuracy::{AtEmf, COMPOSITE};
use crate::derive::case::Case;
use crate::derive::curve::Curve;
use crate::derive::deriving::Deriving;
use crate::derive::outcome::{Outcome, Reason};
use crate::derive::workings::{Value, Workings};
use crate::ground::span::{Given, Span};
use crate::record::core::Core;
use crate::trade::{Burden, Class, Pair};

/// What a requirement came to on one pair.
#[derive(Clone, Debug)]
pub struct Accuracy {
    pub pair: Pair,
    /// Where the reading comes from: the excitation, or the remanence.
    pub at: CurveAt,
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
    pub case: Case<'a>,
    pub derived: &'a Derived,
    pub core: &'a Core,
    pub pair: Pair,
    pub excited: &'a Excited,
    pub curve: &'a Curve,
    pub at: CurveAt,
}

impl<'a> Ground<'a> {
    /// The ground of a pair; `None` without a usable curve that serves it.
    pub fn of(case: Case<'a>, derived: &'a Derived, pair: Pair) -> Option<Self> {
        let (excited, at) = derived.curve_used(&case, pair)?;
        Some(Self {
            at,
            case,
            derived,
            core: case.core(pair)?,
            pair,
            excited,
            curve: excited.curve.as_ref()?,
        })
    }

    /// The visit again, to go on deriving.
    pub fn on<'b>(&self, w: &'b mut Workings) -> Deriving<'b>
    where
        'a: 'b,
    {
        Deriving {
            case: self.case,
            derived: self.derived,
            w,
        }
    }

    /// Rated secondary current, ampere.
    pub fn isr(&self, w: &mut Workings) -> Result<Value, Lack> {
        self.on(w).isr(self.pair).ok_or(Lack::RatedCurrent)
    }

    /// Winding resistance at 75 °C, ohm.
    pub fn rct(&self, w: &mut Workings) -> Result<(Value, From), Lack> {
        let found = self.on(w).resistance_at_75(self.pair);
        found.ok_or(Lack::Resistance)
    }

    /// A factor of the class, as the plate states it.
    pub fn class_factor(&self, w: &mut Workings, what: &'static str, factor: f64) -> Value {
        let span = self.core.class.span().unwrap_or(self.core.span);
        w.number(what, "", factor, span)
    }

    /// Whether the pair is the whole winding.
    pub fn is_full(&self) -> bool {
        self.case.full(self.pair.core) == Some(self.pair)
    }

    /// The rated burden: the tap's own, else the core's.
    pub fn rated_burden(&self) -> &'a Given<Burden> {
        let tap = self.core.tap(self.pair.from, self.pair.to);
        let own = tap.map(|tap| &tap.burden);
        own.filter(|burden| !burden.is_missing())
            .unwrap_or(&self.core.burden)
    }

    pub fn entry(&self, rct: Option<(Value, From)>, readings: Vec<Span>, check: Check) -> Accuracy {
        Accuracy {
            pair: self.pair,
            at: self.at,
            scaled_from: self.excited.scaled_from,
            rct,
            other_frequency: self.excited.other_frequency,
            readings,
            doubtful: self.excited.doubtful,
            check,
        }
    }

    /// The row of the last reading, which is nearest where the curve does not reach.
    pub fn last_row(&self) -> Vec<Span> {
        self.excited.last_row().into_iter().collect()
    }

    /// The rows around a voltage; the last one when it lies above the readings, the first below.
    pub fn rows_at(&self, v: f64) -> Vec<Span> {
        let points = self.curve.points();
        let above = points.partition_point(|point| point.v.si < v);
        let near = points.iter().take(above + 1).skip(above.saturating_sub(1));
        let rows = near.filter_map(|point| self.excited.rows.get(point.at));
        rows.copied().collect()
    }

    /// The rows around the e.m.f. of a factor at `isr` ampere through `z` ohm.
    pub fn rows_of(&self, factor: &Outcome, isr: Value, z: Value) -> Vec<Span> {
        match factor {
            Outcome::Known(factor) | Outcome::AtLeast(factor) | Outcome::AtMost(factor) => {
                self.rows_at(factor.si * isr.si * z.si)
            }
            Outcome::NotReached { .. } | Outcome::Lacking(_) => self.last_row(),
        }
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
    w.step(&COMPOSITE, [current, k, isr])
        .map_or(Outcome::Lacking(Reason::OutOfDomain), kind)
}

/// Derives all of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Accuracy> {
    let mut found = Vec::new();
    for (index, core) in d.record.cores.iter().enumerate() {
        for pair in pairs(d, index, core) {
            if let Some(ground) = Ground::of(d.case, d.derived, pair) {
                of_class(&ground, d.w, &mut found);
                knee::derive(&ground, d.w, &mut found);
            }
        }
    }
    remanence::derive(d, &mut found);
    found
}

/// The pairs that the plate states something of: the whole winding, and taps with a class or a knee.
fn pairs(case: &Case<'_>, index: usize, core: &Core) -> Vec<Pair> {
    let mut pairs: Vec<Pair> = case.full(index).into_iter().collect();
    for (tap, pair) in core.taps.iter().zip(case.taps(index)) {
        let stated = !tap.class.is_missing() || !tap.knee.is_missing();
        if stated && !pairs.contains(&pair) {
            pairs.push(pair);
        }
    }
    pairs
}

fn of_class(ground: &Ground<'_>, w: &mut Workings, found: &mut Vec<Accuracy>) {
    let Some(class) = ground.core.class_of(ground.pair) else {
        return;
    };
    let checked = match class {
        Class::Protection { limit_factor, .. } => limit::derive(ground, w, class, *limit_factor),
        Class::Measuring {
            security: Some(rated),
            ..
        } => security::derive(ground, w, class, *rated),
        Class::IeeeRelay { letter, volts } => relay::derive(ground, w, *letter, *volts),
        Class::Transient(kind) => transient::derive(ground, w, *kind),
        Class::Measuring { security: None, .. }
        | Class::Knee { .. }
        | Class::IeeeMetering { .. }
        | Class::Other(_) => return,
    };
    found.push(checked.unwrap_or_else(|lack| {
        let check = Check::Lacking(class.clone(), lack);
        ground.entry(None, ground.last_row(), check)
    }));
    match class {
        Class::Protection {
            composite,
            limit_factor,
            ..
        } => factor::derive(ground, w, class, (*composite, *limit_factor), found),
        Class::Transient(kind) => found.extend(transient::dimensioning(ground, w, *kind)),
        _ => {}
    }
}
