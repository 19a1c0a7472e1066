//! Burden of the connected circuit.

use super::Derived;
use crate::derive::case::Case;
use crate::derive::workings::{Value, Workings};
use crate::ground::span::Span;
use crate::record::value::Pair;

/// One measured loop.
#[derive(Clone, Debug)]
pub struct Loop {
    pub test: usize,
    pub pair: Pair,
    /// `phase-neutral`, …
    pub path: String,
    /// Magnitude of the impedance, ohm.
    pub z: Value,
    /// Resistance, ohm; `None` without an angle.
    pub r: Option<Value>,
    /// Reactance, ohm.
    pub x: Option<Value>,
    /// Apparent power at rated secondary current, VA.
    pub va: Option<Value>,
    /// Power factor.
    pub power_factor: Option<Value>,
    pub readings: Vec<Span>,
    pub doubtful: Option<Span>,
}

/// Derives all loops of a visit.
pub fn derive(_case: &Case<'_>, _w: &mut Workings, _derived: &Derived) -> Vec<Loop> {
    Vec::new()
}
