//! Limits and constants that are one number each, and the lists of standard values.

use std::sync::LazyLock;

use super::cited::{Threshold, ValueList};
use super::store::rows;

static THRESHOLDS: LazyLock<Vec<Threshold>> = LazyLock::new(|| rows("threshold"));
static VALUES: LazyLock<Vec<ValueList>> = LazyLock::new(|| rows("values"));

/// A single number by its stable id, of whichever file.
#[must_use]
pub fn threshold(id: &str) -> Option<&'static Threshold> {
    THRESHOLDS.iter().find(|row| row.cited.id == id)
}

/// A list of standard values by its stable id.
#[must_use]
pub fn values(id: &str) -> Option<&'static ValueList> {
    VALUES.iter().find(|row| row.cited.id == id)
}
