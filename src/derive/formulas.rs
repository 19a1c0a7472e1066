//! Every formula of the crate in one list.

use super::formula::AnyFormula;
use super::{accuracy, error_bound, excitation, knee, tests, transient};

/// All formulas, module by module.
#[must_use]
pub fn all() -> Vec<&'static dyn AnyFormula> {
    [
        accuracy::FORMULAS,
        error_bound::FORMULAS,
        excitation::FORMULAS,
        knee::FORMULAS,
        transient::FORMULAS,
        tests::excitation::FORMULAS,
        tests::protection::FORMULAS,
    ]
    .concat()
}
