//! Every formula of the crate in one list.

use super::formula::AnyFormula;
use super::tests::ratio;
use super::{accuracy, error_bound, excitation, knee, transient};

/// All formulas, module by module.
#[must_use]
pub fn all() -> Vec<&'static dyn AnyFormula> {
    [accuracy::FORMULAS, error_bound::FORMULAS, excitation::FORMULAS, knee::FORMULAS, ratio::FORMULAS, transient::FORMULAS].concat()
}
