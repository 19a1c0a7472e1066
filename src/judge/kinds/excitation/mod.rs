//! Excitation: the knees, the way the curve was taken, the curve against an earlier one.

mod knees;
pub(in crate::judge) mod primary_loop;
pub(in crate::judge) mod reference;
mod work;

use crate::judge::assess::Judging;
use crate::judge::finding::Finding;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for excited in &j.derived.excitation {
        knees::judge(j, excited, out);
        work::judge(j, excited, out);
        reference::judge(j, excited, out);
    }
}

#[cfg(test)]
pub(super) mod tests;
