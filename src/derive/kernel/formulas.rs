//! Every formula of the crate in one list. A test holds the modules named here against the sources.

use super::formula::{AnyFormula, Formulas};
use crate::derive::kinds::{
    burden, demagnetisation, duty, excitation as curve, injection, insulation, load, overall,
    primary_resistance, protection, ratio, resistance, self_check, stability,
};
use crate::derive::{accuracy, error_bound, excitation, history, knee, transient};

static MODULES: [&Formulas; 23] = [
    &accuracy::FORMULAS,
    &burden::FORMULAS,
    &demagnetisation::FORMULAS,
    &error_bound::FORMULAS,
    &excitation::FORMULAS,
    &history::FORMULAS,
    &injection::FORMULAS,
    &insulation::FORMULAS,
    &load::FORMULAS,
    &knee::FORMULAS,
    &overall::FORMULAS,
    &primary_resistance::FORMULAS,
    &protection::knee::FORMULAS,
    &protection::relay::FORMULAS,
    &protection::transient::FORMULAS,
    &ratio::formulas::FORMULAS,
    &resistance::FORMULAS,
    &self_check::FORMULAS,
    &stability::FORMULAS,
    &duty::load::FORMULAS,
    &duty::needs::FORMULAS,
    &curve::against::FORMULAS,
    &transient::FORMULAS,
];

/// All formulas, module by module.
#[must_use]
pub fn all() -> Vec<&'static dyn AnyFormula> {
    let lists = MODULES.iter().map(|module| module.list);
    lists.flatten().copied().collect()
}

/// Paths of the modules whose formulas are listed.
pub fn modules() -> impl Iterator<Item = &'static str> {
    MODULES.iter().map(|module| module.module)
}
