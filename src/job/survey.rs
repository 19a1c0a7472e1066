//! A job looked over: which records it has, where their units stand, who belongs together. It holds little of
//! each, so that a job of any size can be compiled a few records at a time.

use super::compiled::Derived;
use super::feeders;
use super::gather::{Terms, Text};
use super::paths::{around, find};
use super::setting::{Setting, Settings};
use super::shared::{Lenders, Parsed};
use super::{Attached, Compiled, Diagnosed, Job, attached, changed};
use crate::derive::kindred::Kindred;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::seam::Files;
use crate::ground::source::Source;
use crate::ground::span::Located;
use crate::judge::Others;
use crate::record::alike::are_sisters;
use crate::record::attachments::Attachment;
use crate::record::jobs;
use crate::record::like::SharedPlates;
use crate::record::place::Place;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};

/// What a survey keeps of a record.
#[derive(Debug)]
pub struct Found {
    pub path: PathBuf,
    /// Its path as messages show it.
    pub name: String,
    /// SHA-256 of its bytes.
    pub sha256: String,
    pub id: Option<String>,
    /// Where the unit stands now.
    pub place: Option<Place>,
    pub setting: Setting,
    /// The files of its visits.
    pub attached: Vec<Attached>,
    /// The id as it stands in the text, and those that its `like:` lines name.
    pub(super) written_id: Option<String>,
    pub(super) asked: Vec<String>,
    /// The main CTs that feed it with their cores.
    pub(super) feeders: Vec<(String, String)>,
    /// Another record of the same id, as `file:line`.
    twin: Option<(Located<String>, String)>,
    /// Which of the kins it belongs to.
    kin: usize,
}

/// The records of a job.
pub struct Survey<'a> {
    files: &'a dyn Files,
    terms: Terms,
    /// In the order of their paths.
    pub found: Vec<Found>,
    /// Those that were asked for; the others are here for their sisters' sake.
    pub asked: Vec<usize>,
    /// The first record of each id.
    pub(super) ids: BTreeMap<String, usize>,
    /// The records that name each id as a main CT which feeds them, now or before.
    pub(super) fed: BTreeMap<String, Vec<usize>>,
    /// Records that are sisters of each other or feed each other, also by way of a third one.
    kins: Vec<Vec<usize>>,
    lenders: Lenders,
    /// Configuration files with something to say, and files that could not be read.
    pub others: Vec<Diagnosed>,
}

/// So many records of an order are begun at once, with the rest of their kins.
const AT_ONCE: usize = 48;

/// So far down the order the rest of a kin is made with the first of it, and kept until its turn comes.
const LOOKED_AHEAD: usize = 4 * AT_ONCE;

/// Sisters that a record is held against at most.
pub const MOST_SISTERS: usize = 48;

impl<'a> Survey<'a> {
    /// Looks over every record file under the paths.
    pub fn of(files: &'a dyn Files, paths: &[PathBuf], terms: Terms) -> Self {
        Self::over(files, find(files, paths), Vec::new(), terms)
    }

    /// The same, with the rest of the job of each: a record is judged among its sisters, whoever asks for it.
    pub fn among(files: &'a dyn Files, paths: &[PathBuf]) -> Self {
        let asked = find(files, paths);
        let around = around(files, paths, &asked.0);
        Self::over(files, asked, around, Terms::default())
    }

    /// The record of a file among those that an earlier survey named as its company.
    pub fn in_company(files: &'a dyn Files, path: &Path, company: Vec<PathBuf>) -> Self {
        let asked = (vec![path.to_owned()], Vec::new());
        Self::over(files, asked, company, Terms::default())
    }

    fn over(
        files: &'a dyn Files,
        (asked, mut others): (Vec<PathBuf>, Vec<Diagnosed>),
        around: Vec<PathBuf>,
        terms: Terms,
    ) -> Self {
        let mut settings = Settings::new(files, terms.job.clone());
        let mut placed = |paths: Vec<PathBuf>, is_asked: bool| -> Vec<(PathBuf, Setting, bool)> {
            let of = |path: PathBuf| {
                let setting = settings.of(path.parent().unwrap_or(Path::new("")));
                (path, setting, is_asked)
            };
            let placed = paths.into_iter().map(of).collect();
            // What lies around is not asked for, so that its faults are not told.
            let told = settings.others.drain(..);
            others.extend(told.filter(|_| is_asked));
            placed
        };
        let mut all = placed(asked, true);
        if !around.is_empty() {
            all.extend(placed(around, false));
            all.sort_by_cached_key(|(path, ..)| files.resolve(path));
        }
        let looked: Vec<(Result<Found, Box<Diagnosed>>, bool)> = all
            .into_par_iter()
            .map(|(path, setting, is_asked)| {
                let found = Found::of(files, &path, &terms, setting);
                let found = found.map(|(found, rows)| found.with(files, rows));
                (found, is_asked)
            })
            .collect();
        let (mut found, mut asked) = (Vec::with_capacity(looked.len()), Vec::new());
        for (one, is_asked) in looked {
            match one {
                Ok(one) => {
                    asked.extend(is_asked.then_some(found.len()));
                    found.push(one);
                }
                Err(told) if is_asked => others.push(*told),
                Err(_) => {}
            }
        }
        twins(&mut found);
        let ids = owners(&found);
        let fed = fed(&found);
        let kins = kins(&mut found, &ids);
        let lenders = Lenders::of(files, &terms.root, &found);
        Self {
            files,
            terms,
            found,
            asked,
            ids,
            fed,
            kins,
            lenders,
            others,
        }
    }

    /// All that compiling the kin of a record goes by beside the program and the terms of the job.
    pub fn stands_on(&self, index: usize) -> Vec<String> {
        let mut all = Vec::new();
        let mut asked = Vec::new();
        for one in self
            .kin(index)
            .iter()
            .filter_map(|index| self.found.get(*index))
        {
            all.extend([one.name.clone(), one.sha256.clone()]);
            all.push(
                one.twin
                    .as_ref()
                    .map_or(String::new(), |(_, at)| at.clone()),
            );
            all.extend(one.setting.stands_on());
            all.extend(one.attached.iter().map(Attached::stands_on));
            asked.extend(&one.asked);
        }
        all.extend(self.lenders.stands_on(asked.into_iter()));
        all
    }

    /// The other files that a record is compiled with: its kin, those that lend them plates, another one of its id. It
    /// holds as long as every plate that is asked for is lent: else any file to come might be the one.
    pub fn company(&self, index: usize) -> Vec<PathBuf> {
        let own = self.found.get(index);
        let kin = self.kin(index).iter();
        let kin: Vec<&Found> = kin.filter_map(|index| self.found.get(*index)).collect();
        let mut company = self.lenders.paths(kin.iter().flat_map(|one| &one.asked));
        let twin = |one: &&Found| own.is_some_and(|own| one.is_twin_of(own));
        let twin = self.found.iter().find(twin);
        company.extend(kin.into_iter().chain(twin).map(|one| one.path.clone()));
        company.retain(|path| own.is_none_or(|own| own.path != *path));
        company.into_iter().collect()
    }

    /// The ids whose plates are lent, each with the record that lends it.
    pub fn lenders(&self) -> impl Iterator<Item = (&str, &Path)> {
        self.lenders.all()
    }

    /// The bytes of a file of a visit.
    ///
    /// # Errors
    /// When it cannot be read, or was changed meanwhile.
    pub fn read(&self, attached: &Attached) -> io::Result<Vec<u8>> {
        attached.read(self.files)
    }

    /// The records that may be sisters of one, itself among them.
    pub fn kin(&self, index: usize) -> &[usize] {
        let kin = self.found.get(index).and_then(|one| self.kins.get(one.kin));
        kin.map_or(&[], Vec::as_slice)
    }

    /// Those of them that a record is held against: all, or of very many the nearest in the order of paths, so that
    /// a job of one great set takes time as one of small ones does.
    fn near(&self, index: usize) -> &[usize] {
        let kin = self.kin(index);
        let at = kin.binary_search(&index).unwrap_or_default();
        let last = kin.len().saturating_sub(MOST_SISTERS + 1);
        let first = at.saturating_sub(MOST_SISTERS / 2).min(last);
        let near = kin.get(first..).unwrap_or_default();
        near.get(..=MOST_SISTERS).unwrap_or(near)
    }

    /// The sisters of a record.
    pub fn sisters(&self, index: usize) -> impl Iterator<Item = &Found> {
        let sisters = self.sisters_of(index);
        sisters.filter_map(|other| self.found.get(other))
    }

    fn sisters_of(&self, index: usize) -> impl Iterator<Item = usize> {
        let own = self.found.get(index);
        let others = self.near(index).iter().copied();
        others.filter(move |other| {
            let beside = own.zip(self.found.get(*other));
            beside.is_some_and(|(own, other)| {
                // Two records of one id are one unit, told twice.
                let same = own.id.is_some() && own.id == other.id || own.path == other.path;
                let places = own.place.as_ref().zip(other.place.as_ref());
                !same && places.is_some_and(|(own, other)| are_sisters(own, other))
            })
        })
    }

    /// Compiles the records of an order, a few at a time, and hands each over with its kin. What is made of
    /// them in any order is taken in this one, and the records are dropped.
    pub fn each<T: Send>(
        &self,
        order: &[usize],
        make: impl Fn(usize, &Kin<'_>) -> T + Sync,
        take: impl FnMut(T),
    ) {
        let make = |now: &[usize], kin: &Kin<'_>| {
            let made = now.par_iter().map(|index| make(*index, kin));
            made.collect()
        };
        self.some(order, |_| None, make, take);
    }

    /// The same, where what is made of several shares something: hands over those of a kin together. One is made
    /// of each. Of those that something was made of before nothing is compiled.
    pub fn some<T: Send>(
        &self,
        order: &[usize],
        made_before: impl Fn(&[usize]) -> Option<Vec<T>> + Sync,
        make: impl Fn(&[usize], &Kin<'_>) -> Vec<T> + Sync,
        mut take: impl FnMut(T),
    ) {
        let plates = self.lenders.plates();
        let of_group = |group: &Vec<(usize, usize)>| -> Vec<(usize, T)> {
            let indices: Vec<usize> = group.iter().map(|(_, index)| *index).collect();
            let made = made_before(&indices).unwrap_or_else(|| {
                let compiled = self.compiled(&indices, &plates);
                let kin = Kin {
                    survey: self,
                    compiled: &compiled,
                };
                make(&indices, &kin)
            });
            debug_assert_eq!(made.len(), indices.len(), "one is made of each");
            let places = group.iter().map(|(at, _)| *at);
            places.zip(made).collect()
        };
        let kins = self.places(order);
        // What was made before its turn, by its place in the order.
        let mut ahead: BTreeMap<usize, T> = BTreeMap::new();
        for next in 0..order.len() {
            if !ahead.contains_key(&next) {
                let groups = self.groups(order, next, &kins, |at| ahead.contains_key(&at));
                let made: Vec<_> = groups.par_iter().map(of_group).collect();
                ahead.extend(made.into_iter().flatten());
            }
            if let Some(made) = ahead.remove(&next) {
                take(made);
            }
        }
    }

    /// Where in an order the records of each kin stand.
    fn places(&self, order: &[usize]) -> Vec<Vec<usize>> {
        let mut places: Vec<Vec<usize>> = vec![Vec::new(); self.kins.len()];
        for (at, index) in order.iter().enumerate() {
            let kin = self.found.get(*index).map(|one| one.kin);
            if let Some(kin) = kin.and_then(|kin| places.get_mut(kin)) {
                kin.push(at);
            }
        }
        places
    }

    /// Records of an order that are compiled next, each with its place in it; together those of a kin, since they
    /// are judged beside each other, and each kin once as far as possible.
    fn groups(
        &self,
        order: &[usize],
        from: usize,
        kins: &[Vec<usize>],
        is_made: impl Fn(usize) -> bool,
    ) -> Vec<Vec<(usize, usize)>> {
        let near = order.iter().enumerate().skip(from).take(AT_ONCE);
        let begun = near.filter(|(at, _)| !is_made(*at));
        let mut seen = BTreeSet::new();
        let begun = begun.filter_map(|(_, index)| {
            let kin = self.found.get(*index)?.kin;
            seen.insert(kin).then_some(kin)
        });
        let groups = begun.map(|kin| {
            let all = kins.get(kin).map_or(&[][..], Vec::as_slice);
            // What is far down the order waits, unless its kin is dearer than what is made of it.
            let end = match self.kins.get(kin).is_some_and(|kin| kin.len() > AT_ONCE) {
                true => usize::MAX,
                false => from + LOOKED_AHEAD,
            };
            let all = all.iter().copied();
            let now = all.filter(|at| (from..end).contains(at) && !is_made(*at));
            now.filter_map(|at| Some((at, *order.get(at)?))).collect()
        });
        groups.collect()
    }

    fn compiled(&self, now: &[usize], plates: &SharedPlates<'_>) -> BTreeMap<usize, Compiled> {
        let mut wanted: Vec<usize> = now
            .iter()
            .flat_map(|index| self.kin(*index))
            .copied()
            .collect();
        wanted.sort_unstable();
        wanted.dedup();
        let derived = wanted.into_par_iter().filter_map(|index| {
            let derived = self.derive(self.found.get(index)?, plates);
            // What nobody looks at is not made.
            let shown = (self.kin(index).len() > 1).then(|| derived.shown());
            Some((index, (derived, shown)))
        });
        let derived: BTreeMap<usize, _> = derived.collect();
        let (mut waiting, mut shown) = (Vec::new(), BTreeMap::new());
        for (index, (derived, kindred)) in derived {
            waiting.push((index, derived));
            shown.extend(kindred.map(|kindred| (index, kindred)));
        }
        let judged = waiting.into_par_iter().map(|(index, derived)| {
            let sisters = self.sisters_of(index);
            let sisters: Vec<&Kindred> = sisters.filter_map(|other| shown.get(&other)).collect();
            let mains = derived.mains().filter_map(|id| self.ids.get(id));
            let mains: Vec<&Kindred> = mains.filter_map(|main| shown.get(main)).collect();
            let others = Others {
                sisters: &sisters,
                mains: &mains,
            };
            (index, Compiled::new(derived, others))
        });
        judged.collect()
    }

    /// One record, as it is without its sisters.
    fn derive(&self, found: &Found, plates: &SharedPlates<'_>) -> Derived {
        let (mut text, record) = match self.lenders.at(&found.path) {
            Some(lender) => (
                lender.text.clone(),
                (lender.record.clone(), lender.told.clone()),
            ),
            None => {
                let parsed = Parsed::of(self.again(found));
                let record = parsed.record(plates);
                (parsed.text, record)
            }
        };
        let (mut record, mut told) = record;
        text.diagnostics.append(&mut told);
        feeders::take(self, found, plates, (&mut record, &mut text.diagnostics));
        if let Some((id, at)) = &found.twin {
            text.diagnostics.push(twin(id, at));
        }
        if let Some(jobs) = &text.setting.jobs {
            jobs::take_over(&mut record, jobs);
        }
        (self.terms.prepare)(&mut record, &mut text.diagnostics);
        // Of another text than the survey saw nothing is known.
        let is_same = text.source.sha256 == found.sha256;
        let attached = if is_same {
            found.attached.clone()
        } else {
            Vec::new()
        };
        attached::tell(&attached, &mut text.diagnostics);
        Derived::of(text, record, attached)
    }

    /// The text of a record, read a second time. It has to be what the survey saw.
    pub(super) fn again(&self, found: &Found) -> Text {
        let setting = found.setting.clone();
        let read = Text::read(self.files, &found.path, &self.terms.root, setting.clone());
        match read {
            Ok(text) if text.source.sha256 == found.sha256 => text,
            _ => Text {
                path: found.path.clone(),
                source: Source::new(&found.name, b"").0,
                diagnostics: vec![changed()],
                setting,
            },
        }
    }

    /// All that was asked for, compiled at once.
    pub fn job(self) -> Job {
        let asked = self.asked.clone();
        self.only(&asked, |index| asked.binary_search(&index).is_ok())
    }

    /// The record of a file, and what may be its sisters.
    pub fn around(self, path: &Path) -> Job {
        let own = self.found.iter().position(|one| one.path == path);
        let kin = own.map_or(Vec::new(), |own| self.kin(own).to_vec());
        self.only(&kin, |_| true)
    }

    fn only(self, indices: &[usize], keep: impl Fn(usize) -> bool) -> Job {
        let plates = self.lenders.plates();
        let records = self.compiled(indices, &plates).into_iter();
        let records = records.filter(|(index, _)| keep(*index));
        Job {
            records: records.map(|(_, one)| one).collect(),
            others: self.others,
        }
    }
}

/// Compiled records of a job, as many as are held at once.
pub struct Kin<'a> {
    survey: &'a Survey<'a>,
    compiled: &'a BTreeMap<usize, Compiled>,
}

impl<'a> Kin<'a> {
    /// A record.
    pub fn get(&self, index: usize) -> Option<&'a Compiled> {
        self.compiled.get(&index)
    }

    /// The other records that may be its sisters.
    pub fn others(&self, index: usize) -> impl Iterator<Item = (usize, &'a Compiled)> {
        let others = self.survey.near(index).iter();
        let others = others.filter(move |other| **other != index);
        others.filter_map(|other| Some((*other, self.compiled.get(other)?)))
    }
}

/// By what a record finds its company: while none of it changes, that stays the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bonds {
    id: Option<String>,
    written_id: Option<String>,
    asked: Vec<String>,
    feeders: Vec<(String, String)>,
    /// Site, bay and set.
    place: [Option<String>; 3],
}

impl Bonds {
    /// Those of a record by itself; `None` where it cannot be read.
    pub fn read(files: &dyn Files, path: &Path) -> Option<Self> {
        let found = Found::of(files, path, &Terms::default(), Setting::default());
        found.ok().map(|(found, _)| found.bonds())
    }
}

impl Found {
    pub fn bonds(&self) -> Bonds {
        let place = self.place.as_ref();
        let place = place.map(|place| [&place.site, &place.bay, &place.set]);
        Bonds {
            id: self.id.clone(),
            written_id: self.written_id.clone(),
            asked: self.asked.clone(),
            feeders: self.feeders.clone(),
            place: place.map_or([const { None }; 3], |all| {
                all.map(|one| one.value().cloned())
            }),
        }
    }

    /// Whether it is another record of the same id.
    fn is_twin_of(&self, other: &Self) -> bool {
        self.id.is_some() && self.id == other.id && self.path != other.path
    }

    /// What is read of a record, and the files that it names.
    fn of(
        files: &dyn Files,
        path: &Path,
        terms: &Terms,
        setting: Setting,
    ) -> Result<(Self, Vec<Attachment>), Box<Diagnosed>> {
        let text = Text::read(files, path, &terms.root, setting)?;
        let parsed = Parsed::of(text);
        let identity = parsed.identity();
        let written_id = parsed.id().map(str::to_owned);
        let asked = parsed.asked().map(str::to_owned).collect();
        let feeders = parsed.feeders();
        let feeders = feeders.map(|(id, core)| (id.to_owned(), core.to_owned()));
        let feeders = feeders.collect();
        let source = parsed.text.source;
        let id = identity.id.get();
        let at = id.map(|id| format!("{}:{}", source.name, source.line(id.span.start)));
        let found = Self {
            id: id.map(|id| id.value.clone()),
            // Its own place for now; see `twins`.
            twin: id.cloned().zip(at),
            place: identity.place,
            path: parsed.text.path,
            name: source.name,
            sha256: source.sha256,
            setting: parsed.text.setting,
            written_id,
            asked,
            attached: Vec::new(),
            feeders,
            kin: 0,
        };
        Ok((found, identity.attachments))
    }

    /// With the files that it names looked for.
    fn with(mut self, files: &dyn Files, rows: Vec<Attachment>) -> Self {
        self.attached = attached::find(files, &self.path, &self.setting.top, rows);
        self
    }
}

/// Of each record keeps only where another one of the same id is. Which of them is meant nobody can tell, so
/// that all of them are told.
fn twins(found: &mut [Found]) {
    let mut places: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (id, at) in found.iter().filter_map(|one| one.twin.as_ref()) {
        places.entry(id.value.clone()).or_default().push(at.clone());
    }
    for one in found {
        let Some((id, own)) = one.twin.take() else {
            continue;
        };
        let mut all = places.get(&id.value).into_iter().flatten();
        one.twin = all.find(|at| **at != own).map(|at| (id, at.clone()));
    }
}

fn twin(id: &Located<String>, at: &str) -> Diagnostic {
    let title = format!("another record has the id `{}`", id.value);
    Diagnostic::new(Code::IdDuplicate, id.span, title)
        .label(format!("also at {at}"))
        .help("one file holds one CT for its whole life; join the records, or correct the id")
}

/// The first record of each id.
fn owners(found: &[Found]) -> BTreeMap<String, usize> {
    let mut owners = BTreeMap::new();
    for (index, one) in found.iter().enumerate() {
        if let Some(id) = &one.id {
            owners.entry(id.clone()).or_insert(index);
        }
    }
    owners
}

/// Those that each main CT feeds, in their order.
fn fed(found: &[Found]) -> BTreeMap<String, Vec<usize>> {
    let mut fed: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (index, one) in found.iter().enumerate() {
        for (main, _) in &one.feeders {
            let all = fed.entry(main.clone()).or_default();
            if all.last() != Some(&index) {
                all.push(index);
            }
        }
    }
    fed
}

/// Puts records together that share a bay or a set or feed each other, and those that share one with these.
fn kins(found: &mut [Found], ids: &BTreeMap<String, usize>) -> Vec<Vec<usize>> {
    let mut of_key: BTreeMap<(Option<String>, String), usize> = BTreeMap::new();
    // Each points at one of its kin, the first of them at itself.
    let mut head: Vec<usize> = (0..found.len()).collect();
    for (index, one) in found.iter().enumerate() {
        let place = one.place.as_ref();
        let set = place.and_then(|place| place.set.value());
        let set = set.map(|set| (None, set.clone()));
        let bay = place.and_then(|place| place.site.value().zip(place.bay.value()));
        let bay = bay.map(|(site, bay)| (Some(site.clone()), bay.clone()));
        let keys = [set, bay].into_iter().flatten();
        let mut others: Vec<usize> = keys
            .map(|key| *of_key.entry(key).or_insert(index))
            .collect();
        others.extend(one.feeders.iter().filter_map(|(id, _)| ids.get(id)));
        for other in others {
            let (one, other) = (first_of(&mut head, index), first_of(&mut head, other));
            if let Some(place) = head.get_mut(one.max(other)) {
                *place = one.min(other);
            }
        }
    }
    let mut kins: Vec<Vec<usize>> = Vec::new();
    let mut numbers: BTreeMap<usize, usize> = BTreeMap::new();
    for (index, one) in found.iter_mut().enumerate() {
        let number = *numbers
            .entry(first_of(&mut head, index))
            .or_insert_with(|| {
                kins.push(Vec::new());
                kins.len() - 1
            });
        one.kin = number;
        if let Some(kin) = kins.get_mut(number) {
            kin.push(index);
        }
    }
    kins
}

/// The first of a kin; what points at it is made to do so directly.
fn first_of(head: &mut [usize], index: usize) -> usize {
    let mut at = index;
    while let Some(next) = head.get(at).copied().filter(|next| *next != at) {
        at = next;
    }
    if let Some(place) = head.get_mut(index) {
        *place = at;
    }
    at
}
