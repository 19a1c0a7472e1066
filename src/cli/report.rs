//! `kneemark report`: the report of one CT, as Markdown and as one HTML page.

use super::made::Sheet;
use super::{draw, output};
use crate::document::Grade;
use crate::document::Templates;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::{Disk, Files};
use crate::job::{Compiled, Job, Outcome, Survey, shown};
use crate::report::{Annex, CtReport, Options, Subject, page};
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
#[command(after_help = super::examples::REPORT)]
pub struct Arguments {
    /// Record of the CT
    file: PathBuf,
    #[command(flatten)]
    sheet: Sheet,
    /// Write 1,5 instead of 1.5
    #[arg(long)]
    decimal_comma: bool,
    /// Annexes behind the report
    #[arg(long, value_enum, value_name = "ANNEX", value_delimiter = ',')]
    annex: Vec<Annex>,
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

/// A record among the others of its job.
pub(super) struct Among {
    job: Job,
    file: PathBuf,
}

impl Among {
    /// Compiles a record with the others of its job; beside a record of no job those of its folder count.
    pub(super) fn read(files: &dyn Files, file: &Path) -> Self {
        Self {
            job: Survey::among(files, &[file.to_owned()]).around(file),
            file: file.to_owned(),
        }
    }

    pub(super) fn ct(&self) -> Result<&Compiled, String> {
        let mut records = self.job.records.iter();
        let ct = records.find(|one| one.path == self.file);
        ct.ok_or_else(|| format!("{} cannot be read", shown(&self.file)))
    }

    /// Its report, and the page around it.
    pub(super) fn made(&self, options: &Options) -> Result<(CtReport, String), String> {
        let templates = Templates::built_in();
        let report = crate::report(&self.job, self.ct()?, options, &templates);
        let report = report.map_err(|fault| fault.to_string())?;
        let html = page(&report.title, &report.html, options, &templates);
        Ok((report, html.map_err(|fault| fault.to_string())?))
    }
}

/// Writes both files; says what was written, and how the CT came out.
fn write(files: &dyn Files, arguments: &Arguments) -> Result<(String, Outcome), String> {
    if files.is_folder(&arguments.file) || !files.exists(&arguments.file) {
        return Err(format!(
            "{} is no record; name one file, or use `kneemark pack` for many",
            shown(&arguments.file)
        ));
    }
    let among = Among::read(files, &arguments.file);
    let ct = among.ct()?;
    for told in &among.job.others {
        output::explain(&draw::human(
            &told.source,
            &told.diagnostics,
            output::style(),
        ));
    }
    output::explain(&draw::human(&ct.source, ct.errors(), output::style()));
    let options = Options {
        decimal_comma: arguments.decimal_comma,
        paper: arguments.sheet.paper,
        annexes: arguments.annex.iter().copied().collect(),
        ..Options::default()
    };
    let (report, html) = among.made(&options)?;
    let sheet = &arguments.sheet;
    let out = files.resolve(&sheet.out);
    let record = files.resolve(&arguments.file);
    let names = ["md", "html"].map(|ending| format!("{}.{ending}", report.slug));
    if names.iter().any(|name| out.join(name) == record) {
        return Err(format!(
            "not written: {} is the record itself; choose another folder with -o",
            shown(&arguments.file)
        ));
    }
    let subject = Subject::of(ct, Vec::new());
    let beside: Vec<_> = subject.files().collect();
    let written = sheet.write(files, &report.slug, &report.markdown, &html, &beside)?;
    let mut others = among.job.others.iter().flat_map(|told| &told.diagnostics);
    let broken = match ct.setting.is_broken() || others.any(Diagnostic::is_error) {
        true => Outcome::Broken,
        false => Outcome::Clean,
    };
    Ok((written, ct.outcome(Grade::Fails).max(broken)))
}
