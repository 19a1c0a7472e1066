//! `kneemark worksheet`: what to do and where to write it down, before the visit.

use super::{Outcome, draw, output};
use crate::ground::seam::{Disk, Files};
use crate::pack::gather::{Gathered, Unit, gather, shown};
use crate::report::worksheet::{
    self, Options, Paper, Subject, USUAL_TEMPERATURE, Worksheet, html, markdown,
};
use std::path::{Path, PathBuf};

/// Size of the paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum PaperName {
    A4,
    Letter,
}

#[derive(clap::Args)]
pub struct Arguments {
    /// Record with the rating plate; visits in it are not needed
    file: PathBuf,
    /// Only this core, such as 1S
    #[arg(long, value_name = "NAME", conflicts_with = "set")]
    core: Option<String>,
    /// The records of the other phases: one page per test across all of them
    #[arg(long, num_args = 1.., value_name = "FILE")]
    set: Vec<PathBuf>,
    /// Temperature of the windings on the day, in degrees Celsius
    #[arg(long, default_value_t = USUAL_TEMPERATURE, allow_negative_numbers = true, value_parser = celsius)]
    temperature: f64,
    /// Purpose of the visit: commissioning, maintenance, …
    #[arg(long, default_value = "commissioning")]
    purpose: String,
    /// Size of the paper
    #[arg(long, value_enum, ignore_case = true, default_value_t = PaperName::A4)]
    paper: PaperName,
    /// Folder to write the HTML page and the Markdown text into
    #[arg(short, long, value_name = "DIR")]
    output: PathBuf,
}

/// A temperature at which somebody may work.
fn celsius(text: &str) -> Result<f64, String> {
    let value: f64 = text.parse().map_err(|_| "not a number".to_owned())?;
    if (-60.0..=120.0).contains(&value) {
        Ok(value)
    } else {
        Err("between -60 and 120".to_owned())
    }
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    // Each file is read on its own, so that the first stays first whatever the names are.
    let paths = std::iter::once(&arguments.file).chain(&arguments.set);
    let gathered: Vec<Gathered> = paths
        .map(|path| gather(&Disk, std::slice::from_ref(path)))
        .collect();
    let told = tell(&gathered);
    let units: Vec<&Unit> = gathered.iter().flat_map(|one| &one.units).collect();
    if let Some(problem) = problem(arguments, &units) {
        output::print(&format!("{told}{problem}\n"));
        return Outcome::Broken;
    }
    match write(&Disk, &arguments.output, make(arguments, &units)) {
        Ok(paths) => {
            output::print(&told);
            paths
                .iter()
                .for_each(|path| output::print(&format!("{path}\n")));
            if units.iter().all(|unit| unit.is_complete()) {
                Outcome::Clean
            } else {
                Outcome::Broken
            }
        }
        Err(problem) => {
            output::print(&format!("{told}{problem}\n"));
            Outcome::Broken
        }
    }
}

/// Errors of the records, drawn; a sheet is of the plate, so warnings about visits are left to `check`.
fn tell(gathered: &[Gathered]) -> String {
    let style = output::style();
    let mut text = String::new();
    for one in gathered {
        for told in &one.others {
            text.push_str(&draw::human(&told.source, &told.diagnostics, style));
        }
        for unit in &one.units {
            let errors: Vec<_> = unit
                .diagnostics
                .iter()
                .filter(|told| told.is_error())
                .cloned()
                .collect();
            text.push_str(&draw::human(&unit.source, &errors, style));
        }
    }
    text
}

/// Why no sheet can be made.
fn problem(arguments: &Arguments, units: &[&Unit]) -> Option<String> {
    if units.is_empty() {
        return Some(format!(
            "no sheet: {} holds no record that can be read",
            shown(&arguments.file)
        ));
    }
    if let Some(unit) = units.iter().find(|unit| unit.record.cores.is_empty()) {
        return Some(format!(
            "no sheet: {} has no [core] section that can be read",
            unit.source.name
        ));
    }
    let name = arguments.core.as_ref()?;
    let cores: Vec<&str> = units
        .iter()
        .flat_map(|unit| &unit.record.cores)
        .map(|core| core.name.as_str())
        .collect();
    let known = cores.contains(&name.as_str());
    (!known).then(|| {
        format!(
            "no sheet: there is no core `{}`; the record has {}",
            draw::one_line(name),
            cores.join(", ")
        )
    })
}

fn make(arguments: &Arguments, units: &[&Unit]) -> Result<Worksheet, minijinja::Error> {
    let options = Options {
        core: arguments.core.as_deref(),
        celsius: arguments.temperature,
        purpose: &arguments.purpose,
        paper: if arguments.paper == PaperName::A4 {
            Paper::A4
        } else {
            Paper::Letter
        },
    };
    let mut subjects = units.iter().map(|unit| subject(unit));
    match (subjects.next(), arguments.set.is_empty()) {
        (Some(subject), true) => worksheet::worksheet(&subject, &options),
        (first, _) => worksheet::set(
            &first.into_iter().chain(subjects).collect::<Vec<_>>(),
            &options,
        ),
    }
}

fn subject(unit: &Unit) -> Subject<'_> {
    let errors = unit
        .diagnostics
        .iter()
        .filter(|told| told.is_error())
        .count();
    Subject {
        record: &unit.record,
        criteria: &unit.setting.criteria,
        errors,
    }
}

/// Writes both files, or none when one of them would replace what kneemark did not write.
fn write(
    files: &dyn Files,
    folder: &Path,
    made: Result<Worksheet, minijinja::Error>,
) -> Result<Vec<String>, String> {
    let made = made.map_err(|error| format!("no sheet: {error}"))?;
    let written = [
        (folder.join(format!("{}.html", made.slug)), made.html),
        (folder.join(format!("{}.md", made.slug)), made.markdown),
    ];
    if let Some((path, _)) = written
        .iter()
        .find(|(path, _)| files.exists(path) && !is_ours(files, path))
    {
        return Err(format!(
            "not written: {} is there already, and kneemark did not write it",
            shown(path)
        ));
    }
    let mut paths = Vec::new();
    for (path, text) in &written {
        files
            .write(path, text.as_bytes())
            .map_err(|error| format!("not written: {}: {error}", shown(path)))?;
        paths.push(shown(path));
    }
    Ok(paths)
}

/// Whether a file carries the mark of a worksheet.
fn is_ours(files: &dyn Files, path: &Path) -> bool {
    let Ok(bytes) = files.read(path) else {
        return false;
    };
    let text = String::from_utf8_lossy(&bytes);
    text.contains(html::MARK) || text.lines().next_back() == Some(markdown::MARK)
}
