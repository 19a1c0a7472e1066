//! The constant that takes a winding resistance to another temperature. Sources disagree, so the
//! criteria choose.

use super::case::Case;
use crate::standards::{ConductorConstant, Threshold, conductor_constant, threshold};
use crate::trade::Metal;

/// The constant of a winding's metal.
#[must_use]
pub fn constant(case: &Case<'_>, metal: Metal) -> Option<&'static ConductorConstant> {
    let family = case.record.plate.family();
    conductor_constant(family, metal, case.criteria.alternative_constant)
}

/// The temperature that resistances are taken to, degree Celsius.
#[must_use]
pub fn reference() -> Option<&'static Threshold> {
    threshold("winding-reference")
}
