//! Every formula of the crate in one list.

use super::formula::AnyFormula;
use super::kinds::{
    self, burden, demagnetisation, insulation, protection, ratio, resistance, self_check,
};
use super::{accuracy, error_bound, excitation, knee, transient};

/// All formulas, module by module.
#[must_use]
pub fn all() -> Vec<&'static dyn AnyFormula> {
    [
        accuracy::FORMULAS,
        burden::FORMULAS,
        demagnetisation::FORMULAS,
        error_bound::FORMULAS,
        excitation::FORMULAS,
        insulation::FORMULAS,
        knee::FORMULAS,
        protection::FORMULAS,
        ratio::FORMULAS,
        resistance::FORMULAS,
        self_check::FORMULAS,
        &kinds::duty::FORMULAS.concat(),
        &kinds::excitation::FORMULAS.concat(),
        transient::FORMULAS,
    ]
    .concat()
}
