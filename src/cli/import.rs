//! `kneemark import`: tables of others into records.

use super::output;
use crate::document::{free, slug_or};
use crate::ground::date;
use crate::ground::seam::{Disk, Files, standard_input};
use crate::ground::stage;
use crate::intake::{self, Asked, Grid, How, NewRecord, Put, Sheet, Written};
use crate::job::{Outcome, Survey, shown};
use crate::layout::even;
use crate::record::kinds::TestKind;
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
    #[arg(long = "as", value_name = "SECTION", value_parser = kind)]
    kind: TestKind,
    /// Pair that all rows are of
    #[arg(long, value_name = "PAIR")]
    on: Option<String>,
    /// Columns in their order, with units, in place of a heading; `-` leaves one out
    #[arg(
        long,
        value_name = "COLUMN",
        value_delimiter = ',',
        allow_hyphen_values = true
    )]
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

/// The kind of a test by the name of its section.
pub(super) fn kind(name: &str) -> Result<TestKind, String> {
    TestKind::of(name).ok_or_else(|| {
        let names: Vec<&str> = TestKind::ALL.iter().map(|kind| kind.name()).collect();
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
        Err(stopped) => {
            for fault in stopped.faults {
                output::complain(&fault);
            }
            match stopped.written.is_empty() {
                true => output::complain("nothing was written"),
                false => output::complain(&format!(
                    "written before that: {}",
                    stopped.written.join(", ")
                )),
            }
            Outcome::Broken
        }
    }
}

/// What a command came to that did not end.
struct Stopped {
    faults: intake::Faults,
    /// Files that it had written by then.
    written: Vec<String>,
}

impl From<intake::Faults> for Stopped {
    fn from(faults: intake::Faults) -> Self {
        Self {
            faults,
            written: Vec::new(),
        }
    }
}

type Done = Result<String, Stopped>;

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
        section: arguments.kind.schema(),
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
    let survey = Survey::among(&Disk, std::slice::from_ref(into));
    let written = Written::of(&Disk, &survey, into)?;
    let (place, visit) = written.into_visit(arguments.visit.as_deref())?;
    let more = match written.put(&lines, place).map_err(named)? {
        Put::More(more) => more,
        Put::Already => return Ok(format!("{}: [visit {visit}] {ALREADY}\n", shown(into))),
    };
    write_all([(into.clone(), more.text)])?;
    tell(left);
    let new = new_lines(&more.lines);
    Ok(format!("{}: [visit {visit}], {new}\n", shown(into)))
}

/// What was left out, on standard error.
fn tell(left: Vec<String>) {
    for line in left {
        output::complain(&line);
    }
}

/// What is said of a record that was written before, as by a run that was stopped.
const ALREADY: &str = "ends with these lines already";

fn new_lines(lines: &std::ops::RangeInclusive<usize>) -> String {
    format!("lines {} to {} are new", lines.start() + 1, lines.end())
}

/// Writes files, and says which of them were written where one cannot be.
fn write_all(files: impl IntoIterator<Item = (PathBuf, String)>) -> Result<Vec<String>, Stopped> {
    let mut written = Vec::new();
    for (path, text) in files {
        if let Err(error) = stage::write(&Disk.resolve(&path), text.as_bytes()) {
            let faults = vec![format!("{}: {error}", shown(&path))];
            return Err(Stopped { faults, written });
        }
        written.push(shown(&path));
    }
    Ok(written)
}

fn sheet(arguments: &BaySheet) -> Done {
    let grid = arguments.given.grid()?;
    let named = |faults| arguments.given.named(faults);
    let sheet = Sheet::of(&grid).map_err(named)?;
    if sheet.has_plate() {
        let told = "a bay sheet has no columns of a plate; `import plates` takes those";
        return Err(named(vec![told.to_owned()]).into());
    }
    let survey = Survey::among(&Disk, &arguments.paths);
    let (mut puts, mut faults, mut said) = (Vec::new(), Vec::new(), Vec::new());
    for unit in sheet.units() {
        let known: Vec<String> = faults.clone();
        let asked = survey
            .asked
            .iter()
            .filter_map(|index| survey.found.get(*index));
        let mut own = asked.filter(|found| found.id.as_deref() == Some(&unit.id));
        let path = match (own.next(), own.next()) {
            (Some(found), None) => found.path.clone(),
            (None, _) => {
                faults.push(format!(
                    "row {}: no record has the id `{}`",
                    unit.first_row(),
                    unit.id
                ));
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
        match of_unit(arguments, &survey, (&sheet, unit), &path) {
            Ok(Some(Put::More(more))) => puts.push((path, more)),
            Ok(Some(Put::Already)) => said.push(format!("{}: {ALREADY}\n", shown(&path))),
            Ok(None) => said.push(format!(
                "{}: no reading of {}, so no visit\n",
                shown(&path),
                unit.id
            )),
            Err(told) => faults.extend(
                told.into_iter()
                    .filter(|told| !known.contains(told))
                    .collect::<Vec<_>>(),
            ),
        }
    }
    if !faults.is_empty() {
        return Err(named(faults).into());
    }
    if arguments.dry_run {
        let of = |(path, put): &(PathBuf, intake::More)| {
            let lines = put.text.lines().enumerate();
            let new = lines.filter(|(at, _)| put.lines.contains(&(at + 1)));
            let new: String = new.map(|(_, line)| format!("{line}\n")).collect();
            format!("{}:\n{new}\n", shown(path))
        };
        return Ok(said.into_iter().chain(puts.iter().map(of)).collect());
    }
    let new: Vec<String> = puts.iter().map(|(_, put)| new_lines(&put.lines)).collect();
    let files = puts.into_iter().map(|(path, put)| (path, put.text));
    let written = write_all(files)?;
    let new = written.iter().zip(new);
    let new = new.map(|(path, new)| format!("{path}: {new}\n"));
    Ok(said.into_iter().chain(new).collect())
}

/// The visit of one unit, put at the end of its record.
fn of_unit(
    arguments: &BaySheet,
    survey: &Survey<'_>,
    (sheet, unit): (&Sheet<'_>, &intake::OfUnit<'_>),
    path: &Path,
) -> Result<Option<Put>, intake::Faults> {
    let row = unit.first_row();
    let day = match (&unit.day, &arguments.day) {
        (Some(_), Some(_)) => {
            return Err(vec![
                "the sheet has a column `day`; leave --day out".to_owned(),
            ]);
        }
        (Some(day), None) | (None, Some(day)) => day,
        (None, None) => {
            return Err(vec![format!(
                "row {row}: the day of the visit of {} is not stated; write --day, or a column `day`",
                unit.id
            )]);
        }
    };
    // A second visit of a day has a letter.
    let bare = day.rsplit_once(' ').filter(|(_, letter)| {
        letter.len() == 1 && letter.bytes().all(|byte| byte.is_ascii_lowercase())
    });
    if date::read(bare.map_or(day, |(day, _)| day)).is_err() {
        return Err(vec![format!(
            "row {row}: `{day}` is no day; write year-month-day, such as 2026-03-14"
        )]);
    }
    let Some(lines) = sheet.visit(unit, day, arguments.purpose.as_deref())? else {
        return Ok(None);
    };
    let written = Written::of(&Disk, survey, path)?;
    let against = sheet.contradictions(unit, written.record());
    match against.is_empty() {
        true => written.put(&lines, written.end()).map(Some),
        false => Err(against),
    }
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
        return Err(there.into());
    }
    let written = write_all(files)?;
    Ok(written.iter().map(|path| format!("{path}\n")).collect())
}
