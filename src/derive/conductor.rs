//! The constant that takes a winding resistance to another temperature. Sources disagree, so the
//! criteria choose.

use super::case::Case;
use crate::record::core::Core;
use crate::standards::{ConductorConstant, Threshold, conductor_constant, threshold};

/// The constant of a core's winding.
#[must_use]
pub fn constant(case: &Case<'_>, core: &Core) -> Option<&'static ConductorConstant> {
    let family = case.record.plate.family();
    conductor_constant(family, core.metal(), case.criteria.alternative_constant)
}

/// The temperature that resistances are taken to, degree Celsius.
#[must_use]
pub fn reference() -> Option<&'static Threshold> {
    threshold("winding-reference")
}
