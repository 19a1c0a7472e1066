//! `kneemark verify`: whether a report was made of a record.

use super::output;
use crate::ground::seam::{Disk, Files};
use crate::ground::source::sha256;
use crate::job::{Outcome, shown};
use crate::pack::belongs::{Belongs, belongs};
use std::path::PathBuf;

#[derive(clap::Args)]
pub struct Arguments {
    /// A report, HTML or Markdown
    report: PathBuf,
    /// The record it is said to be made of
    record: PathBuf,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    let (outcome, text) = told(&Disk, arguments);
    output::print(&text);
    outcome
}

fn told(files: &dyn Files, arguments: &Arguments) -> (Outcome, String) {
    let read = |path| {
        let read = files.read(path);
        read.map_err(|error| format!("{} cannot be read: {error}\n", shown(path)))
    };
    let both = read(&arguments.report).and_then(|report| Ok((report, read(&arguments.record)?)));
    let (report, record) = match both {
        Ok(both) => both,
        Err(text) => return (Outcome::Broken, text),
    };
    let (of, from) = (shown(&arguments.report), shown(&arguments.record));
    match belongs(&report, &record) {
        Belongs::Yes => (
            Outcome::Clean,
            format!(
                "{of} belongs to {from}: the record's SHA-256 stands on it, {}\n\
                 This says what the report was made of, not that the report was left unchanged since.\n",
                sha256(&record)
            ),
        ),
        Belongs::No(sums) => (
            Outcome::Fails,
            format!(
                "{of} does not belong to {from}\n  on the report  {}\n  of the record  {}\n",
                sums.join("\n                 "),
                sha256(&record)
            ),
        ),
        Belongs::NoSum => (
            Outcome::Broken,
            format!(
                "{of} carries no SHA-256 of a record, so nothing can be said; is it a report of kneemark?\n"
            ),
        ),
    }
}
