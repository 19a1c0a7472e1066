//! The records that are open. Which other files a record is compiled with is looked for once, over its whole job; while
//! it says the same of id, site, bay, set and `like:`, only those few are read again.

use crate::ground::diagnostic::Code;
use crate::ground::seam::{Files, InHand, Memory};
use crate::job::{Bonds, Compiled, Diagnosed, Found, Survey, Terms};
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

/// Texts in hand, over the files that they are of.
pub struct Desk<'a> {
    files: InHand<'a>,
    /// What each record in hand was bound by when it was last looked at, or before it was taken in hand; `None` of one
    /// that could not be read.
    seen: BTreeMap<PathBuf, Option<Bonds>>,
    /// Who is compiled with a record, since its whole job was looked over.
    company: BTreeMap<PathBuf, Vec<PathBuf>>,
}

/// How much was read for a record.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Reach {
    /// The record with its company.
    #[default]
    Company,
    /// Its whole job.
    Job,
    /// Its whole job, and it is bound to others than before: these may have found or lost company.
    Moved,
}

/// A record as it stands now.
#[derive(Debug, Default)]
pub struct Looked {
    /// `None` where the file cannot be read.
    pub ct: Option<Compiled>,
    /// Configuration files with something to say, and what else could not be read.
    pub others: Vec<Diagnosed>,
    /// Where the records lie that lend it plates, by their ids.
    pub lenders: BTreeMap<String, PathBuf>,
    pub reach: Reach,
}

impl<'a> Desk<'a> {
    pub fn new(files: &'a dyn Files) -> Self {
        Self {
            files: InHand::none(files),
            seen: BTreeMap::new(),
            company: BTreeMap::new(),
        }
    }

    /// Takes a text in hand, or another state of it.
    pub fn put(&mut self, path: &Path, text: &str) {
        if !self.seen.contains_key(path) {
            let before = Bonds::read(&self.files, path);
            self.seen.insert(path.to_owned(), before);
        }
        self.files.put(path, text.as_bytes().to_vec());
    }

    /// From now on what the file holds counts.
    pub fn let_go(&mut self, path: &Path) {
        self.files.let_go(path);
        self.seen.remove(path);
        self.company.remove(path);
    }

    /// Files came or went: who belongs together is looked for again.
    pub fn forget(&mut self) {
        self.company.clear();
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
        let company = self.company.get(of);
        company.is_none_or(|company| company.iter().any(|path| path == other))
    }

    /// Compiles a record as `check` would.
    pub fn look(&mut self, path: &Path) -> Looked {
        if let Some(company) = self.company.get(path) {
            let survey = Survey::in_company(&self.files, path, company.clone());
            if self.seen.get(path) == Some(&bonds(&survey, path)) {
                let looked = Looked::of(survey, Reach::Company);
                if !looked.lacks_a_plate() {
                    return looked;
                }
            }
            self.company.remove(path);
        }
        let survey = Survey::among(&self.files, &[path.to_owned()]);
        let own = survey.found.iter().position(|one| one.path == path);
        let company = own.map(|own| survey.company(own));
        let bonds = bonds(&survey, path);
        let reach = match self.seen.insert(path.to_owned(), bonds.clone()) {
            Some(before) if before != bonds => Reach::Moved,
            _ => Reach::Job,
        };
        if reach == Reach::Moved {
            self.company.clear();
        }
        let looked = Looked::of(survey, reach);
        if let Some(company) = company.filter(|_| !looked.lacks_a_plate()) {
            self.company.insert(path.to_owned(), company);
        }
        looked
    }
}

/// By what a record of a survey finds its company.
fn bonds(survey: &Survey<'_>, path: &Path) -> Option<Bonds> {
    let own = survey.found.iter().find(|one| one.path == path);
    own.map(Found::bonds)
}

impl Looked {
    /// A text that no file is of.
    pub fn alone(name: &str, text: &str) -> Self {
        let files = Memory::default();
        files.put(name, text.as_bytes());
        let survey = Survey::of(&files, &[name.into()], Terms::default());
        Self::of(survey, Reach::Company)
    }

    /// Whether it asks for a plate that nobody lends.
    fn lacks_a_plate(&self) -> bool {
        let mut told = self.ct.iter().flat_map(|ct| &ct.diagnostics);
        told.any(|told| told.code == Code::LikeUnknown)
    }

    fn of(survey: Survey<'_>, reach: Reach) -> Self {
        let lenders = survey.lenders();
        let lenders = lenders.map(|(id, path)| (id.to_owned(), path.to_owned()));
        let lenders = lenders.collect();
        let job = survey.job();
        Self {
            ct: job.records.into_iter().next(),
            others: job.others,
            lenders,
            reach,
        }
    }
}
