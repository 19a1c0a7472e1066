//! `kneemark report`: the report of one CT, as Markdown and as one HTML page.

use super::made::Sheet;
use super::{draw, output};
use crate::compile;
use crate::document::Grade;
use crate::document::Templates;
use crate::ground::seam::{Disk, Files};
use crate::job::Outcome;
use crate::report::{Options, page};
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
pub struct Arguments {
    /// Record of the CT
    file: PathBuf,
    #[command(flatten)]
    sheet: Sheet,
    /// Write 1,5 instead of 1.5
    #[arg(long)]
    decimal_comma: bool,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    match write(&Disk, arguments) {
        Ok((text, outcome)) => {
            output::print(&text);
            outcome
        }
        Err(message) => {
            output::complain(&message);
            Outcome::Broken
        }
    }
}

/// Writes both files; says what was written, and how the CT came out.
fn write(files: &dyn Files, arguments: &Arguments) -> Result<(String, Outcome), String> {
    if files.is_folder(&arguments.file) || !files.exists(&arguments.file) {
        return Err(format!(
            "{} is no record; name one file, or use `kneemark pack` for many",
            arguments.file.display()
        ));
    }
    let own = match arguments.file.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    };
    let of_job = job_folder(files, &own);
    let folder = of_job.clone().unwrap_or(own);
    let job = compile(files, &[arguments.file.clone(), folder]);
    let mut records = job.records.iter();
    let ct = records
        .find(|one| one.path == arguments.file)
        .ok_or_else(|| format!("{} cannot be read", arguments.file.display()))?;
    output::explain(&draw::human(&ct.source, ct.errors(), output::style()));
    let options = Options {
        decimal_comma: arguments.decimal_comma,
        paper: arguments.sheet.paper,
        ..Options::default()
    };
    let templates = Templates::built_in();
    let report =
        crate::report(&job, ct, &options, &templates).map_err(|fault| fault.to_string())?;
    let html = page(&report.title, &report.html, &options, &templates)
        .map_err(|fault| fault.to_string())?;
    let sheet = &arguments.sheet;
    let out = files.resolve(&sheet.out);
    if of_job.is_some_and(|folder| out.starts_with(files.resolve(&folder))) {
        return Err(format!(
            "{} lies within the records' folder; choose another with -o",
            sheet.out.display()
        ));
    }
    let record = files.resolve(&arguments.file);
    let names = ["md", "html"].map(|ending| format!("{}.{ending}", report.slug));
    if names.iter().any(|name| out.join(name) == record) {
        return Err(format!(
            "not written: {} is the record itself; choose another folder with -o",
            arguments.file.display()
        ));
    }
    let written = sheet.write(files, &report.slug, &report.markdown, &html)?;
    Ok((written, ct.outcome(Grade::Fails)))
}

/// The folder of the job that a record's own folder belongs to. Beside a record of no job its report
/// may lie.
fn job_folder(files: &dyn Files, own: &Path) -> Option<PathBuf> {
    let above = files.resolve(own);
    let mut folders = above.ancestors();
    folders
        .find(|folder| files.exists(&folder.join("pack.toml")))
        .map(Path::to_owned)
}
