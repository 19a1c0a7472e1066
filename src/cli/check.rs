//! `kneemark check`: every diagnostic and every finding that deserves a look.

use super::draw::{self, Style};
use super::output;
use crate::compile;
use crate::document::Grade;
use crate::emit::json;
use crate::ground::diagnostic::{Diagnostic, Severity};
use crate::ground::seam::Disk;
use crate::ground::source::Source;
use crate::job::{Compiled, Job, Outcome};
use crate::judge::finding::Finding;
use crate::judge::rules::Whose;
use crate::record::core::Core;
use std::path::PathBuf;

/// Output format.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// For people, with the lines of the record
    Human,
    /// One line each
    Short,
    /// Everything, with values, limits and workings, for programs
    Json,
}

#[derive(clap::Args)]
pub struct Arguments {
    /// Records, or folders with records
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    /// Output format
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
    /// Include passing findings
    #[arg(long)]
    all: bool,
    /// Exit with 1 on this
    #[arg(long, value_enum, default_value_t = FailOn::Fails)]
    fail_on: FailOn,
}

/// What counts as failing, for the exit code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum FailOn {
    /// A finding or a verdict that fails
    Fails,
    /// Also what is for review
    Review,
    /// Also every verdict that is no pass
    Open,
}

impl FailOn {
    fn grade(self) -> Grade {
        match self {
            Self::Fails => Grade::Fails,
            Self::Review => Grade::Review,
            Self::Open => Grade::Open,
        }
    }
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    let job = compile(&Disk, &arguments.paths);
    output::print(&match arguments.format {
        Format::Json => json::document(&job),
        Format::Human | Format::Short => {
            text(&job, arguments.format, arguments.all, output::style())
        }
    });
    job.outcome(arguments.fail_on.grade())
}

/// Everything told, and a count at the end.
pub fn text(job: &Job, format: Format, all: bool, style: Style) -> String {
    let mut out = String::new();
    for told in &job.others {
        out.push_str(&draw_all(&told.source, &told.diagnostics, format, style));
    }
    for one in &job.records {
        out.push_str(&draw_all(&one.source, &one.diagnostics, format, style));
        let claims = one.claims();
        for (visit, assessed) in one.assessment.visits.iter().enumerate() {
            for finding in &assessed.findings {
                // What a later visit has answered is no longer told unless it is asked for.
                let counts = finding.grade() >= Grade::Review && claims.stands(visit, finding);
                if all || counts {
                    out.push_str(&draw_finding(one, finding, format, style));
                }
            }
        }
    }
    for one in &job.records {
        out.push_str(&closing(one));
    }
    out.push_str(&summary(job));
    out
}

/// The verdict of the unit and of its circuit, then a line for each core.
fn closing(one: &Compiled) -> String {
    let claims = one.claims();
    let id = one.record.plate.id_text();
    let owners = [Whose::Transformer, Whose::Circuit];
    let unit = owners.into_iter().filter_map(|whose| {
        let said = one.plain(&claims.sum(whose, None)?.phrase());
        Some(format!("{id} unit {}: {said}\n", whose.word()))
    });
    let measured = claims.measurement();
    let measured = measured.map(|said| format!("{id} way of measuring: {}\n", one.plain(&said)));
    let core = |(index, core): (usize, &Core)| {
        let sums = owners.into_iter().filter_map(|whose| {
            let sum = claims.sum(whose, Some(index))?;
            Some(format!("{} {}", whose.word(), sum.brief()))
        });
        let sums: Vec<String> = sums.collect();
        (!sums.is_empty()).then(|| format!("{id} {}: {}\n", core.name, sums.join("; ")))
    };
    let cores = one.record.cores.iter().enumerate().filter_map(core);
    unit.chain(measured).chain(cores).collect()
}

fn draw_all(source: &Source, found: &[Diagnostic], format: Format, style: Style) -> String {
    match format {
        Format::Human => draw::human(source, found, style),
        Format::Short | Format::Json => found
            .iter()
            .map(|diagnostic| draw::short(source, diagnostic))
            .collect(),
    }
}

fn draw_finding(one: &Compiled, finding: &Finding, format: Format, style: Style) -> String {
    match format {
        Format::Human => draw::finding(one, finding, style),
        Format::Short | Format::Json => draw::finding_short(one, finding),
    }
}

/// `33 records: 0 errors, 9 warnings; 8 fails, 2 review, 5 open`.
fn summary(job: &Job) -> String {
    let count = |severity: Severity| {
        let found = job.diagnostics().flat_map(|(_, found)| found);
        found.filter(|told| told.severity() == severity).count()
    };
    let findings = |grade: Grade| {
        // What a later visit has answered no longer counts.
        let counted = job.records.iter().map(|one| one.claims().count(grade));
        format!("{} {}", counted.sum::<usize>(), grade.word())
    };
    format!(
        "{}: {}, {}; {}, {}, {}\n",
        plural(job.records.len(), "record"),
        plural(count(Severity::Error), "error"),
        plural(count(Severity::Warning), "warning"),
        findings(Grade::Fails),
        findings(Grade::Review),
        findings(Grade::Open),
    )
}

/// `1 record`, `2 records`.
pub(super) fn plural(count: usize, word: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {word}{ending}")
}
