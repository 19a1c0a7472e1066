//! The records that are open. Which other files a record is compiled with is looked for once, over its whole job; while
//! it says the same of id, site, bay, set and `like:`, only those few are read again.

use crate::ground::diagnostic::Code;
use crate::ground::seam::{Files, InHand, Memory};
use crate::job::{Bonds, Compiled, Diagnosed, Survey, Terms};
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

/// Texts in hand, over the files that they are of.
pub struct Desk<'a> {
    files: InHand<'a>,
    known: BTreeMap<PathBuf, Known>,
}

/// What was found of a record when its whole job was looked over.
struct Known {
    bonds: Bonds,
    company: Vec<PathBuf>,
}

/// A record as it stands now.
#[derive(Debug, Default)]
pub struct Looked {
    /// `None` where the file cannot be read.
    pub ct: Option<Compiled>,
    /// Configuration files with something to say, and what else could not be read.
    pub others: Vec<Diagnosed>,
    /// Where the records lie that other ids are of.
    pub places: BTreeMap<String, PathBuf>,
    /// Whether the whole job was looked over.
    pub afresh: bool,
    /// Whether it was, since the record is bound to others than before: these may have found or lost company.
    pub moved: bool,
}

impl<'a> Desk<'a> {
    pub fn new(files: &'a dyn Files) -> Self {
        Self {
            files: InHand::none(files),
            known: BTreeMap::new(),
        }
    }

    /// Takes a text in hand, or another state of it.
    pub fn put(&mut self, path: &Path, text: &str) {
        self.files.put(path, text.as_bytes().to_vec());
    }

    /// From now on what the file holds counts.
    pub fn let_go(&mut self, path: &Path) {
        self.files.let_go(path);
        self.known.remove(path);
    }

    /// Files came or went: who belongs together is looked for again.
    pub fn forget(&mut self) {
        self.known.clear();
    }

    /// A file as it is in hand, or else as it lies there.
    ///
    /// # Errors
    /// When it cannot be read.
    pub fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.files.read(path)
    }

    /// Whether a record is compiled with another file.
    pub fn is_company(&self, of: &Path, other: &Path) -> bool {
        let known = self.known.get(of);
        known.is_none_or(|known| known.company.iter().any(|path| path == other))
    }

    /// Compiles a record as `check` would.
    pub fn look(&mut self, path: &Path) -> Looked {
        let mut moved = false;
        if let Some(known) = self.known.get(path) {
            let survey = Survey::in_company(&self.files, path, known.company.clone());
            let mut found = survey.found.iter();
            let same = found.any(|one| one.path == path && one.bonds() == known.bonds);
            let looked = same.then(|| Looked::of(survey, false));
            if let Some(looked) = looked.filter(|looked| !looked.lacks_a_plate()) {
                return looked;
            }
            self.known.clear();
            moved = true;
        }
        let survey = Survey::among(&self.files, &[path.to_owned()]);
        let own = survey.found.iter().position(|one| one.path == path);
        let known = own.and_then(|own| {
            Some(Known {
                bonds: survey.found.get(own)?.bonds(),
                company: survey.company(own),
            })
        });
        let looked = Looked {
            moved,
            ..Looked::of(survey, true)
        };
        if !looked.lacks_a_plate() {
            self.known
                .extend(known.map(|known| (path.to_owned(), known)));
        }
        looked
    }
}

impl Looked {
    /// A text that no file is of.
    pub fn alone(name: &str, text: &str) -> Self {
        let files = Memory::default();
        files.put(name, text.as_bytes());
        Self::of(Survey::of(&files, &[name.into()], Terms::default()), false)
    }

    /// Whether it asks for a plate that nobody lends.
    fn lacks_a_plate(&self) -> bool {
        let mut told = self.ct.iter().flat_map(|ct| &ct.diagnostics);
        told.any(|told| told.code == Code::LikeUnknown)
    }

    fn of(survey: Survey<'_>, afresh: bool) -> Self {
        let places = survey.found.iter();
        let places = places.filter_map(|one| Some((one.id.clone()?, one.path.clone())));
        let places = places.collect();
        let job = survey.job();
        Self {
            ct: job.records.into_iter().next(),
            others: job.others,
            places,
            afresh,
            moved: false,
        }
    }
}
