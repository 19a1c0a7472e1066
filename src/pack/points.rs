//! Open points: actions of the records that no later line has closed.

use super::plan::Entry;
use crate::judge::finding::Finding;
use crate::record::visit::Action;
use crate::trade::Pair;

/// One open point. Empty texts are "not stated".
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Point {
    /// Index into the plan.
    pub entry: usize,
    pub label: String,
    pub what: String,
    pub by: String,
    pub until: String,
    /// The visit that raised it.
    pub raised: String,
}

/// Open points of all CTs: those with a day first, by that day, then in the order of the pack.
pub fn points(entries: &[Entry]) -> Vec<Point> {
    let mut found: Vec<Point> = entries
        .iter()
        .enumerate()
        .flat_map(|(index, entry)| open(index, entry))
        .collect();
    found.sort_by(|a, b| {
        a.until
            .is_empty()
            .cmp(&b.until.is_empty())
            .then_with(|| a.until.cmp(&b.until))
            .then(a.entry.cmp(&b.entry))
    });
    found
}

/// Open points of one CT, from all its visits: they travel with the record until closed.
fn open(of: usize, entry: &Entry) -> Vec<Point> {
    let visits = &entry.record().visits;
    let closed = |from: usize, label: &str| {
        visits
            .iter()
            .skip(from)
            .flat_map(|visit| &visit.closed)
            .any(|closed| closed.value.0 == label)
    };
    let mut found = Vec::new();
    for (index, visit) in visits.iter().enumerate() {
        let still = visit
            .actions
            .iter()
            .filter(|action| !closed(index, &action.label));
        found.extend(still.map(|action| point(of, action, visit.name())));
    }
    found
}

fn point(entry: usize, action: &Action, raised: String) -> Point {
    let (label, what) = (action.label.clone(), action.what.clone());
    Point {
        entry,
        label,
        what,
        by: action.by.clone(),
        until: action.until.clone(),
        raised,
    }
}

/// Open points that name what a finding speaks of: its pair, or its core together with its test.
pub fn about(of: usize, entry: &Entry, finding: &Finding) -> Vec<Point> {
    let record = entry.record();
    let pair = finding
        .pair
        .map(Pair::ascending)
        .map(|pair| record.pair_text(pair));
    let core = finding
        .core
        .and_then(|core| record.cores.get(core))
        .map(|core| core.name.as_str());
    let names = |what: &str, word: &str| {
        what.split(|c: char| !c.is_alphanumeric() && c != '-')
            .any(|part| part == word)
    };
    let speaks = |point: &Point| {
        let by_pair = pair.as_ref().is_some_and(|pair| names(&point.what, pair));
        let by_core = core.is_none_or(|core| names(&point.what, core))
            && names(&point.what, finding.rule.kind.name());
        by_pair || by_core
    };
    open(of, entry).into_iter().filter(speaks).collect()
}
