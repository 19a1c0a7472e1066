//! `kneemark worksheet`: what to do and where to write it down, before the visit.

use super::made::Sheet;
use super::{draw, output};
use crate::document::TemplateFault;
use crate::ground::nearest::nearest;
use crate::ground::seam::{Disk, Files};
use crate::job::{Compiled, Job, Outcome, Survey, outcome, shown};
use crate::report::worksheet::{self, Options, Subject, USUAL_TEMPERATURE, Worksheet};
use crate::trade::Purpose;
use std::path::PathBuf;

#[derive(clap::Args)]
#[command(after_help = super::examples::WORKSHEET)]
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
    /// Purpose of the visit: factory, receiving, commissioning, before energising, after energising, maintenance, after a fault, retest,
    /// investigation; own words may follow
    #[arg(long, default_value = "commissioning", value_parser = purpose)]
    purpose: String,
    #[command(flatten)]
    sheet: Sheet,
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

/// A purpose that decides what is due; another word would give the tests of another visit.
fn purpose(text: &str) -> Result<String, String> {
    if Purpose::read(text) != Purpose::Other {
        return Ok(text.to_owned());
    }
    let known = Purpose::WORDS.join(", ");
    let near = nearest(Purpose::beginning(text), Purpose::WORDS.iter().copied());
    Err(match near {
        Some(near) => format!("did you mean `{near}`? The purposes are {known}"),
        None => format!("the purposes are {known}"),
    })
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    let paths: Vec<PathBuf> = std::iter::once(&arguments.file)
        .chain(&arguments.set)
        .cloned()
        .collect();
    let job = Survey::among(&Disk, &paths).job();
    // The first stays first, whatever the names are.
    let records: Vec<&Compiled> = paths
        .iter()
        .filter_map(|path| job.records.iter().find(|one| one.path == *path))
        .collect();
    output::print(&tell(&job));
    let written = match twice(&paths).or_else(|| problem(arguments, &records)) {
        Some(problem) => Err(problem),
        None => write(arguments, &records),
    };
    match written {
        Ok(paths) => {
            output::print(&paths);
            outcome(records.iter().all(|one| one.is_complete()), false)
        }
        Err(problem) => {
            output::print(&format!("{problem}\n"));
            Outcome::Broken
        }
    }
}

/// Errors of the records, drawn; a sheet is of the plate, so warnings about visits are left to `check`.
fn tell(job: &Job) -> String {
    let style = output::style();
    let others = job.others.iter();
    let others = others.map(|told| draw::human(&told.source, &told.diagnostics, style));
    let records = job.records.iter();
    let records = records.map(|one| draw::human(&one.source, one.errors(), style));
    others.chain(records).collect()
}

fn write(arguments: &Arguments, records: &[&Compiled]) -> Result<String, String> {
    let made = make(arguments, records).map_err(|error| format!("no sheet: {error}"))?;
    let sheet = &arguments.sheet;
    sheet.write(&Disk, &made.slug, &made.markdown, &made.html, &[])
}

/// A record that is named twice: its sheet would have one unit in two places.
fn twice(paths: &[PathBuf]) -> Option<String> {
    let places: Vec<PathBuf> = paths.iter().map(|path| Disk.resolve(path)).collect();
    let same = |(at, _): &(usize, &PathBuf)| {
        let mut before = places.iter().take(*at);
        before.any(|place| places.get(*at) == Some(place))
    };
    let (_, again) = paths.iter().enumerate().find(same)?;
    Some(format!(
        "no sheet: {} is named twice; name each unit of the set once",
        shown(again)
    ))
}

/// Why no sheet can be made.
fn problem(arguments: &Arguments, records: &[&Compiled]) -> Option<String> {
    if records.is_empty() {
        return Some(format!(
            "no sheet: {} holds no record that can be read",
            shown(&arguments.file)
        ));
    }
    if let Some(unit) = records.iter().find(|unit| unit.record.cores.is_empty()) {
        return Some(format!(
            "no sheet: {} has no [core] section that can be read",
            unit.source.name
        ));
    }
    let name = arguments.core.as_ref()?;
    let cores: Vec<&str> = records
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

fn make(arguments: &Arguments, records: &[&Compiled]) -> Result<Worksheet, TemplateFault> {
    let options = Options {
        core: arguments.core.as_deref(),
        celsius: arguments.temperature,
        purpose: &arguments.purpose,
        paper: arguments.sheet.paper,
    };
    let subjects: Vec<Subject<'_>> = records.iter().map(|unit| Subject::of(unit)).collect();
    worksheet::worksheet(&subjects, &options)
}
