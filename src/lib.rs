//! kneemark: text records of current-transformer tests in, judged reports out.
//!
//! Text flows one way through the folders below; each stage imports only the stages above it in
//! this list (`tests/ranks.rs` reads the `use` lines). Only `ground::seam` touches files, but for the browser that prints (`cli::chromium`).
//!
//! ```text
//! files ─▶ source ─▶ syntax ─▶ record ─▶ values ─▶ findings ─▶ comparison ─▶ document
//!          Text      Parsed    Record    Values    Assessment  Sister        CtReport
//! ```
//!
//! ```
//! use kneemark::ground::seam::Memory;
//! use kneemark::job::Outcome;
//!
//! let files = Memory::default();
//! let text = "format: 1\n[ct]\nid: A1\nstandard: IEC 61869-2:2012\n[core S]\nratio: 600/1\n";
//! files.put("a1.ctr", text);
//! let job = kneemark::compile(&files, &["a1.ctr".into()]);
//! assert_eq!(job.outcome(kneemark::document::Grade::Fails), Outcome::Clean);
//! let report = kneemark::report(
//!     &job,
//!     &job.records[0],
//!     &Default::default(),
//!     &kneemark::document::Templates::built_in(),
//! );
//! let report = report.expect("a report");
//! assert!(report.markdown.contains("A1"));
//! ```
#![warn(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice
)]

pub mod archive;
pub mod chart;
pub mod cli;
pub mod compare;
pub mod derive;
pub mod diff;
pub mod document;
pub mod editor;
pub mod emit;
pub mod ground;
pub mod intake;
pub mod job;
pub mod judge;
pub mod layout;
pub mod pack;
pub mod record;
pub mod report;
pub mod standards;
pub mod syntax;
pub mod trade;

use ground::seam::Files;
use job::{Compiled, Job, Survey, Terms};
use std::path::PathBuf;

/// Compiles every record under the given paths. What is wrong with a text travels with it as diagnostics and
/// stops nothing.
pub fn compile(files: &dyn Files, paths: &[PathBuf]) -> Job {
    Survey::of(files, paths, Terms::default()).job()
}

/// The report of one CT of a job, with its sisters beside it.
///
/// # Errors
/// When a template cannot be filled.
pub fn report(
    job: &Job,
    ct: &Compiled,
    options: &report::Options,
    templates: &document::Templates,
) -> Result<report::CtReport, document::TemplateFault> {
    report::ct(
        &report::Subject::of(ct, job.sisters(ct)),
        options,
        templates,
    )
}
