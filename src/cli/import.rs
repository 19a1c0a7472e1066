//! `kneemark import`: tables of others into records.

use super::output;
use crate::document::{free, slug_or};
use crate::ground::date;
use crate::ground::seam::{Disk, Files, standard_input};
use crate::ground::stage;
use crate::intake::{self, Asked, Grid, How, NewRecord, Put, Sheet, Written};
use crate::job::{Compiled, Job, Outcome, Survey, shown};
use crate::layout::even;
use crate::record::kinds::TestKind;
use crate::record::schema::Section;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
pub struct Arguments {
    #[command(subcommand)]
    what: What,
}

#[derive(clap::Subcommand)]
enum What {
    /// The readings of one test, as an instrument or a spreadsheet wrote them
    Readings(Readings),
    /// A bay sheet: one table for several units, into a new visit of each
    Sheet(BaySheet),
    /// A list of rating plates, into new records
    Plates(Plates),
}

/// The table.
#[derive(clap::Args)]
struct Given {
    /// Table: CSV, text parted by semicolons or tabs, or a workbook (XLSX); `-` reads standard input
    file: PathBuf,
    /// Which sheet of a workbook
    #[arg(long, value_name = "NAME")]
    worksheet: Option<String>,
    /// Numbers are written 1,5
    #[arg(long)]
    decimal_comma: bool,
}

#[derive(clap::Args)]
#[command(after_help = super::examples::IMPORT_READINGS)]
struct Readings {
    #[command(flatten)]
    given: Given,
    /// Section of the test: excitation, resistance, ratio, …
    #[arg(long = "as", value_name = "SECTION", value_parser = section)]
    section: &'static Section,
    /// Pair that all rows are of
    #[arg(long, value_name = "PAIR")]
    on: Option<String>,
    /// Columns in their order, with units, in place of a heading; `-` leaves one out
    #[arg(long, value_name = "COLUMN", value_delimiter = ',')]
    columns: Option<Vec<String>>,
    /// A line of the section, as "voltmeter: mean"; may repeat
    #[arg(long, value_name = "LINE")]
    key: Vec<String>,
    /// Record to write it into; printed unless written
    #[arg(long, value_name = "FILE")]
    into: Option<PathBuf>,
    /// Visit of that record, as 2026-03-14 or "2026-03-14 b"; the last unless written
    #[arg(long, value_name = "VISIT", requires = "into")]
    visit: Option<String>,
}

#[derive(clap::Args)]
#[command(after_help = super::examples::IMPORT_SHEET)]
struct BaySheet {
    #[command(flatten)]
    given: Given,
    /// Records, or folders with records, that the units of the sheet are looked for in
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    /// Day of the visit, as 2026-03-14, where the sheet has no column `day`
    #[arg(long, value_name = "DAY")]
    day: Option<String>,
    /// Purpose of the visit, where the sheet has no column `visit purpose`
    #[arg(long)]
    purpose: Option<String>,
    /// Print what would be written, and write nothing
    #[arg(long)]
    dry_run: bool,
}

#[derive(clap::Args)]
#[command(after_help = super::examples::IMPORT_PLATES)]
struct Plates {
    #[command(flatten)]
    given: Given,
    /// Folder for the new records
    #[arg(short, long, value_name = "DIR")]
    out: PathBuf,
}

fn section(name: &str) -> Result<&'static Section, String> {
    let kind = TestKind::of(name);
    let all = || TestKind::ALL.iter().map(|kind| kind.name());
    kind.map(TestKind::schema).ok_or_else(|| {
        let names: Vec<&str> = all().collect();
        format!("a test is one of {}", names.join(", "))
    })
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    let done = match &arguments.what {
        What::Readings(arguments) => readings(arguments),
        What::Sheet(arguments) => sheet(arguments),
        What::Plates(arguments) => plates(arguments),
    };
    match done {
        Ok(said) => {
            output::print(&said);
            Outcome::Clean
        }
        Err(faults) => {
            for fault in faults {
                output::complain(&fault);
            }
            output::complain("nothing was written");
            Outcome::Broken
        }
    }
}

type Done = Result<String, intake::Faults>;

impl Given {
    fn grid(&self) -> Result<Grid, intake::Faults> {
        let how = How {
            worksheet: self.worksheet.as_deref(),
            decimal_comma: self.decimal_comma,
        };
        let bytes = match self.file == Path::new("-") {
            true => standard_input(),
            false => Disk.read(&self.file),
        };
        let named = |told: String| vec![format!("{}: {told}", shown(&self.file))];
        let bytes = bytes.map_err(|error| named(error.to_string()))?;
        Grid::read(&bytes, how).map_err(named)
    }

    /// Faults with the file that they are in.
    fn named(&self, faults: intake::Faults) -> intake::Faults {
        let named = |told: String| format!("{}: {told}", shown(&self.file));
        faults.into_iter().map(named).collect()
    }
}

fn readings(arguments: &Readings) -> Done {
    let grid = arguments.given.grid()?;
    let asked = Asked {
        section: arguments.section,
        on: arguments.on.as_deref(),
        columns: arguments.columns.as_deref(),
        keys: &arguments.key,
    };
    let named = |faults| arguments.given.named(faults);
    let (lines, left) = intake::readings(&grid, &asked).map_err(named)?;
    let Some(into) = &arguments.into else {
        tell(left);
        return Ok(even(&lines.text).trim_start_matches('\n').to_owned());
    };
    let job = Survey::among(&Disk, std::slice::from_ref(into)).around(into);
    let record = readable(&job, into)?;
    let visit = match &arguments.visit {
        None => record.record.visits.len().checked_sub(1),
        Some(wanted) => record
            .record
            .visits
            .iter()
            .position(|visit| visit.name() == *wanted),
    };
    let place = visit.and_then(|visit| intake::into_visit(record, visit));
    let place = place.ok_or_else(|| {
        let wanted = arguments.visit.as_deref().unwrap_or_default();
        vec![format!(
            "{} has no visit {wanted}; `kneemark new --from` lays one out",
            shown(into)
        )]
    })?;
    let written = Written {
        files: &Disk,
        path: into,
        record,
    };
    let put = written.put(&lines, place).map_err(named)?;
    write(into, &put.text)?;
    tell(left);
    Ok(format!("{}: {}\n", shown(into), told(&put)))
}

/// What was left out, on standard error.
fn tell(left: Vec<String>) {
    for line in left {
        output::complain(&line);
    }
}

fn told(put: &Put) -> String {
    format!(
        "lines {} to {} are new",
        put.lines.start() + 1,
        put.lines.end()
    )
}

fn readable<'j>(job: &'j Job, path: &Path) -> Result<&'j Compiled, intake::Faults> {
    let own = job.records.iter().find(|one| one.path == path);
    own.filter(|one| !one.source.refused)
        .ok_or_else(|| vec![format!("{} cannot be read", shown(path))])
}

fn write(path: &Path, text: &str) -> Result<(), intake::Faults> {
    let failed = |error: std::io::Error| vec![format!("{}: {error}", shown(path))];
    stage::write(&Disk.resolve(path), text.as_bytes()).map_err(failed)
}

fn sheet(arguments: &BaySheet) -> Done {
    let grid = arguments.given.grid()?;
    let named = |faults| arguments.given.named(faults);
    let sheet = Sheet::of(&grid).map_err(named)?;
    if sheet.has_plate() {
        let told = "a bay sheet has no columns of a plate; `import plates` takes those";
        return Err(named(vec![told.to_owned()]));
    }
    let survey = Survey::of(&Disk, &arguments.paths, crate::job::Terms::default());
    let (mut puts, mut faults) = (Vec::new(), Vec::new());
    for unit in sheet.units() {
        let mut own = survey
            .found
            .iter()
            .filter(|found| found.id.as_deref() == Some(&unit.id));
        let path = match (own.next(), own.next()) {
            (Some(found), None) => found.path.clone(),
            (None, _) => {
                faults.push(format!("no record has the id `{}`", unit.id));
                continue;
            }
            (Some(one), Some(other)) => {
                faults.push(format!(
                    "{} and {} both have the id `{}`",
                    one.name, other.name, unit.id
                ));
                continue;
            }
        };
        match of_unit(arguments, &sheet, unit, &path) {
            Ok(put) => puts.push((path, put)),
            Err(mut told) => faults.append(&mut told),
        }
    }
    if !faults.is_empty() {
        return Err(named(faults));
    }
    let mut said = String::new();
    for (path, put) in puts {
        if arguments.dry_run {
            let new = put
                .text
                .lines()
                .enumerate()
                .filter(|(at, _)| put.lines.contains(&(at + 1)));
            let new: String = new.map(|(_, line)| format!("{line}\n")).collect();
            said.push_str(&format!("{}:\n{new}\n", shown(&path)));
            continue;
        }
        if let Err(mut faults) = write(&path, &put.text) {
            if !said.is_empty() {
                faults.push(format!(
                    "written before that: {}",
                    said.trim_end().replace('\n', "; ")
                ));
            }
            return Err(faults);
        }
        said.push_str(&format!("{}: {}\n", shown(&path), told(&put)));
    }
    Ok(said)
}

fn of_unit(
    arguments: &BaySheet,
    sheet: &Sheet<'_>,
    unit: &intake::OfUnit<'_>,
    path: &Path,
) -> Result<Put, intake::Faults> {
    let day = match (&unit.day, &arguments.day) {
        (Some(_), Some(_)) => {
            return Err(vec![
                "the sheet has a column `day`; leave --day out".to_owned(),
            ]);
        }
        (Some(day), None) | (None, Some(day)) => day,
        (None, None) => {
            return Err(vec![format!(
                "{}: the day of the visit is not stated; write --day, or a column `day`",
                unit.id
            )]);
        }
    };
    if date::read(day).is_err() {
        return Err(vec![format!(
            "{}: `{day}` is no day; write year-month-day, such as 2026-03-14",
            unit.id
        )]);
    }
    let lines = sheet.visit(unit, day, arguments.purpose.as_deref())?;
    let job = Survey::among(&Disk, &[path.to_owned()]).around(path);
    let record = readable(&job, path)?;
    let written = Written {
        files: &Disk,
        path,
        record,
    };
    written.put(&lines, intake::visit_at_end(record))
}

fn plates(arguments: &Plates) -> Done {
    let grid = arguments.given.grid()?;
    let named = |faults| arguments.given.named(faults);
    let sheet = Sheet::of(&grid).map_err(named)?;
    let records = intake::new_records(&sheet).map_err(named)?;
    let mut taken = BTreeSet::new();
    let file = |record: NewRecord| {
        let name = free(&slug_or(&record.id, "ct"), 2, |name| taken.contains(name));
        taken.insert(name.clone());
        (arguments.out.join(format!("{name}.ctr")), record.text)
    };
    let files: Vec<(PathBuf, String)> = records.into_iter().map(file).collect();
    let there = files.iter().filter(|(path, _)| Disk.exists(path));
    let there: Vec<String> = there
        .map(|(path, _)| format!("{} is there already", shown(path)))
        .collect();
    if !there.is_empty() {
        return Err(there);
    }
    let mut said = String::new();
    for (path, text) in files {
        write(&path, &text)?;
        said.push_str(&format!("{}\n", shown(&path)));
    }
    Ok(said)
}
