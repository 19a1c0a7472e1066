//! `[jobs]` of pack.toml: what a visit takes over when it says `job: NAME`.

use super::Record;
use super::config;
use super::visit::Visit;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::ground::span::{Given, Located, Span};
use serde::Deserialize;
use std::collections::BTreeMap;

/// The jobs of one pack.toml.
#[derive(Clone, Debug, Default)]
pub struct Jobs {
    /// Name of the file and the SHA-256 of its bytes; no name where the pack itself says which one it is.
    pub file: String,
    pub sha256: String,
    /// Whether the file could not be read.
    pub broken: bool,
    pub named: BTreeMap<String, JobDefaults>,
}

/// People, papers and instruments of a job. The end of a permit is of its day, and stands in the record.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct JobDefaults {
    pub tested_by: Option<String>,
    pub reviewed_by: Option<String>,
    pub witnessed_by: Option<String>,
    pub authorised_by: Option<String>,
    pub crew: Option<String>,
    pub permit: Option<String>,
    pub outage: Option<String>,
    pub procedure: Option<String>,
    pub leads: Option<String>,
    pub instrument: Option<String>,
    pub reference: Option<String>,
}

/// The one table of the file that a record needs; the rest is the business of the pack.
#[derive(Default, Deserialize)]
#[serde(default)]
struct PackFile {
    jobs: BTreeMap<String, JobDefaults>,
}

impl Jobs {
    /// Of a file that is there and cannot be read.
    pub fn not_read(source: &Source) -> Self {
        Self {
            file: source.name.clone(),
            sha256: source.sha256.clone(),
            broken: true,
            named: BTreeMap::new(),
        }
    }

    /// Whether a visit of a record names one of them.
    pub fn are_named_by(&self, record: &Record) -> bool {
        let named = |visit: &Visit| {
            visit
                .job
                .value()
                .is_some_and(|job| self.named.contains_key(job))
        };
        record.visits.iter().any(named)
    }
}

/// Reads the jobs of a pack.toml, with what is wrong with them.
pub fn read(source: &Source) -> (Jobs, Vec<Diagnostic>) {
    let none = Jobs::not_read(source);
    match config::tables::<PackFile>(source) {
        Ok(file) => {
            let jobs = Jobs {
                broken: false,
                named: file.jobs,
                ..none
            };
            (jobs, Vec::new())
        }
        Err(told) => (none, told),
    }
}

/// Fills what a visit leaves unsaid from the job that it names. What the record says itself stays.
pub fn take_over(record: &mut Record, known: &Jobs) {
    for visit in &mut record.visits {
        let stated = |job: &Located<String>| Some((known.named.get(&job.value)?, job.span));
        if let Some((job, span)) = visit.job.get().and_then(stated) {
            fill(visit, job, span);
        }
    }
}

fn fill(visit: &mut Visit, job: &JobDefaults, span: Span) {
    let pairs = [
        (&mut visit.tested_by, &job.tested_by),
        (&mut visit.reviewed_by, &job.reviewed_by),
        (&mut visit.witnessed_by, &job.witnessed_by),
        (&mut visit.authorised_by, &job.authorised_by),
        (&mut visit.crew, &job.crew),
        (&mut visit.permit, &job.permit),
        (&mut visit.outage, &job.outage),
        (&mut visit.procedure, &job.procedure),
        (&mut visit.leads, &job.leads),
        (&mut visit.instrument, &job.instrument),
        (&mut visit.reference, &job.reference),
    ];
    for (given, value) in pairs {
        if let (true, Some(value)) = (given.is_missing(), value) {
            // The line that names the job is where the value comes from, as far as the record goes.
            *given = Given::Written(Located::new(value.clone(), span));
        }
    }
}
