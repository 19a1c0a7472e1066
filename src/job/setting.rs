//! What holds in a folder: the nearest `instruments.toml` and `criteria.toml` at or above it, but none from outside
//! its job, and what visits take over from the `pack.toml` of that.

use super::Diagnosed;
use super::paths::{JOB, here, job_of, left_out, not_used, shown, top_of, unreadable};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::Files;
use crate::ground::source::Source;
use crate::judge::requirement::read_criteria;
use crate::record::criteria::Criteria;
use crate::record::instruments::{self, Instruments};
use crate::record::jobs::{self, Jobs};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

const INSTRUMENTS: &str = "instruments.toml";
const CRITERIA: &str = "criteria.toml";

/// The configuration that a record is compiled with.
#[derive(Clone, Debug, Default)]
pub struct Setting {
    pub instruments: Option<Arc<Instruments>>,
    pub criteria: Arc<Criteria>,
    /// What visits take over.
    pub jobs: Option<Arc<Jobs>>,
    /// The files of instruments and criteria, by their paths below the folder of the job.
    pub names: [String; 2],
    /// Where that of the instruments lies.
    pub instruments_at: Option<PathBuf>,
    /// The folder of the job: nothing beyond it is read for a record.
    pub(super) top: PathBuf,
}

impl Setting {
    pub fn parts(&self) -> (Option<&Instruments>, &Criteria) {
        (self.instruments.as_deref(), &self.criteria)
    }

    /// What tells it from every other.
    pub(super) fn stands_on(&self) -> [String; 8] {
        let instruments = self.instruments.as_ref();
        let instruments = instruments.map_or("none", |known| &known.sha256).to_owned();
        let [of_instruments, of_criteria] = self.names.clone();
        let criteria = self.criteria.sha256.clone();
        // A file that cannot be read has the sum of an empty one.
        let jobs = self.jobs.as_ref();
        let of_jobs = jobs.map_or("none", |known| &known.sha256).to_owned();
        let [known, rule, jobs] = [
            self.instruments.as_ref().is_some_and(|known| known.broken),
            self.criteria.broken,
            jobs.is_some_and(|known| known.broken),
        ]
        .map(|broken| broken.to_string());
        [
            of_instruments,
            instruments,
            known,
            of_criteria,
            criteria,
            rule,
            of_jobs,
            jobs,
        ]
    }

    /// Whether one of its files could not be read as a whole.
    pub fn is_broken(&self) -> bool {
        let instruments = self.instruments.as_ref();
        self.criteria.broken
            || instruments.is_some_and(|known| known.broken)
            || self.jobs.as_ref().is_some_and(|jobs| jobs.broken)
    }
}

/// The settings of all folders. Each configuration file is read once.
pub(super) struct Settings<'a> {
    files: &'a dyn Files,
    /// The folder of the job and what visits take over there, where that is known.
    job: Option<(PathBuf, Arc<Jobs>)>,
    folders: BTreeMap<PathBuf, Setting>,
    /// What is there under the name of a configuration file, whatever its letters.
    alike: BTreeMap<PathBuf, Vec<PathBuf>>,
    jobs: BTreeMap<PathBuf, Arc<Jobs>>,
    instruments: BTreeMap<PathBuf, Arc<Instruments>>,
    criteria: BTreeMap<PathBuf, Arc<Criteria>>,
    /// Files that lie outside their jobs.
    outside: BTreeSet<PathBuf>,
    /// The files that have something to say.
    pub(super) others: Vec<Diagnosed>,
}

impl<'a> Settings<'a> {
    pub(super) fn new(files: &'a dyn Files, job: Option<(PathBuf, Arc<Jobs>)>) -> Self {
        Self {
            files,
            job,
            folders: BTreeMap::new(),
            alike: BTreeMap::new(),
            jobs: BTreeMap::new(),
            instruments: BTreeMap::new(),
            criteria: BTreeMap::new(),
            outside: BTreeSet::new(),
            others: Vec::new(),
        }
    }

    pub(super) fn of(&mut self, folder: &Path) -> Setting {
        if let Some(setting) = self.folders.get(folder) {
            return setting.clone();
        }
        let own = self.files.resolve(here(folder));
        let job = self.job.clone().filter(|(job, _)| own.starts_with(job));
        let (top, given) = match job {
            Some((job, jobs)) => (job, Some(jobs)),
            None => (top_of(self.files, &own), None),
        };
        let pack = match given {
            Some(_) => None,
            None => job_of(self.files, &own).map(|job| job.join(JOB)),
        };
        let mut nearest = |name: &str| self.nearest(&own, &top, name);
        let (instruments, criteria) = (nearest(INSTRUMENTS), nearest(CRITERIA));
        let named = |path: &Option<PathBuf>, name: &str| match path {
            Some(path) => shown(path.strip_prefix(&top).unwrap_or(path)),
            None => name.to_owned(),
        };
        let names = [named(&instruments, INSTRUMENTS), named(&criteria, CRITERIA)];
        let others = &mut self.others;
        let jobs = pack.and_then(|path| {
            let read = (jobs::read as Read<_>, Jobs::not_read as NotRead<_>);
            once(self.files, (path, JOB), &mut self.jobs, read, others)
        });
        let jobs = jobs.or(given);
        let setting = Setting {
            jobs,
            instruments_at: instruments.clone(),
            instruments: instruments.and_then(|path| {
                let known = &mut self.instruments;
                let read = (
                    instruments::read as Read<_>,
                    Instruments::not_read as NotRead<_>,
                );
                once(self.files, (path, INSTRUMENTS), known, read, others)
            }),
            criteria: criteria
                .and_then(|path| {
                    let known = &mut self.criteria;
                    let read = (read_criteria as Read<_>, Criteria::not_read as NotRead<_>);
                    once(self.files, (path, CRITERIA), known, read, others)
                })
                .unwrap_or_default(),
            names,
            top,
        };
        self.folders.insert(folder.to_owned(), setting.clone());
        setting
    }

    /// The nearest file of a name at or above a folder. One that lies beyond the job, or that a link leads to there,
    /// would decide verdicts unseen: it is told and not taken.
    fn nearest(&mut self, own: &Path, top: &Path, name: &str) -> Option<PathBuf> {
        let path = own
            .ancestors()
            .find_map(|above| match above.starts_with(top) {
                true => self.here(above, name),
                false => Some(above.join(name)).filter(|path| self.files.exists(path)),
            })?;
        // What leads nowhere cannot be read either, and is told where that is tried.
        let real = self.files.real(&path);
        if real.map_or(true, |real| real.starts_with(top)) {
            return Some(path);
        }
        if self.outside.insert(path.clone()) {
            let levels = own.strip_prefix(path.parent().unwrap_or(&path));
            let levels = levels.map_or(0, |below| below.components().count());
            let title = match levels {
                0 => format!("{name} is a link that leads out of the job, and is not used"),
                _ => format!("{name} lies outside the job, and is not used"),
            };
            let as_seen = PathBuf::from("../".repeat(levels) + name);
            let help = "what holds for a job lies in the folder of its pack.toml, or below; without one, in its repository";
            self.others.push(left_out(&as_seen, title, help));
        }
        None
    }
}

impl Settings<'_> {
    /// The file of a name in a folder. One that has it in other letters is found too: on another machine it would be
    /// the same name.
    fn here(&mut self, folder: &Path, name: &str) -> Option<PathBuf> {
        let path = folder.join(name);
        let alike = self.alike.entry(folder.to_owned()).or_insert_with(|| {
            let is_alike = |path: &PathBuf| {
                let own = path.file_name().unwrap_or_default();
                [INSTRUMENTS, CRITERIA]
                    .iter()
                    .any(|name| own.eq_ignore_ascii_case(name))
            };
            match self.files.list(folder) {
                Ok(entries) => {
                    let paths = entries.into_iter().map(|(path, _)| path);
                    paths.filter(is_alike).collect()
                }
                Err(_) => Vec::new(),
            }
        });
        // A folder may be closed to listing and open to reading.
        if alike.contains(&path) || self.files.exists(&path) {
            return Some(path);
        }
        let is_alike = |other: &&PathBuf| {
            let own = other.file_name().unwrap_or_default();
            own.eq_ignore_ascii_case(name)
        };
        alike.iter().find(is_alike).cloned()
    }
}

type Read<T> = fn(&Source) -> (T, Vec<Diagnostic>);
type NotRead<T> = fn(&Source) -> T;

/// A file that is there holds, or nothing passes.
fn once<T>(
    files: &dyn Files,
    (path, expected): (PathBuf, &str),
    known: &mut BTreeMap<PathBuf, Arc<T>>,
    (read, not_read): (Read<T>, NotRead<T>),
    others: &mut Vec<Diagnosed>,
) -> Option<Arc<T>> {
    if let Some(known) = known.get(&path) {
        return Some(Arc::clone(known));
    }
    // The name alone: where the file lies on this machine is nobody's business.
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let made = match files.read(&path) {
        Ok(_) if name != expected => {
            let title = format!("the name of this file is {expected}, in small letters");
            let told = at(&path, not_used(&name, title));
            let made = not_read(&told.source);
            others.push(told);
            made
        }
        Ok(bytes) => {
            let (source, mut diagnostics) = Source::new(&name, &bytes);
            let (made, mut told) = read(&source);
            diagnostics.append(&mut told);
            if !diagnostics.is_empty() {
                others.push(Diagnosed {
                    path: Some(path.clone()),
                    source,
                    diagnostics,
                });
            }
            made
        }
        Err(error) => {
            let told = at(&path, unreadable(Path::new(&*name), &error));
            let made = not_read(&told.source);
            others.push(told);
            made
        }
    };
    let made = Arc::new(made);
    known.insert(path, Arc::clone(&made));
    Some(made)
}

fn at(path: &Path, told: Diagnosed) -> Diagnosed {
    Diagnosed {
        path: Some(path.to_owned()),
        ..told
    }
}
