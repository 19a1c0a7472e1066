//! `kneemark check`: every diagnostic and every finding that deserves a look.

use super::draw::{self, Style};
use super::output;
use crate::document::Grade;
use crate::emit::{Seen, Wire, github, json, junit, sarif};
use crate::ground::diagnostic::{Diagnostic, Severity};
use crate::ground::seam::{self, Disk, InHand};
use crate::ground::source::Source;
use crate::job::{Compiled, Diagnosed, Job, Kin, Outcome, Survey, Terms, outcome};
use crate::judge::finding::Finding;
use crate::judge::requirement::Claims;
use crate::judge::rules::Whose;
use crate::record::core::Core;
use std::path::{Path, PathBuf};

/// Output format.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// For people, with the lines of the record
    Human,
    /// One line each
    Short,
    /// Everything, with values, limits and workings, for programs
    Json,
    /// SARIF 2.1.0, for code scanning and editors
    Sarif,
    /// JUnit XML, for lists of test results
    Junit,
    /// Workflow commands, for annotations beside the lines
    Github,
}

#[derive(clap::Args)]
#[command(after_help = super::examples::CHECK)]
pub struct Arguments {
    /// Records, or folders with records; `-` reads one record from standard input
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    /// With `-`: the file that the text is of, as an editor has it before it is saved
    #[arg(long = "as", value_name = "FILE")]
    stands_for: Option<PathBuf>,
    /// Output format
    #[arg(long, value_enum, default_value_t = Format::Human)]
    format: Format,
    /// Include passing findings (human and short; json has them all)
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

/// The path that stands for standard input, and how messages name it.
const INPUT: &str = "-";
pub(super) const NAMED: &str = "<stdin>";

/// Whether standard input is to be read.
pub(super) fn reads_input(paths: &[PathBuf]) -> bool {
    paths.iter().any(|path| path == Path::new(INPUT))
}

/// What is wrong where standard input is not the only thing to read.
pub(super) fn crowded(paths: &[PathBuf]) -> Option<String> {
    (reads_input(paths) && paths.len() > 1).then(|| {
        "`-` is one record from standard input and stands alone; a file of that name is `./-`"
            .to_owned()
    })
}

/// What is wrong with the arguments as a whole.
pub fn misplaced(arguments: &Arguments) -> Option<String> {
    let nothing_to_stand_for = arguments.stands_for.is_some() && !reads_input(&arguments.paths);
    let told = "`--as` says which file the text of standard input is of: give `-` as the path";
    crowded(&arguments.paths).or(nothing_to_stand_for.then(|| told.to_owned()))
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    if !reads_input(&arguments.paths) {
        return look(&Survey::among(&Disk, &arguments.paths), arguments);
    }
    let path = arguments.stands_for.as_deref();
    let text = seam::standard_input();
    let files = InHand::new(&Disk, path.unwrap_or(Path::new(NAMED)), text);
    let survey = match path {
        Some(path) => Survey::among(&files, &[path.to_owned()]),
        // It has a folder, but no place among the records there: it may be one of them.
        None => Survey::of(&files, &[PathBuf::from(NAMED)], Terms::default()),
    };
    look(&survey, arguments)
}

fn look(survey: &Survey<'_>, arguments: &Arguments) -> Outcome {
    let from = arguments.fail_on.grade();
    match arguments.format {
        Format::Json => write::<json::List>(survey, from),
        Format::Sarif => write::<sarif::Log>(survey, from),
        Format::Junit => write::<junit::Suites>(survey, from),
        Format::Github => write::<github::Annotations>(survey, from),
        Format::Human | Format::Short => tell(survey, arguments, from),
    }
}

/// For programs.
fn write<W: Wire>(survey: &Survey<'_>, from: Grade) -> Outcome {
    let mut worst = read(&survey.others, survey.asked.len());
    let mut wire = W::default();
    output::print(&W::begin());
    let make = |index: usize, kin: &Kin<'_>| {
        let one = kin.get(index)?;
        let sisters = survey.sisters(index);
        let claims = one.claims();
        let seen = Seen {
            one,
            claims: &claims,
            sisters: sisters
                .map(|one| (one.id.as_deref(), one.sha256.as_str()))
                .collect(),
            from,
        };
        Some((W::make(&seen), one.outcome_by(&claims, from)))
    };
    let take = |made: Option<(W::Made, Outcome)>| {
        let (text, outcome) = match made {
            Some((made, outcome)) => (wire.next(made), outcome),
            None => (String::new(), Outcome::Broken),
        };
        output::print(&text);
        worst = worst.max(outcome);
    };
    survey.each(&survey.asked, make, take);
    output::print(&wire.end(&survey.others));
    worst
}

/// For people.
fn tell(survey: &Survey<'_>, arguments: &Arguments, from: Grade) -> Outcome {
    let mut worst = read(&survey.others, survey.asked.len());
    let (format, style) = (arguments.format, output::style());
    let mut said = Account::of(&survey.others, format, style);
    output::print(&std::mem::take(&mut said.told));
    let make = |index: usize, kin: &Kin<'_>| {
        let one = kin.get(index)?;
        let claims = one.claims();
        let said = Account::by(one, &claims, format, arguments.all, style);
        Some((said, one.outcome_by(&claims, from)))
    };
    let take = |made: Option<(Account, Outcome)>| {
        let Some((more, outcome)) = made else { return };
        output::print(&said.add(more));
        worst = worst.max(outcome);
    };
    survey.each(&survey.asked, make, take);
    output::print(&said.end());
    worst
}

/// How the files beside the records came out.
fn read(others: &[Diagnosed], records: usize) -> Outcome {
    let mut told = others.iter().flat_map(|told| &told.diagnostics);
    outcome(!told.any(Diagnostic::is_error) && records > 0, false)
}

/// Everything told of a whole job, and a count at the end.
pub fn text(job: &Job, format: Format, all: bool, style: Style) -> String {
    let mut said = Account::of(&job.others, format, style);
    let mut out = std::mem::take(&mut said.told);
    for one in &job.records {
        out.push_str(&said.add(Account::by(one, &one.claims(), format, all, style)));
    }
    out + &said.end()
}

/// What is said of some records.
#[derive(Default)]
struct Account {
    /// Diagnostics and findings.
    told: String,
    /// Verdicts, which stand behind all of those.
    closing: String,
    records: usize,
    errors: usize,
    warnings: usize,
    /// How many findings of each grade stand.
    findings: [usize; COUNTED.len()],
}

/// Grades that are counted at the end.
const COUNTED: [Grade; 3] = [Grade::Fails, Grade::Review, Grade::Open];

impl Account {
    /// Of files that are no records.
    fn of(others: &[Diagnosed], format: Format, style: Style) -> Self {
        let mut said = Self::default();
        for told in others {
            said.count(&told.diagnostics);
            said.told
                .push_str(&draw_all(&told.source, &told.diagnostics, format, style));
        }
        said
    }

    /// Of one record.
    fn by(one: &Compiled, claims: &Claims<'_>, format: Format, all: bool, style: Style) -> Self {
        let mut said = Self {
            told: draw_all(&one.source, &one.diagnostics, format, style),
            closing: closing(one, claims),
            records: 1,
            // What a later visit has answered no longer counts.
            findings: COUNTED.map(|grade| claims.count(grade)),
            ..Self::default()
        };
        said.count(&one.diagnostics);
        for (visit, assessed) in one.assessment.visits.iter().enumerate() {
            // What a cause explains stands with it.
            let folded = |finding: &Finding| {
                let mut causes = assessed.findings.iter();
                format == Format::Human
                    && causes.any(|cause| cause.explains(finding) && claims.stands(visit, cause))
            };
            for finding in &assessed.findings {
                // Nor is it told unless it is asked for.
                let counts = finding.grade() >= Grade::Review && claims.stands(visit, finding);
                if all || counts && !folded(finding) {
                    said.told.push_str(&draw_finding(
                        (one, claims),
                        (visit, finding),
                        format,
                        style,
                    ));
                }
            }
        }
        said
    }

    fn count(&mut self, found: &[Diagnostic]) {
        let of = |severity: Severity| {
            let all = found.iter();
            all.filter(|told| told.severity() == severity).count()
        };
        self.errors += of(Severity::Error);
        self.warnings += of(Severity::Warning);
    }

    /// Takes what is said of further records; gives what is told at once.
    fn add(&mut self, more: Self) -> String {
        self.closing.push_str(&more.closing);
        self.records += more.records;
        self.errors += more.errors;
        self.warnings += more.warnings;
        for (sum, more) in self.findings.iter_mut().zip(more.findings) {
            *sum += more;
        }
        more.told
    }

    /// Verdicts, then `33 records: 0 errors, 9 warnings; findings: 8 fails, 2 review, 5 open`.
    fn end(self) -> String {
        let counted = COUNTED.iter().zip(self.findings);
        let counted = counted.map(|(grade, count)| format!("{count} {}", grade.word()));
        format!(
            "{}{}: {}, {}; findings: {}\n",
            self.closing,
            plural(self.records, "record"),
            plural(self.errors, "error"),
            plural(self.warnings, "warning"),
            counted.collect::<Vec<_>>().join(", ")
        )
    }
}

/// The verdict of the unit and of its circuit, then a line for each core.
fn closing(one: &Compiled, claims: &Claims<'_>) -> String {
    let id = one.record.plate.id_text();
    let owners = [Whose::Transformer, Whose::Circuit];
    let unit = owners.into_iter().filter_map(|whose| {
        let said = one.plain(&claims.sum(whose, None)?.phrase());
        Some(format!("{id} unit {}: {said}", whose.word()))
    });
    let measured = claims.measurement();
    let measured = measured.map(|said| format!("{id} way of measuring: {}", one.plain(&said)));
    // Names and reasons are the record's own words.
    let line = |text: String| draw::steering_nothing(&text) + "\n";
    let core = |(index, core): (usize, &Core)| {
        let sums = owners.into_iter().filter_map(|whose| {
            let said = one.plain(&claims.sum(whose, Some(index))?.brief());
            Some(format!("{} {}", whose.word(), said))
        });
        let sums: Vec<String> = sums.collect();
        (!sums.is_empty()).then(|| format!("{id} {}: {}", core.name, sums.join("; ")))
    };
    let cores = one.record.cores.iter().enumerate().filter_map(core);
    unit.chain(measured).chain(cores).map(line).collect()
}

fn draw_all(source: &Source, found: &[Diagnostic], format: Format, style: Style) -> String {
    if format == Format::Human {
        return draw::human(source, found, style);
    }
    let lines = found.iter().map(|told| draw::short(source, told));
    lines.collect()
}

fn draw_finding(
    of: (&Compiled, &Claims<'_>),
    finding: (usize, &Finding),
    format: Format,
    style: Style,
) -> String {
    match format == Format::Human {
        true => draw::finding(of, finding, style),
        false => draw::finding_short(of, finding),
    }
}

/// `1 record`, `2 records`.
pub(super) fn plural(count: usize, word: &str) -> String {
    let ending = if count == 1 { "" } else { "s" };
    format!("{count} {word}{ending}")
}
