//! What was not tested and why, and what is due and missing without a reason.

use super::plan::Entry;
use crate::record::kinds::TestKind;
use std::collections::BTreeMap;

/// What was not tested, and why; the reason is empty where none is given.
pub type Untested = (String, String);

/// Everything of one CT that was not tested.
pub fn of(entry: &Entry<'_>) -> Vec<Untested> {
    let all = missing(entry).into_iter().chain(omitted(entry));
    let mut found: Vec<Untested> = Vec::new();
    for one in all {
        if !found.contains(&one) {
            found.push(one);
        }
    }
    found
}

/// What was not tested on all the CTs of a pack. Most of them lack the same.
#[derive(Debug, Default)]
pub struct All {
    /// In the order in which it was found first, with the places of the CTs among all.
    found: Vec<(Untested, Vec<usize>)>,
    places: BTreeMap<Untested, usize>,
}

impl All {
    /// Takes what was not tested on a CT.
    pub fn add(&mut self, ct: usize, untested: Vec<Untested>) {
        for one in untested {
            let at = self.places.get(&one).copied().unwrap_or_else(|| {
                self.found.push((one.clone(), Vec::new()));
                self.found.len() - 1
            });
            if let Some((_, cts)) = self.found.get_mut(at) {
                cts.push(ct);
            }
            self.places.entry(one).or_insert(at);
        }
    }

    /// The same words about one or many CTs, what has no reason first.
    pub fn joined(&self) -> Vec<(Untested, &[usize])> {
        // What one reason leaves out of the same CTs is one thing to read.
        let mut alike: Vec<(Untested, &[usize])> = Vec::new();
        for ((scope, why), cts) in &self.found {
            let same = |(known, of): &&mut (Untested, &[usize])| known.1 == *why && of == cts;
            match alike.iter_mut().find(same) {
                Some(((scopes, _), _)) => *scopes = format!("{scopes}; {scope}"),
                None => alike.push(((scope.clone(), why.clone()), cts)),
            }
        }
        alike.sort_by_key(|((_, why), _)| !why.is_empty());
        alike
    }
}

/// `not done` lines of the job's visits.
fn omitted(entry: &Entry<'_>) -> Vec<Untested> {
    let lines = entry.visits().flat_map(|(_, visit)| {
        let own = visit.omissions.iter().map(|omission| (None, omission));
        let inner = visit.own_tests().flat_map(|test| {
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
fn missing(entry: &Entry<'_>) -> Vec<Untested> {
    let claims = entry.claims();
    let missing = claims.shown.iter().filter(|one| one.is_unexplained());
    let named = missing.map(|one| (entry.unit.shown(&claims.name(one)), String::new()));
    named.collect()
}
