//! `kneemark check`: every diagnostic and every finding that deserves a look.

use super::draw::{self, Style};
use super::{Outcome, output};
use crate::emit::json;
use crate::ground::diagnostic::Severity;
use crate::ground::seam::Disk;
use crate::judge::finding::{Finding, Grade};
use crate::judge::say;
use crate::pack::gather::{Gathered, Unit, gather};
use std::path::PathBuf;

/// How it is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// For people, with the lines
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
    /// How it is told
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
    /// Show every finding, also the good ones
    #[arg(long)]
    all: bool,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    let gathered = gather(&Disk, &arguments.paths);
    output::print(&match arguments.format {
        Format::Json => json::document(&gathered),
        Format::Human | Format::Short => {
            text(&gathered, arguments.format, arguments.all, output::style())
        }
    });
    outcome(&gathered)
}

/// The worst of what was gathered.
pub fn outcome(gathered: &Gathered) -> Outcome {
    let broken = gathered.others.iter().any(|told| {
        told.diagnostics
            .iter()
            .any(crate::ground::diagnostic::Diagnostic::is_error)
    });
    let incomplete = gathered.units.iter().any(|unit| !unit.is_complete());
    let fails = gathered
        .units
        .iter()
        .any(|unit| unit.assessment.bad().next().is_some());
    if broken || incomplete || gathered.units.is_empty() {
        Outcome::Broken
    } else if fails {
        Outcome::Fails
    } else {
        Outcome::Clean
    }
}

/// How one record came out.
pub fn outcome_of(unit: &Unit) -> Outcome {
    if !unit.is_complete() {
        Outcome::Broken
    } else if unit.assessment.bad().next().is_some() {
        Outcome::Fails
    } else {
        Outcome::Clean
    }
}

/// Everything told, and a count at the end.
pub fn text(gathered: &Gathered, format: Format, all: bool, style: Style) -> String {
    let mut out = String::new();
    for told in &gathered.others {
        out.push_str(&draw_all(&told.source, &told.diagnostics, format, style));
    }
    for unit in &gathered.units {
        out.push_str(&draw_all(&unit.source, &unit.diagnostics, format, style));
        for (_, finding) in shown(unit, all) {
            out.push_str(&draw_finding(unit, finding, format, style));
        }
    }
    out.push_str(&summary(gathered));
    out
}

/// The diagnostics alone, without findings and count.
pub fn diagnostics(gathered: &Gathered, format: Format, style: Style) -> String {
    let others = gathered
        .others
        .iter()
        .map(|told| (&told.source, &told.diagnostics));
    let units = gathered
        .units
        .iter()
        .map(|unit| (&unit.source, &unit.diagnostics));
    others
        .chain(units)
        .map(|(source, found)| draw_all(source, found, format, style))
        .collect()
}

fn draw_all(
    source: &crate::ground::source::Source,
    found: &[crate::ground::diagnostic::Diagnostic],
    format: Format,
    style: Style,
) -> String {
    match format {
        Format::Human => draw::human(source, found, style),
        Format::Short | Format::Json => found
            .iter()
            .map(|diagnostic| draw::short(source, diagnostic))
            .collect(),
    }
}

/// Findings of a unit: those that deserve a look, or all.
fn shown(unit: &Unit, all: bool) -> impl Iterator<Item = (usize, &Finding)> {
    let visits = unit.assessment.visits.iter().enumerate();
    let findings = visits
        .flat_map(|(index, visit)| visit.findings.iter().map(move |finding| (index, finding)));
    findings.filter(move |(_, finding)| all || finding.grade() >= Grade::Doubt)
}

fn draw_finding(unit: &Unit, finding: &Finding, format: Format, style: Style) -> String {
    let sentence = say::sentence(
        &unit.record,
        &unit.assessment.workings,
        &unit.setting.criteria,
        finding,
    );
    match format {
        Format::Human => draw::finding(&unit.source, finding, &sentence, style),
        Format::Short | Format::Json => draw::finding_short(&unit.source, finding, &sentence),
    }
}

/// `33 records: 0 errors, 9 warnings; 8 findings fail, 2 deserve a look`.
pub fn summary(gathered: &Gathered) -> String {
    let diagnostics = || {
        let others = gathered.others.iter().flat_map(|told| &told.diagnostics);
        others.chain(gathered.units.iter().flat_map(|unit| &unit.diagnostics))
    };
    let count = |severity: Severity| {
        diagnostics()
            .filter(|diagnostic| diagnostic.severity() == severity)
            .count()
    };
    let findings = |grade: Grade| {
        let all = gathered.units.iter().flat_map(|unit| {
            unit.assessment
                .visits
                .iter()
                .flat_map(|visit| &visit.findings)
        });
        all.filter(|finding| finding.grade() == grade).count()
    };
    format!(
        "{}: {}, {}; {} out of limits, {} to look at\n",
        plural(gathered.units.len(), "record"),
        plural(count(Severity::Error), "error"),
        plural(count(Severity::Warning), "warning"),
        plural(findings(Grade::Bad), "finding"),
        findings(Grade::Doubt),
    )
}

fn plural(count: usize, word: &str) -> String {
    if count == 1 {
        format!("1 {word}")
    } else {
        format!("{count} {word}s")
    }
}
