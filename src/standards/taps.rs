//! IEEE multi-ratio windings: five terminals, four sections, ten pairs.

use std::sync::LazyLock;

use serde::Deserialize;

use super::cited::Cited;
use super::store::rows;

/// One standard multi-ratio winding at a rated secondary current of 5 A. A pair of terminals has
/// the turns of the sections between them.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct TapTable {
    /// Ratio of the full winding, such as `1200:5`.
    pub full: String,
    /// Turns X1-X2, X2-X3, X3-X4, X4-X5.
    pub sections: Vec<u32>,
    /// Pairs that repeat a ratio and are not in the printed table, such as `X3-X5`.
    pub unprinted: Vec<String>,
    #[serde(flatten)]
    pub cited: Cited,
}

static WINDINGS: LazyLock<Vec<TapTable>> = LazyLock::new(|| rows("tap"));

/// All standard multi-ratio windings.
#[must_use]
pub fn tap_tables() -> &'static [TapTable] {
    &WINDINGS
}
