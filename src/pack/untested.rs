//! What was not tested and why, and what is due and missing without a reason.

use super::plan::Entry;
use crate::record::kinds::TestKind;
use std::collections::BTreeMap;

/// The same words about one or many CTs.
#[derive(Clone, Debug)]
pub struct Untested<'a> {
    /// `excitation on taps`
    pub scope: String,
    /// Empty where no reason is given.
    pub why: String,
    pub entries: Vec<&'a Entry>,
}

/// Everything not tested, what has no reason first.
pub fn untested(entries: &[Entry]) -> Vec<Untested<'_>> {
    let mut found: Vec<Untested<'_>> = Vec::new();
    let mut places: BTreeMap<(String, String), usize> = BTreeMap::new();
    for entry in entries {
        for (scope, why) in missing(entry).into_iter().chain(omitted(entry)) {
            let at = *places
                .entry((scope.clone(), why.clone()))
                .or_insert(found.len());
            match found.get_mut(at) {
                Some(known)
                    if known
                        .entries
                        .last()
                        .is_some_and(|last| std::ptr::eq(*last, entry)) => {}
                Some(known) => known.entries.push(entry),
                None => found.push(Untested {
                    scope,
                    why,
                    entries: vec![entry],
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
        let own = visit.omissions.iter().map(|omission| (None, omission));
        let inner = visit.tests.iter().flat_map(|test| {
            let within = Some(test.kind.name());
            test.omissions
                .iter()
                .map(move |omission| (within, omission))
        });
        own.chain(inner)
    });
    let said = lines.map(|(within, omission)| {
        let scope = &omission.scope.value;
        // A line inside a section speaks of that test even when it does not say so.
        let mut words = scope.split([' ', ',']);
        let names_a_test = words.any(|word| word == "all" || TestKind::of(word).is_some());
        let scope = match within.filter(|_| !names_a_test) {
            Some(kind) => format!("{kind} {scope}"),
            None => scope.clone(),
        };
        (scope, omission.why.clone())
    });
    said.collect()
}

/// What is due, and not shown without a reason.
fn missing(entry: &Entry) -> Vec<(String, String)> {
    let claims = entry.claims();
    let missing = claims.shown.iter().filter(|one| one.is_unexplained());
    let named = missing.map(|one| (entry.unit.plain(&claims.name(one)), String::new()));
    named.collect()
}
