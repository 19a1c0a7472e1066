//! Ratio: turns by voltage, errors by current, sums of sections, and what the exciting current lets
//! one expect of the errors.

mod burden;
mod current;
mod estimate;
pub(in crate::derive) mod formulas;
mod sums;
mod voltage;

pub use burden::{Burdened, rated_burden};

use crate::derive::deriving::Deriving;
use crate::derive::workings::Value;
use crate::ground::quantity::{Quantity, Reading};
use crate::ground::span::{Given, Span};
use crate::record::core::Core;
use crate::record::inputs::Fed;
use crate::record::kinds::Test;
use crate::record::kinds::ratio::{Method, RatioRow};
use crate::trade::Pair;

/// Everything of one visit's ratio tests.
#[derive(Clone, Debug, Default)]
pub struct Measured {
    pub turns: Vec<Turns>,
    /// The same at inputs of a summation CT. They stand by themselves: each has a ratio of its own.
    pub input_turns: Vec<Turns>,
    pub sums: Vec<Sum>,
    pub runs: Vec<Run>,
    /// By one input of a summation CT alone.
    pub input_runs: Vec<Run>,
    pub estimates: Vec<Estimate>,
    pub unread: Vec<Unread>,
}

/// The turns of one pair by voltage.
#[derive(Clone, Debug)]
pub struct Turns {
    pub test: usize,
    /// Lower terminal first.
    pub pair: Pair,
    /// The inputs of a summation CT that it was read at.
    pub fed: Option<Fed>,
    /// Secondary turns per turn of the primary.
    pub ratio: Value,
    /// Turns ratio error against the rated turns, per cent; positive when the secondary has fewer
    /// turns than rated (the turns ratio is that of primary to secondary turns).
    pub error: Value,
    /// The same against the rated ratio of the currents: another figure only where the plate gives
    /// the turns, or turns were taken off on purpose.
    pub against_currents: Value,
    pub correction: Correction,
    /// Secondary turns; `None` unless the primary is one turn.
    pub whole: Option<Value>,
    /// Volts per turn; `None` for a section read beside the primary.
    pub per_turn: Option<Value>,
    /// The voltage on the driven pair in per cent of its knee, where a knee is known.
    pub of_knee: Option<Value>,
    /// Another pair of the core whose rated ratio is within 1 %, when this one is more than 2 % off.
    pub fits: Option<Pair>,
    /// The phase as read, radian: for polarity and correction, never against a class.
    pub phase: Option<Value>,
    /// The row first.
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

/// What was done about the drop of the exciting current in the winding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Correction {
    /// Taken off.
    Made {
        /// In per cent of the voltage.
        percent: f64,
        /// The curve's own frequency, hertz, when it is not the rated one.
        frequency: Option<f64>,
    },
    /// No curve of this pair.
    NoCurve,
    /// The curve does not hold this voltage.
    OutsideCurve,
    /// No winding resistance.
    NoResistance,
    /// The ratio is so far off that the curve may be that of another pair.
    FarOff,
    /// A section beside the driven pair carries no current.
    NotNeeded,
}

/// Whether the sections of a pair make up the whole.
#[derive(Clone, Debug)]
pub struct Sum {
    pub test: usize,
    /// The pair that they make up.
    pub pair: Pair,
    pub sections: Vec<Pair>,
    /// Sum of the sections less the whole, in per cent of the whole.
    pub closure: Value,
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

/// Errors by current of one pair in one section: one burden.
#[derive(Clone, Debug)]
pub struct Run {
    pub test: usize,
    /// Lower terminal first.
    pub pair: Pair,
    /// The inputs of a summation CT that the current went through.
    pub fed: Option<Fed>,
    pub burden: Burdened,
    /// The position of the primary links that it was taken in.
    pub links: Option<String>,
    pub points: Vec<Point>,
    pub doubtful: Option<Span>,
}

/// One row of a run.
#[derive(Clone, Debug)]
pub struct Point {
    /// Primary current in per cent of rated: as written, else from the current read.
    pub percent: f64,
    /// Ratio error, per cent.
    pub error: Option<Value>,
    /// The error was read on a comparator, not computed from two currents.
    pub compared: bool,
    /// Phase displacement, radian, positive when the secondary leads.
    pub phase: Option<Value>,
    /// It was written in centiradians.
    pub in_centiradians: bool,
    /// Ratio correction factor (IEEE cores).
    pub rcf: Option<Value>,
    /// Transformer correction factor at power factor 0.6 lagging (IEEE cores, with the phase).
    pub tcf: Option<Value>,
    pub row: Span,
}

/// Errors to be expected at one current and the rated burden: calculated, never measured.
#[derive(Clone, Debug)]
pub struct Estimate {
    pub pair: Pair,
    /// Current in per cent of rated.
    pub percent: f64,
    /// Rated burden, VA.
    pub burden: f64,
    /// Ratio error in per cent, phase displacement in radian: bounds of their magnitudes, or with
    /// the angle of the exciting current the errors themselves. `None` where the curve ends before.
    pub errors: Option<(Value, Value)>,
    pub bound: bool,
    /// The winding resistance is the plate's.
    pub plate_resistance: bool,
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

/// A row that gives no value.
#[derive(Clone, Copy, Debug)]
pub struct Unread {
    pub test: usize,
    pub pair: Option<Pair>,
    pub why: WhyUnread,
    pub row: Span,
}

/// Why a row gives no value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhyUnread {
    /// A reading could not be read.
    Unreadable,
    /// A bound stands where a value is needed.
    Bound,
    /// Nobody says which pair was driven.
    Driven,
    /// The plate gives no ratio of this pair.
    NoRatio,
    /// Nobody says which input of a summation CT it was.
    Input,
    /// There is no primary current.
    NoPrimary,
}

impl Measured {
    fn unread(&mut self, test: usize, pair: Option<Pair>, why: WhyUnread, row: &RatioRow) {
        self.unread.push(Unread {
            test,
            pair,
            why,
            row: row.span,
        });
    }
}

/// Derives all ratio tests of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Measured {
    let mut found = Measured::default();
    for at in d.visit.of(Test::ratio) {
        let mut d = Deriving {
            case: d.case.of_ratio(at.2),
            derived: d.derived,
            w: &mut *d.w,
        };
        match at.2.method {
            Some(Method::Voltage) => voltage::derive(&mut d, at, &mut found),
            Some(Method::Current) | None => current::derive(&mut d, at, &mut found),
        }
    }
    sums::derive(d.w, &mut found);
    found.estimates = estimate::derive(d, &found.turns);
    found
}

/// A reading with a value: `Ok(None)` where nothing was written.
fn exact(given: &Given<Quantity>) -> Result<Option<&Reading>, WhyUnread> {
    match given {
        Given::Written(reading) if reading.value.is_exact() => Ok(Some(reading)),
        Given::Written(_) => Err(WhyUnread::Bound),
        Given::Unreadable(_) => Err(WhyUnread::Unreadable),
        Given::Missing => Ok(None),
    }
}

/// Where the plate states the ratio of a pair.
fn ratio_span(core: &Core, pair: Pair) -> Span {
    core.tap(pair.from, pair.to)
        .map_or(core.span, |tap| tap.span)
}
