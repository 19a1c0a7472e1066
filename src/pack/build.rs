//! From a pack.toml to all its files, in memory: nothing is written before everything is made.

use super::config::{self, Config};
use super::gather::{Told, gather_under, shown, unreadable};
use super::plan::{self, Entry};
use super::write::Writer;
use super::{jobs, logo, own_templates, select};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::seam::Files;
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::judge::finding::Grade;
use crate::report::{self, TemplateFault};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Everything that a pack comes to.
#[derive(Debug)]
pub struct Built {
    /// Files by their path below the output folder, with forward slashes.
    pub files: BTreeMap<String, Vec<u8>>,
    pub entries: Vec<Entry>,
    /// About pack.toml, instruments.toml, criteria.toml and files that could not be read.
    pub others: Vec<Told>,
    /// Templates that cannot be used, with the pages that say so instead of their content.
    pub faults: Vec<(TemplateFault, Vec<String>)>,
    /// What the report does not state, one sentence each.
    pub warnings: Vec<String>,
    /// Folder of pack.toml.
    pub folder: PathBuf,
}

/// Why there is no pack, as diagnostics.
#[derive(Debug)]
pub struct NoPack(pub Vec<Told>);

/// How a pack came out, the worst last.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Nothing is out of its limits.
    Clean,
    /// A finding of the job is out of its limits.
    Fails,
    /// A record is not complete, or a file or template cannot be used.
    Broken,
}

impl Built {
    /// How it came out.
    pub fn state(&self) -> State {
        let told = self
            .others
            .iter()
            .flat_map(|told| &told.diagnostics)
            .any(Diagnostic::is_error);
        let incomplete = self.entries.iter().any(|entry| !entry.unit.is_complete());
        if told || incomplete || !self.faults.is_empty() {
            return State::Broken;
        }
        let bad = |entry: &Entry| {
            super::matrix::standing(entry)
                .iter()
                .any(|finding| finding.grade() == Grade::Bad)
        };
        if self.entries.iter().any(bad) {
            State::Fails
        } else {
            State::Clean
        }
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
    if found.is_empty() {
        if !told.iter().any(Diagnostic::is_error) {
            told.push(Diagnostic::new(
                Code::PackEmpty,
                Span::default(),
                "the pack has no records",
            ));
        }
        others.insert(
            0,
            Told {
                source,
                diagnostics: told,
            },
        );
        return Err(NoPack(others));
    }
    let logo = logo::read(files, &folder, &config, &mut told);
    let own = own_templates::read(files, &folder, &config, &mut told);
    if !told.is_empty() {
        others.insert(
            0,
            Told {
                source,
                diagnostics: told,
            },
        );
    }
    let mut gathered = gather_under(files, &found, &folder, &|record| {
        jobs::take_over(record, &config)
    });
    gathered
        .units
        .iter_mut()
        .for_each(|unit| jobs::check(unit, &config));
    others.append(&mut gathered.others);
    let entries = plan::plan(gathered.units, &config, report::slug);
    let writer = Writer::write(&config, &entries, &own, &logo);
    Ok(Built {
        files: writer.files,
        faults: writer.faults,
        warnings: writer.warnings,
        entries,
        others,
        folder,
    })
}

fn read(files: &dyn Files, pack: &Path) -> Result<(Source, Config, Vec<Diagnostic>), NoPack> {
    let bytes = files
        .read(pack)
        .map_err(|error| NoPack(vec![unreadable(pack, &error)]))?;
    let (source, mut told) = Source::new(&shown(pack), &bytes);
    if source.refused {
        return Err(NoPack(vec![Told {
            source,
            diagnostics: told,
        }]));
    }
    let (config, mut found) = config::read(&source);
    told.append(&mut found);
    match config {
        Some(config) => Ok((source, config, told)),
        None => Err(NoPack(vec![Told {
            source,
            diagnostics: told,
        }])),
    }
}
