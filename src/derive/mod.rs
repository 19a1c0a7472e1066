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
mod kernel;
pub mod kinds;
pub mod knee;
pub mod sections;
pub mod simulate;
#[cfg(test)]
mod testing;
pub mod transient;

pub use kernel::{component, formula, formulas, outcome, workings};

use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::instruments::Instruments;
use crate::record::occasion;
use kernel::{crossing, num, pchip, root};

/// Everything derived from a record. All values are handles into `workings`.
#[derive(Clone, Debug)]
pub struct Values {
    pub workings: workings::Workings,
    /// One entry per visit of the record, in its order.
    pub visits: Vec<kinds::Derived>,
}

/// Derives what follows from the readings of a record.
pub fn values(record: &Record, instruments: Option<&Instruments>, criteria: &Criteria) -> Values {
    let mut workings = workings::Workings::new();
    let mut visits: Vec<kinds::Derived> = Vec::new();
    for case in case::Case::each(record, instruments, criteria) {
        let together = occasion::up_to(record, case.index).into_iter();
        let before = together.filter_map(|index| Some(visits.get(index)?.kept(index)));
        visits.push(kinds::visit(case, before.collect(), &mut workings));
    }
    Values { workings, visits }
}
