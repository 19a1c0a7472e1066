//! From a pack.toml to all its files, in memory: nothing is written before everything is made.

use super::config::{self, Config};
use super::matrix::standing;
use super::plan::{self, Entry};
use super::write::Writer;
use super::{jobs, logo, own_templates, select};
use crate::compile_for;
use crate::document::Grade;
use crate::document::TemplateFault;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::seam::Files;
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::job::{Basis, Diagnosed, Outcome, PACK, Terms, outcome, shown, unreadable};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Everything that a pack comes to.
#[derive(Debug)]
pub struct Built {
    /// Files by their path below the output folder, with forward slashes.
    pub files: BTreeMap<String, Vec<u8>>,
    pub entries: Vec<Entry>,
    /// About pack.toml, instruments.toml, criteria.toml and files that could not be read.
    pub others: Vec<Diagnosed>,
    /// Templates that cannot be used, with the pages that say so instead of their content.
    pub faults: Vec<(TemplateFault, Vec<String>)>,
    /// What the report does not state, one sentence each.
    pub warnings: Vec<String>,
    /// Folder of pack.toml.
    pub folder: PathBuf,
}

/// Why there is no pack, as diagnostics.
#[derive(Debug)]
pub struct NoPack(pub Vec<Diagnosed>);

impl Built {
    /// How the job came out, on the visits that the pack speaks of.
    pub fn outcome(&self) -> Outcome {
        let mut told = self.others.iter().flat_map(|told| &told.diagnostics);
        let complete = self.faults.is_empty()
            && !told.any(Diagnostic::is_error)
            && self.entries.iter().all(|entry| entry.unit.is_complete());
        let mut standing = self.entries.iter().flat_map(standing);
        outcome(
            complete,
            standing.any(|finding| finding.grade() == Grade::Fails),
        )
    }
}

/// Builds the pack in memory.
///
/// # Errors
/// When pack.toml cannot be read, or its patterns match nothing.
pub fn build(files: &dyn Files, pack: &Path) -> Result<Built, NoPack> {
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
    let terms = Terms {
        root: &folder,
        prepare: &|record| jobs::take_over(record, &config),
    };
    let mut job = compile_for(files, &found, &terms);
    for one in &mut job.records {
        jobs::check(one, &config);
    }
    others.append(&mut job.others);
    let entries = plan::plan(job.records, &config);
    let Writer {
        files,
        faults,
        warnings,
    } = Writer::write(&config, &entries, &own, &logo, &basis);
    Ok(Built {
        files,
        faults,
        warnings,
        entries,
        others,
        folder,
    })
}

fn about(source: Source, diagnostics: Vec<Diagnostic>) -> Diagnosed {
    Diagnosed {
        source,
        diagnostics,
    }
}

fn read(files: &dyn Files, pack: &Path) -> Result<(Source, Config, Vec<Diagnostic>), NoPack> {
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
