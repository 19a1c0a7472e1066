//! The charts of a core.

use super::Ctx;
use super::cores::Chart;
use crate::record::tests::TestKind;

impl Ctx<'_> {
    /// The charts of a core at a visit, each with the test it belongs to.
    pub(super) fn figures(&self, _visit: usize, _core: usize) -> Vec<(TestKind, Chart, String)> {
        Vec::new()
    }
}
