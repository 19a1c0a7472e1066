//! Why winding resistances are as they are.

mod conditions;
mod families;

pub(super) use families::families;

use super::evidence::Evidence;
use super::hypothesis::Hypothesis;
use crate::judge::assess::Judging;

/// All that is known to move winding resistances.
pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let mut all = Vec::new();
    all.extend(conditions::temperature(j, evidence));
    all
}
