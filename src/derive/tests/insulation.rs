//! insulation

use crate::derive::case::Case;
use crate::derive::workings::Workings;

/// (to be written)
#[derive(Clone, Debug)]
pub struct Group {}

/// Derives all of a visit.
pub fn derive(_case: &Case<'_>, _w: &mut Workings) -> Vec<Group> {
    Vec::new()
}

/// The formulas of this module.
pub static FORMULAS: &[&dyn crate::derive::formula::AnyFormula] = &[];
