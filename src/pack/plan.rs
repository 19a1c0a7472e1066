//! The order of the pack: CTs grouped by what `order` says, each with a file name of its own, and the
//! visits that belong to the job.

use super::config::{Config, Key};
use super::natural;
use crate::ground::date::Date;
use crate::job::Compiled;
use crate::record::Record;
use crate::record::visit::Visit;
use crate::trade::Purpose;
use std::cmp::Ordering;
use std::collections::BTreeSet;

/// One CT in the pack.
#[derive(Debug)]
pub struct Entry {
    pub unit: Compiled,
    /// File name without its ending, unique in the pack.
    pub slug: String,
    /// As people call it: its id, or the record's file where it has none.
    pub name: String,
    /// Heading under which it stands: `Skerrow 132 kV, H07`; empty when the place is not stated.
    pub group: String,
    /// What tells it from the others of its group: its phase, or what it is the spare of.
    pub position: String,
    /// Indices of the visits of this job, oldest first.
    pub visits: Vec<usize>,
}

impl Entry {
    pub fn record(&self) -> &Record {
        &self.unit.record
    }

    /// The job's visits with their indices.
    pub fn visits(&self) -> impl DoubleEndedIterator<Item = (usize, &Visit)> {
        self.visits.iter().filter_map(|&index| {
            self.unit
                .record
                .visits
                .get(index)
                .map(|visit| (index, visit))
        })
    }
}

/// All CTs in the order of the pack.
pub fn plan(units: Vec<Compiled>, config: &Config, slug: impl Fn(&str) -> String) -> Vec<Entry> {
    let mut units = units;
    // A stable sort by path first, so that the order never depends on how the folder was listed.
    units.sort_by(|a, b| a.path.cmp(&b.path));
    units.sort_by(|a, b| by_keys(a, b, &config.order));
    let mut taken = BTreeSet::new();
    let issued = config.issued.map(|issued| issued.value);
    let entry = |unit: Compiled| {
        let name = name(&unit);
        let slug = unique(slug(&name), &mut taken);
        let (group, position) = place(&unit.record);
        let visits = of_job(&unit.record, config, issued);
        Entry {
            unit,
            slug,
            name,
            group,
            position,
            visits,
        }
    };
    units.into_iter().map(entry).collect()
}

fn name(unit: &Compiled) -> String {
    match unit.record.plate.id.value() {
        Some(id) => id.clone(),
        None => unit
            .path
            .file_stem()
            .map(|stem| stem.to_string_lossy().into_owned())
            .unwrap_or_default(),
    }
}

fn unique(wanted: String, taken: &mut BTreeSet<String>) -> String {
    let numbered = (2..).map(|n: usize| format!("{wanted}-{n}"));
    let free = std::iter::once(wanted.clone())
        .chain(numbered)
        .find(|name| !taken.contains(name))
        .unwrap_or(wanted);
    taken.insert(free.clone());
    free
}

fn by_keys(a: &Compiled, b: &Compiled, keys: &[Key]) -> Ordering {
    let each = keys.iter().map(|key| {
        let (x, y) = (key_text(a, *key), key_text(b, *key));
        // What does not say where it stands comes last.
        x.is_empty()
            .cmp(&y.is_empty())
            .then_with(|| natural::compare(&x, &y))
    });
    each.fold(Ordering::Equal, Ordering::then)
}

fn key_text(unit: &Compiled, key: Key) -> String {
    let place = unit.record.place();
    let text = match key {
        Key::Site => place.and_then(|place| place.site.value()),
        Key::Bay => place.and_then(|place| place.bay.value()),
        Key::Phase => place.and_then(|place| place.phase.value()),
        Key::Set => place.and_then(|place| place.set.value()),
        Key::Id => unit.record.plate.id.value(),
        Key::File => return unit.source.name.clone(),
    };
    text.cloned().unwrap_or_default()
}

fn place(record: &Record) -> (String, String) {
    let Some(place) = record.place() else {
        return Default::default();
    };
    let group: Vec<&str> = [place.site.value(), place.bay.value()]
        .into_iter()
        .flatten()
        .map(String::as_str)
        .collect();
    let spare = place.spare_for.value().map(|of| format!("spare for {of}"));
    (
        group.join(", "),
        place.phase.value().cloned().or(spare).unwrap_or_default(),
    )
}

/// The visits a pack speaks of: those that name one of its jobs; else the last one that is not the
/// maker's, with what it retests or investigates.
fn of_job(record: &Record, config: &Config, issued: Option<Date>) -> Vec<usize> {
    let counts = |visit: &Visit| {
        visit.purpose() != Purpose::Factory && issued.is_none_or(|day| visit.date.value <= day)
    };
    let own: Vec<usize> = record
        .visits
        .iter()
        .enumerate()
        .filter(|(_, visit)| counts(visit))
        .map(|(index, _)| index)
        .collect();
    let visit = |index: &usize| record.visits.get(*index);
    let named: Vec<usize> = own
        .iter()
        .copied()
        .filter(|index| {
            visit(index)
                .and_then(|visit| visit.job.value())
                .is_some_and(|job| config.jobs.contains_key(job))
        })
        .collect();
    if !named.is_empty() {
        return named;
    }
    let whole = |index: &usize| {
        visit(index).is_some_and(|visit| {
            !matches!(visit.purpose(), Purpose::Retest | Purpose::Investigation)
        })
    };
    let from = own.iter().rposition(whole).unwrap_or(0);
    own.split_at(from).1.to_vec()
}
