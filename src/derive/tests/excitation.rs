//! Excitation curves: points, flaws, the three knees.

use super::Derived;
use crate::derive::case::Case;
use crate::derive::curve::{Curve, CurveFlaw};
use crate::derive::knee::Knee;
use crate::derive::workings::Workings;
use crate::ground::span::Span;
use crate::record::value::Pair;

/// One curve as taken on its pair, voltage and current at the rated frequency's e.m.f. scale.
#[derive(Clone, Debug)]
pub struct Excited {
    pub test: usize,
    /// The driven pair.
    pub pair: Pair,
    /// `None` when too few readings are usable.
    pub curve: Option<Curve>,
    /// Spans of the rows, in the order in which the curve's points count them (`Point::at`).
    pub rows: Vec<Span>,
    pub flaws: Vec<CurveFlaw>,
    pub iec: Knee,
    pub knee_45: Knee,
    pub knee_30: Knee,
    /// Taken at another frequency than the rated one, in hertz: currents are on the low side below saturation.
    pub other_frequency: Option<f64>,
    pub doubtful: Option<Span>,
}

/// Derives all curves of a visit.
pub fn derive(_case: &Case<'_>, _w: &mut Workings, _derived: &Derived) -> Vec<Excited> {
    Vec::new()
}

/// The curve of a core that serves a pair: taken on it, or scaled to it by turns (V by N, I by 1/N).
pub fn for_pair<'a>(_case: &Case<'_>, _derived: &'a Derived, _pair: Pair) -> Option<&'a Excited> {
    None
}
