//! duty

use super::Derived;
use crate::derive::case::Case;
use crate::derive::workings::Workings;

/// (to be written)
#[derive(Clone, Debug)]
pub struct Served {}

/// Derives all of a visit.
pub fn derive(_case: &Case<'_>, _w: &mut Workings, _derived: &Derived) -> Vec<Served> {
    Vec::new()
}
