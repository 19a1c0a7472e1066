//! demagnetisation

use crate::judge::assess::Judging;

/// Judges all of a visit.
pub fn judge(_j: &mut Judging<'_>) {}
