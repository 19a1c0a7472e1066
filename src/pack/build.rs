//! From a pack.toml to its files: what the pack is to hold is planned first, then its CTs are compiled and
//! written a few at a time.

use super::card::Card;
use super::config::{self, Config};
use super::matrix::Matrix;
use super::own_templates::Own;
use super::plan::{self, Bay, Plan};
use super::sink::Sink;
use super::write::{self, WHOLE};
use super::{logo, own_templates, select};
use crate::document::TemplateFault;
use crate::ground::date::Date;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::seam::Files;
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::job::{
    Attached, Basis, Diagnosed, Outcome, PACK, Survey, Terms, here, outcome, shown, unreadable,
};
use crate::record::jobs::Jobs;
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A pack before its records are compiled.
pub struct Planned<'a> {
    pub(super) config: Arc<Config>,
    pub(super) survey: Survey<'a>,
    pub plan: Plan,
    pub(super) own: Own,
    pub(super) logo: String,
    /// What all pages stand on beside the records.
    pub(super) basis: Basis,
    /// Folder of pack.toml.
    pub folder: PathBuf,
    /// About pack.toml, instruments.toml, criteria.toml and files that could not be read.
    pub others: Vec<Diagnosed>,
}

/// What a pack came to, when all its files are written.
#[derive(Debug)]
pub struct Built {
    /// All CTs in the order of the pack.
    pub cards: Vec<Card>,
    pub matrix: Matrix,
    /// Records with errors, with visits that the report leaves out, or with a permit that does not fit its work.
    pub told: Vec<Diagnosed>,
    /// Templates that cannot be used, with the pages that say so instead of their content.
    pub faults: Vec<(TemplateFault, Vec<String>)>,
    /// What the report does not state, one sentence each.
    pub warnings: Vec<String>,
    /// How many files look like a part of the job and are not in the pack.
    pub lost: usize,
    /// Whether a configuration file is in error.
    broken: bool,
}

/// Why there is no pack, as diagnostics.
#[derive(Debug)]
pub struct NoPack(pub Vec<Diagnosed>);

impl Built {
    /// How the job came out, on the visits that the pack speaks of.
    pub fn outcome(&self) -> Outcome {
        let whole = self.cards.iter().all(|card| card.errors == 0);
        let complete = self.faults.is_empty() && !self.broken && whole;
        outcome(complete, self.cards.iter().any(|card| card.fails))
    }
}

impl<'a> Planned<'a> {
    /// Reads pack.toml and looks over the records.
    ///
    /// # Errors
    /// When pack.toml cannot be read, or its patterns match nothing.
    pub fn of(files: &'a dyn Files, pack: &Path) -> Result<Self, NoPack> {
        let folder = pack.parent().unwrap_or(Path::new("")).to_owned();
        let (source, config, mut told) = read(files, pack)?;
        let (found, mut faulty, mut others) = select::records(files, &folder, &config);
        told.append(&mut faulty);
        if found.is_empty() && !told.iter().any(Diagnostic::is_error) {
            let none = "the pack has no records";
            told.push(Diagnostic::new(Code::PackEmpty, Span::default(), none));
        }
        if found.is_empty() {
            others.insert(0, about(source, told));
            return Err(NoPack(others));
        }
        let mut basis = Basis::default();
        let name = source.name.rsplit('/').next().unwrap_or("");
        basis.add(PACK, name, &source.sha256);
        let logo = logo::read(files, &folder, &config, &mut told, &mut basis);
        let own = own_templates::read(files, &folder, &config, &mut told, &mut basis);
        if !told.is_empty() {
            others.insert(0, about(source, told));
        }
        let config = Arc::new(config);
        let of_job = Arc::clone(&config);
        let jobs = Jobs {
            named: config.file.jobs.clone(),
            ..Jobs::default()
        };
        let terms = Terms {
            root: folder.clone(),
            job: Some((files.resolve(here(&folder)), Arc::new(jobs))),
            prepare: Arc::new(move |record, told| plan::tell_later(record, &of_job, told)),
        };
        let mut survey = Survey::of(files, &found, terms);
        others.append(&mut survey.others);
        let plan = plan::plan(&survey.found, &config);
        Ok(Self {
            config,
            survey,
            plan,
            own,
            logo,
            basis,
            folder,
            others,
        })
    }

    /// The files that it will have, by their paths below the output folder, with forward slashes.
    pub fn names(&self, whole: bool) -> Vec<String> {
        let cts = self.plan.spots.iter().map(|spot| spot.path());
        let bays = self.plan.bays.iter().map(Bay::path);
        let all = cts.chain(bays).chain(["index".to_owned()]);
        let mut names: Vec<String> = all.flat_map(|name| write::both(&name)).collect();
        names.extend(whole.then(|| WHOLE.to_owned()));
        names.extend(self.attached().into_keys());
        names
    }

    /// The files of all visits, by the names of their copies.
    pub(super) fn attached(&self) -> BTreeMap<String, &Attached> {
        let found = self.survey.found.iter();
        let all = found.flat_map(|one| &one.attached);
        all.filter_map(|one| Some((one.copy()?, one))).collect()
    }

    /// The day of issue, where pack.toml states it.
    pub fn issued(&self) -> Option<Date> {
        self.config.issued.map(|day| day.value)
    }

    /// Files that look like a part of the job and of which nothing is in the pack, each with the reason.
    pub(super) fn lost(&self) -> Vec<(String, String)> {
        let is_lost =
            |told: &&Diagnostic| [Code::FileUnreadable, Code::FileLeftOut].contains(&told.code);
        let folder = shown(here(&self.folder)) + "/";
        let of = |one: &Diagnosed| {
            let name = &one.source.name;
            let name = name.strip_prefix(&folder).unwrap_or(name).to_owned();
            let lost = one.diagnostics.iter().filter(is_lost);
            lost.map(|told| (name.clone(), told.title.clone()))
                .collect::<Vec<_>>()
        };
        self.others.iter().flat_map(of).collect()
    }

    /// The records that it is made of.
    pub fn records(&self) -> impl Iterator<Item = &Path> {
        self.survey.found.iter().map(|one| one.path.as_path())
    }

    /// Compiles the records and writes all pages; with `whole` also everything on one page.
    ///
    /// # Errors
    /// When a file cannot be written.
    pub fn write(&self, whole: bool, sink: &dyn Sink) -> io::Result<Built> {
        let written = write::write(self, whole, sink)?;
        let mut told = self.others.iter().flat_map(|told| &told.diagnostics);
        Ok(Built {
            broken: told.any(Diagnostic::is_error),
            lost: self.lost().len(),
            ..written
        })
    }
}

fn about(source: Source, diagnostics: Vec<Diagnostic>) -> Diagnosed {
    Diagnosed {
        path: None,
        source,
        diagnostics,
    }
}

fn read(files: &dyn Files, pack: &Path) -> Result<(Source, Config, Vec<Diagnostic>), NoPack> {
    if files.is_folder(pack) {
        let told = Diagnostic::new(Code::FileUnreadable, Span::default(), "this is a folder")
            .label("not read")
            .help("name the pack.toml in it");
        let source = Source::new(&shown(pack), b"").0;
        return Err(NoPack(vec![about(source, vec![told])]));
    }
    let bytes = files
        .read(pack)
        .map_err(|error| NoPack(vec![unreadable(pack, &error)]))?;
    let (source, mut told) = Source::new(&shown(pack), &bytes);
    let (config, mut found) = config::read(&source);
    told.append(&mut found);
    match config {
        Some(config) => Ok((source, config, told)),
        None => Err(NoPack(vec![about(source, told)])),
    }
}

impl Built {
    pub(super) fn new(
        cards: Vec<Card>,
        matrix: Matrix,
        told: Vec<Diagnosed>,
        faults: Vec<(TemplateFault, Vec<String>)>,
        warnings: Vec<String>,
    ) -> Self {
        Self {
            cards,
            matrix,
            told,
            faults,
            warnings,
            lost: 0,
            broken: false,
        }
    }
}
