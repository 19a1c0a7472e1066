//! The physics: formulas as data, and the ledger that is both trace and chain rule. Pure
//! computation in SI units: no files, no words for people beyond the names of what is computed.

pub mod accuracy;
pub mod case;
pub mod conductor;
pub mod curve;
mod deriving;
mod error_bound;
mod excitation;
pub mod expected;
pub mod flux_curve;
pub mod history;
mod kernel;
pub mod kindred;
pub mod kinds;
pub mod knee;
pub mod sections;
pub mod simulate;
#[cfg(test)]
mod testing;
pub mod transient;

pub use kernel::{component, formula, formulas, label, outcome, workings};

use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::instruments::Instruments;
use crate::record::occasion;
use kernel::{crossing, num, pchip, root};
use std::sync::Arc;

/// Everything derived from a record. All values are handles into `workings`.
#[derive(Clone, Debug)]
pub struct Values {
    pub workings: workings::Workings,
    /// One entry per visit of the record, in its order.
    pub visits: Vec<kinds::Derived>,
}

/// Derives what follows from the readings of a record.
pub fn values(record: &Record, instruments: Option<&Instruments>, criteria: &Criteria) -> Values {
    let tests = record.visits.iter().flat_map(|visit| &visit.tests);
    let readings = tests.map(|test| test.readings.len()).sum();
    let mut workings = workings::Workings::with_room(readings);
    let mut visits: Vec<kinds::Derived> = Vec::new();
    let mut kept = Vec::new();
    for case in case::Case::each(record, instruments, criteria) {
        let first = occasion::up_to(record, case.index).start;
        kept.retain(|before: &Arc<kinds::Before>| before.visit >= first);
        let derived = kinds::visit(case, kept.clone(), &mut workings);
        // What nobody can rest on is not kept.
        if occasion::are_together(record, case.index, case.index + 1) {
            kept.push(Arc::new(derived.kept(case.index)));
        }
        visits.push(derived);
    }
    Values { workings, visits }
}
