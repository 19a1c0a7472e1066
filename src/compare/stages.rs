//! What was found on a day, cured, and made again: each value as found beside the same as left.

use super::history::{Change, change};
use crate::document::Grade;
use crate::judge::Assessment;
use crate::judge::finding::Finding;
use crate::record::Record;
use crate::record::criteria::Criteria;

/// A finding of what was found, and what became of it.
#[derive(Clone, Debug)]
pub struct Cured<'a> {
    pub found: &'a Finding,
    /// The same as left; `None` where nothing of it was read again, and for a cause, which is gone with its
    /// readings.
    pub left: Option<&'a Finding>,
    /// From the one to the other; `None` where the two cannot be compared.
    pub change: Option<Change>,
}

/// What a visit found and made again: values, and what was wrong.
pub fn cured<'a>(
    record: &Record,
    assessment: &'a Assessment,
    criteria: &Criteria,
    visit: usize,
) -> Vec<Cured<'a>> {
    let of = |visit: usize| assessment.visits.get(visit).map(|one| &one.findings);
    let is_found = record.visits.get(visit).is_some_and(|one| one.as_found());
    let (Some(found), Some(left), true) = (of(visit), of(visit + 1), is_found) else {
        return Vec::new();
    };
    let own = found.iter().filter(|one| one.section.is_some());
    let told = own.filter(|one| one.known().is_some() || one.grade() >= Grade::Review);
    let beside = told.map(|found| {
        let same = left.iter().find(|left| found.is_same(left));
        Cured {
            found,
            left: same,
            change: same
                .and_then(|left| change(&assessment.workings, criteria, (found, left), true)),
        }
    });
    let worth = beside.filter(|one| match one.left {
        Some(left) => one.found.known().is_some() || left.grade() != one.found.grade(),
        None => one.found.grade() >= Grade::Review,
    });
    worth.collect()
}
