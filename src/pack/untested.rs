//! What was not tested and why, and what is due and missing without a reason.

use super::plan::Entry;
use crate::record::due::{self, Due};

/// The same words about one or many CTs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Untested {
    /// `excitation on taps`
    pub scope: String,
    /// Empty where no reason is given.
    pub why: String,
    /// Indices into the plan.
    pub entries: Vec<usize>,
}

/// Everything not tested, what has no reason first.
pub fn untested(entries: &[Entry]) -> Vec<Untested> {
    let mut found: Vec<Untested> = Vec::new();
    for (index, entry) in entries.iter().enumerate() {
        for (scope, why) in missing(entry).into_iter().chain(omitted(entry)) {
            match found
                .iter_mut()
                .find(|known| known.scope == scope && known.why == why)
            {
                Some(known) if known.entries.last() != Some(&index) => known.entries.push(index),
                Some(_) => {}
                None => found.push(Untested {
                    scope,
                    why,
                    entries: vec![index],
                }),
            }
        }
    }
    found.sort_by_key(|untested| !untested.why.is_empty());
    found
}

/// `not done` lines of the job's visits.
fn omitted(entry: &Entry) -> Vec<(String, String)> {
    let lines = entry.visits().flat_map(|(_, visit)| {
        let inner = visit.tests.iter().flat_map(|test| {
            test.omissions
                .iter()
                .map(move |omission| (Some(test.kind.name()), omission))
        });
        visit
            .omissions
            .iter()
            .map(|omission| (None, omission))
            .chain(inner)
    });
    let said = lines.map(|(within, omission)| {
        let scope = &omission.scope.value;
        // A line inside a section speaks of that test even when it does not say so.
        let names_a_test = scope
            .split([' ', ','])
            .any(|word| word == "all" || crate::record::kinds::TestKind::of(word).is_some());
        let scope = within
            .filter(|_| !names_a_test)
            .map_or(scope.clone(), |kind| format!("{kind} {scope}"));
        (scope, omission.why.clone())
    });
    said.collect()
}

/// Due tests that are nowhere: after the last of the job's visits.
fn missing(entry: &Entry) -> Vec<(String, String)> {
    let record = entry.record();
    let lacking = |due: &Due| !entry.visits().any(|(_, visit)| due::is_done(visit, *due));
    let due: Vec<Due> = entry
        .visits()
        .flat_map(|(_, visit)| due::missing(record, visit))
        .filter(lacking)
        .collect();
    let said = due.iter().map(|due| {
        let core = record
            .cores
            .get(due.core)
            .map_or("", |core| core.name.as_str());
        (format!("{} {core}", due.kind.name()), String::new())
    });
    said.collect()
}
