//! Shared plates: the records that lend theirs to a `like:` of another, each read once and before those
//! that take it.

use super::gather::Text;
use super::paths::{here, is_record};
use super::setting::Setting;
use super::survey::Found;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::{Files, Kind};
use crate::record::like::{self, Lent, SharedPlates};
use crate::record::{self, Identity, Record};
use crate::syntax::{self, Tree};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// A text as lines and sections.
#[derive(Debug)]
pub(super) struct Parsed {
    pub text: Text,
    pub tree: Tree,
}

impl Parsed {
    /// Lines and sections of a text.
    pub fn of(mut text: Text) -> Self {
        let (tree, mut told) = syntax::read(&text.source, record::is_section);
        text.diagnostics.append(&mut told);
        Self { text, tree }
    }

    /// Its id as written, before anything is made of it.
    pub fn id(&self) -> Option<&str> {
        like::id(&self.text.source, &self.tree)
    }

    /// The ids of other CTs whose plates it asks for.
    pub fn asked(&self) -> impl Iterator<Item = &str> {
        like::asked(&self.text.source, &self.tree).filter(|id| self.id() != Some(*id))
    }

    /// The main CTs that feed it with their cores.
    pub fn feeders(&self) -> impl Iterator<Item = (&str, &str)> {
        like::feeders(&self.text.source, &self.tree)
    }

    /// Which CT it is of, and where that stands.
    pub fn identity(&self) -> Identity {
        record::identity(&self.text.source, &self.tree)
    }

    /// Reads its record.
    pub fn record(&self, plates: &SharedPlates<'_>) -> (Record, Vec<Diagnostic>) {
        record::read(&self.text.source, &self.tree, plates)
    }
}

/// The records that lend their plates, and the ids that a `like:` could have meant.
#[derive(Debug, Default)]
pub(super) struct Lenders {
    ids: BTreeSet<String>,
    read: BTreeMap<String, Lender>,
    /// Their ids by the paths of their records.
    places: BTreeMap<PathBuf, String>,
}

/// A record that lends its plate.
#[derive(Debug)]
pub(super) struct Lender {
    pub text: Text,
    pub record: Record,
    pub told: Vec<Diagnostic>,
}

impl Lenders {
    /// Those that records of a job ask for, among them or beside them.
    pub fn of(files: &dyn Files, root: &Path, found: &[Found]) -> Self {
        let asked: BTreeSet<&str> = found
            .iter()
            .flat_map(|one| &one.asked)
            .map(String::as_str)
            .collect();
        if asked.is_empty() {
            return Self::default();
        }
        let mut owners: BTreeMap<&str, usize> = BTreeMap::new();
        for (index, one) in found.iter().enumerate() {
            if let Some(id) = &one.written_id {
                owners.entry(id).or_insert(index);
            }
        }
        let beside = beside(files, root, found, &owners);
        let mut ids: BTreeSet<String> = owners.keys().map(|id| (*id).to_owned()).collect();
        ids.extend(beside.iter().filter_map(Parsed::id).map(str::to_owned));
        let mut beside: BTreeMap<String, Parsed> = beside
            .into_iter()
            .rev()
            .filter_map(|one| Some((one.id()?.to_owned(), one)))
            .collect();
        // Who lends may ask in turn.
        let mut lenders: BTreeMap<String, Parsed> = BTreeMap::new();
        let mut wanted: Vec<String> = asked.into_iter().map(str::to_owned).collect();
        let mut asked_for: BTreeSet<String> = BTreeSet::new();
        while let Some(id) = wanted.pop() {
            if !asked_for.insert(id.clone()) {
                continue;
            }
            let own = owners.get(id.as_str()).and_then(|index| found.get(*index));
            let own = own.and_then(|own| {
                let text = Text::read(files, &own.path, root, own.setting.clone()).ok()?;
                // What was changed since it was looked over lends nothing.
                (text.source.sha256 == own.sha256).then_some(text)
            });
            if let Some(one) = own.map(Parsed::of).or_else(|| beside.remove(&id)) {
                wanted.extend(one.asked().map(str::to_owned));
                lenders.insert(id, one);
            }
        }
        let gone = |id: &String| asked_for.contains(id) && !lenders.contains_key(id);
        ids.retain(|id| !gone(id));
        let read = in_order(&lenders, &ids);
        let read = lenders
            .into_iter()
            .zip(read)
            .filter_map(|((id, parsed), read)| {
                let (record, told) = read?;
                let text = parsed.text;
                Some((id, Lender { text, record, told }))
            });
        let read: BTreeMap<String, Lender> = read.collect();
        let places = read
            .iter()
            .map(|(id, one)| (one.text.path.clone(), id.clone()));
        let places = places.collect();
        Self { ids, read, places }
    }

    /// What tells the plates that records of these ids take over from all others, by the bytes of those that lend them.
    /// That nobody lends one is an error, told each time.
    pub fn stands_on<'a>(&self, asked: impl Iterator<Item = &'a String>) -> Vec<String> {
        let mut waits: Vec<&str> = asked.map(String::as_str).collect();
        let mut seen: BTreeMap<&str, &str> = BTreeMap::new();
        while let Some(id) = waits.pop() {
            if let Some(lender) = self.read.get(id)
                && seen.insert(id, &lender.text.source.sha256).is_none()
            {
                waits.extend(lender.record.written.lenders.keys().map(String::as_str));
            }
        }
        let all = seen.into_iter().flat_map(|(id, sum)| [id, sum]);
        all.map(str::to_owned).collect()
    }

    /// The files of the records that lend their plates to records of these ids.
    pub fn paths<'a>(&self, asked: impl Iterator<Item = &'a String>) -> BTreeSet<PathBuf> {
        let mut waits: Vec<&str> = asked.map(String::as_str).collect();
        let mut paths = BTreeSet::new();
        while let Some(id) = waits.pop() {
            if let Some(lender) = self.read.get(id)
                && paths.insert(lender.text.path.clone())
            {
                waits.extend(lender.record.written.lenders.keys().map(String::as_str));
            }
        }
        paths
    }

    /// The ids of those that lend, each with its file.
    pub fn all(&self) -> impl Iterator<Item = (&str, &Path)> {
        let all = self.read.iter();
        all.map(|(id, one)| (id.as_str(), one.text.path.as_path()))
    }

    /// The plates that are lent.
    pub fn plates(&self) -> SharedPlates<'_> {
        let mut plates = SharedPlates::of(&self.ids);
        for (id, lender) in &self.read {
            plates.lend(id, lent(&lender.record));
        }
        plates
    }

    /// A record that was read because it lends its plate.
    pub fn at(&self, path: &Path) -> Option<&Lender> {
        self.read.get(self.places.get(path)?)
    }
}

fn lent(record: &Record) -> Lent<'_> {
    let (cores, written) = (record.cores.as_slice(), &*record.written);
    Lent { cores, written }
}

/// The records of all lenders, in the order of the map: each after those that it asks. Of a circle somebody has to
/// begin, does without and is told.
fn in_order(
    lenders: &BTreeMap<String, Parsed>,
    ids: &BTreeSet<String>,
) -> Vec<Option<(Record, Vec<Diagnostic>)>> {
    let mut read: BTreeMap<&str, (Record, Vec<Diagnostic>)> = BTreeMap::new();
    let needs = |id: &str| -> Vec<&str> {
        let asked = lenders.get(id).into_iter().flat_map(Parsed::asked);
        let known = asked.filter_map(|id| lenders.get_key_value(id));
        known.map(|(id, _)| id.as_str()).collect()
    };
    for first in lenders.keys() {
        // The way from one lender to the next that is not read; one that is on it already stands in a circle.
        let mut way: Vec<(&str, Vec<&str>)> = vec![(first, needs(first))];
        let mut is_on_way: BTreeSet<&str> = BTreeSet::from([first.as_str()]);
        while let Some((id, waits)) = way.last_mut() {
            let id = *id;
            match waits.pop() {
                Some(next) if read.contains_key(next) || is_on_way.contains(next) => {}
                Some(next) => {
                    is_on_way.insert(next);
                    way.push((next, needs(next)));
                }
                None => {
                    if let Some(one) = lenders.get(id).filter(|_| !read.contains_key(id)) {
                        let mut plates = SharedPlates::of(ids);
                        for asked in needs(id) {
                            if let Some((record, _)) = read.get(asked) {
                                plates.lend(asked, lent(record));
                            }
                        }
                        let made = one.record(&plates);
                        read.insert(id, made);
                    }
                    is_on_way.remove(id);
                    way.pop();
                }
            }
        }
    }
    lenders.keys().map(|id| read.remove(id.as_str())).collect()
}

/// Records beside the given ones, where a `like:` asks for a CT that is not among them.
fn beside(
    files: &dyn Files,
    root: &Path,
    found: &[Found],
    owners: &BTreeMap<&str, usize>,
) -> Vec<Parsed> {
    let unknown = |one: &&Found| one.asked.iter().any(|id| !owners.contains_key(id.as_str()));
    let folders: BTreeSet<&Path> = found
        .iter()
        .filter(unknown)
        .filter_map(|one| one.path.parent())
        .collect();
    if folders.is_empty() {
        return Vec::new();
    }
    let own: BTreeSet<_> = found.iter().map(|one| files.resolve(&one.path)).collect();
    let listed = folders
        .into_iter()
        .flat_map(|folder| files.list(here(folder)).unwrap_or_default());
    let others = listed.filter(|(path, kind)| {
        *kind == Kind::File && is_record(path) && !own.contains(&files.resolve(path))
    });
    let text = |(path, _): (std::path::PathBuf, Kind)| {
        Text::read(files, &path, root, Setting::default()).ok()
    };
    others.filter_map(text).map(Parsed::of).collect()
}
