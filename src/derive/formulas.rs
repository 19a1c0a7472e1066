//! Every formula of the crate in one list.

use super::formula::AnyFormula;

/// All formulas, module by module.
#[must_use]
pub fn all() -> Vec<&'static dyn AnyFormula> {
    let modules: [&[&'static dyn AnyFormula]; 1] = [super::knee::FORMULAS];
    modules.concat()
}
