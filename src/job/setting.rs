//! What holds in a folder: the nearest `instruments.toml` and `criteria.toml` at or above it.

use super::Diagnosed;
use super::paths::{here, unreadable};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::Files;
use crate::ground::source::Source;
use crate::record::criteria::{self, Criteria};
use crate::record::instruments::{self, Instruments};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The configuration that a record is compiled with.
#[derive(Clone, Debug, Default)]
pub struct Setting {
    pub instruments: Option<Arc<Instruments>>,
    pub criteria: Arc<Criteria>,
}

impl Setting {
    pub fn parts(&self) -> (Option<&Instruments>, &Criteria) {
        (self.instruments.as_deref(), &self.criteria)
    }

    /// Whether one of its files could not be read as a whole.
    pub fn is_broken(&self) -> bool {
        self.criteria.broken || self.instruments.as_ref().is_some_and(|known| known.broken)
    }
}

/// The settings of all folders. Each configuration file is read once.
pub(super) struct Settings<'a> {
    files: &'a dyn Files,
    folders: BTreeMap<PathBuf, Setting>,
    instruments: BTreeMap<PathBuf, Option<Arc<Instruments>>>,
    criteria: BTreeMap<PathBuf, Option<Arc<Criteria>>>,
    /// The files that have something to say.
    pub(super) others: Vec<Diagnosed>,
}

impl<'a> Settings<'a> {
    pub(super) fn new(files: &'a dyn Files) -> Self {
        Self {
            files,
            folders: BTreeMap::new(),
            instruments: BTreeMap::new(),
            criteria: BTreeMap::new(),
            others: Vec::new(),
        }
    }

    pub(super) fn of(&mut self, folder: &Path) -> Setting {
        if let Some(setting) = self.folders.get(folder) {
            return setting.clone();
        }
        let above = self.files.resolve(here(folder));
        let nearest = |name: &str| {
            let mut paths = above.ancestors().map(|folder| folder.join(name));
            paths.find(|path| self.files.exists(path))
        };
        let (instruments, criteria) = (nearest("instruments.toml"), nearest("criteria.toml"));
        let others = &mut self.others;
        let setting = Setting {
            instruments: instruments.and_then(|path| {
                let known = &mut self.instruments;
                once(self.files, path, known, instruments::read, others)
            }),
            criteria: criteria
                .and_then(|path| {
                    let known = &mut self.criteria;
                    once(self.files, path, known, criteria::read, others)
                })
                .unwrap_or_default(),
        };
        self.folders.insert(folder.to_owned(), setting.clone());
        setting
    }
}

fn once<T>(
    files: &dyn Files,
    path: PathBuf,
    known: &mut BTreeMap<PathBuf, Option<Arc<T>>>,
    read: fn(&Source) -> (T, Vec<Diagnostic>),
    others: &mut Vec<Diagnosed>,
) -> Option<Arc<T>> {
    if let Some(known) = known.get(&path) {
        return known.clone();
    }
    let made = match files.read(&path) {
        Ok(bytes) => {
            // The name alone: where the file lies on this machine is nobody's business.
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let (source, mut diagnostics) = Source::new(&name, &bytes);
            let (made, mut told) = read(&source);
            diagnostics.append(&mut told);
            if !diagnostics.is_empty() {
                others.push(Diagnosed {
                    source,
                    diagnostics,
                });
            }
            Some(Arc::new(made))
        }
        Err(error) => {
            others.push(unreadable(&path, &error));
            None
        }
    };
    known.insert(path, made.clone());
    made
}
