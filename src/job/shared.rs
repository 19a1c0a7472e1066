//! Texts to records, in the order that `like:` asks for: the record that lends its plate before the
//! one that takes it, and each read once.

use super::gather::Text;
use super::paths::{here, is_record, shown};
use super::setting::Setting;
use crate::ground::diagnostic::sort;
use crate::ground::seam::Files;
use crate::ground::source::Source;
use crate::record::like::{self, Lent, SharedPlates};
use crate::record::{self, Record};
use crate::syntax::{self, Tree};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::OnceLock;

/// A text as lines and sections.
#[derive(Debug)]
pub struct Parsed {
    pub text: Text,
    pub tree: Tree,
}

impl Parsed {
    /// Its id as written, before anything is made of it.
    fn id(&self) -> Option<&str> {
        like::id(&self.text.source, &self.tree)
    }

    /// The ids of other CTs whose plates it asks for.
    fn asked(&self) -> impl Iterator<Item = &str> {
        like::asked(&self.text.source, &self.tree).filter(|id| self.id() != Some(*id))
    }
}

/// Lines and sections of a text.
pub fn parse(mut text: Text) -> Parsed {
    let (tree, mut told) = syntax::read(&text.source, record::is_section);
    text.diagnostics.append(&mut told);
    Parsed { text, tree }
}

/// Reads the records. Those beside them lend their plates when a `like:` asks for one.
pub fn read(files: &dyn Files, mut parsed: Vec<Parsed>) -> Vec<(Text, Record)> {
    let given = parsed.len();
    parsed.append(&mut neighbours(files, &parsed));
    let records = in_order(&parsed, given);
    let texts = parsed.into_iter().map(|parsed| parsed.text);
    let finish = |(mut text, read): (Text, Option<Read>)| {
        let (record, mut told) = read?;
        text.diagnostics.append(&mut told);
        sort(&mut text.diagnostics);
        Some((text, record))
    };
    texts.zip(records).take(given).filter_map(finish).collect()
}

type Read = (Record, Vec<crate::ground::diagnostic::Diagnostic>);

/// All of the first `given`, and of the others those that somebody asks for.
fn in_order(parsed: &[Parsed], given: usize) -> Vec<Option<Read>> {
    let mut owners: BTreeMap<&str, usize> = BTreeMap::new();
    for (index, one) in parsed.iter().enumerate() {
        if let Some(id) = one.id() {
            owners.entry(id).or_insert(index);
        }
    }
    let needs = |one: &Parsed| -> Vec<usize> {
        let lenders = one.asked().filter_map(|id| owners.get(id));
        lenders.copied().collect()
    };
    let lenders: BTreeSet<usize> = parsed.iter().flat_map(needs).collect();
    let mut waiting: Vec<(usize, &Parsed, Vec<usize>)> = parsed
        .iter()
        .enumerate()
        .filter(|(index, _)| *index < given || lenders.contains(index))
        .map(|(index, one)| (index, one, needs(one)))
        .collect();
    let records: Vec<OnceLock<Read>> = parsed.iter().map(|_| OnceLock::new()).collect();
    let made = |index: usize| records.get(index).and_then(OnceLock::get);
    let mut plates = SharedPlates::default();
    owners.keys().for_each(|id| plates.lend(id, None));
    while !waiting.is_empty() {
        let is_read = |index: &usize| made(*index).is_some();
        let (mut ready, mut rest): (Vec<_>, Vec<_>) = waiting
            .into_iter()
            .partition(|(_, _, needs)| needs.iter().all(is_read));
        if ready.is_empty() {
            ready.push(rest.remove(of_circle(&rest)));
        }
        ready.par_iter().for_each(|(index, one, _)| {
            let read = || record::read(&one.text.source, &one.tree, &plates);
            if let Some(place) = records.get(*index) {
                place.get_or_init(read);
            }
        });
        for (index, one, _) in ready {
            let own = one.id().filter(|id| owners.get(id) == Some(&index));
            if let (Some(id), Some((record, _))) = (own, made(index)) {
                let (cores, written) = (record.cores.as_slice(), &*record.written);
                plates.lend(id, Some(Lent { cores, written }));
            }
        }
        waiting = rest;
    }
    drop(plates);
    records.into_iter().map(OnceLock::into_inner).collect()
}

/// Where in the list a record of a circle is, so that it does without and is told: the way from the
/// first one, lender by lender, comes back to it. Somebody has to begin.
fn of_circle(waiting: &[(usize, &Parsed, Vec<usize>)]) -> usize {
    let mut seen = BTreeSet::new();
    let mut at = 0;
    while seen.insert(at) {
        let lenders = waiting.get(at).map_or(&[][..], |(_, _, needs)| needs);
        let waits = |(index, _, _): &(usize, &Parsed, Vec<usize>)| lenders.contains(index);
        at = waiting.iter().position(waits).unwrap_or(at);
    }
    at
}

/// Records beside the given ones, where a `like:` asks for a CT that is not among them.
fn neighbours(files: &dyn Files, given: &[Parsed]) -> Vec<Parsed> {
    let known: BTreeSet<&str> = given.iter().filter_map(Parsed::id).collect();
    let folders: BTreeSet<&Path> = given
        .iter()
        .filter(|one| one.asked().any(|id| !known.contains(id)))
        .filter_map(|one| one.text.path.parent())
        .collect();
    if folders.is_empty() {
        return Vec::new();
    }
    let own: BTreeSet<_> = given
        .iter()
        .map(|one| files.resolve(&one.text.path))
        .collect();
    let listed = folders
        .into_iter()
        .flat_map(|folder| files.list(here(folder)).unwrap_or_default());
    let others = listed.filter(|(path, is_folder)| {
        !is_folder && is_record(path) && !own.contains(&files.resolve(path))
    });
    let read = |(path, _): (std::path::PathBuf, bool)| {
        let (source, diagnostics) = Source::new(&shown(&path), &files.read(&path).ok()?);
        Some(parse(Text {
            path,
            source,
            diagnostics,
            setting: Setting::default(),
        }))
    };
    others.filter_map(read).collect()
}
