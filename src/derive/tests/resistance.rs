//! Winding resistance: mean of the readings, leads off, to 75 °C.

use super::Derived;
use crate::derive::case::Case;
use crate::derive::workings::{Value, Workings};
use crate::ground::span::Span;
use crate::record::value::Pair;

/// The resistance of one pair.
#[derive(Clone, Debug)]
pub struct Winding {
    /// Index of the test in the visit.
    pub test: usize,
    pub pair: Pair,
    /// At the winding's temperature, leads off, ohm.
    pub cold: Value,
    /// The winding's temperature, degree Celsius; `None` when nobody wrote it.
    pub temperature: Option<Value>,
    /// At 75 °C, ohm; `None` without a temperature.
    pub at_75: Option<Value>,
    /// Two wires without a lead resistance to subtract.
    pub leads_unknown: bool,
    /// Relative change from the first to the last of several readings, per cent.
    pub drift: Option<f64>,
    /// Relative spread (largest minus smallest) of several readings, per cent.
    pub scatter: Option<f64>,
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

/// Where a core's resistance at 75 °C comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    Measured,
    /// The plate's limit, since nothing was measured.
    Plate,
}

/// Derives all pairs of a visit.
pub fn derive(_case: &Case<'_>, _w: &mut Workings, _derived: &Derived) -> Vec<Winding> {
    Vec::new()
}

/// The resistance of a pair at 75 °C, ohm: measured at this visit (directly, or as the sum of its
/// sections), else the plate's value scaled by turns, said as such.
pub fn at_75(_case: &Case<'_>, _w: &mut Workings, _derived: &Derived, _pair: Pair) -> Option<(Value, From)> {
    None
}
