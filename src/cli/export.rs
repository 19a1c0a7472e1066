//! `kneemark export`: the tables of a job, for engines that ask a fleet.

use super::check::plural;
use super::{draw, output};
use crate::archive::Entry;
use crate::archive::long::Quantity;
use crate::archive::wide::CoreRow;
use crate::document::Grade;
use crate::emit::archive::csv::{Sheet, Sheets};
use crate::emit::archive::{Folders, Store, Target};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::{Disk, Files as _};
use crate::job::{Compiled, Diagnosed, Kin, Outcome, Survey, outcome, shown};
use std::io;
use std::path::{Path, PathBuf};

/// What the tables are written as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Format {
    /// quantities.csv and cores.csv
    Csv,
    /// Two folders of Apache Parquet, parted by site
    Parquet,
    /// One file, archive.sqlite
    Sqlite,
}

/// One of the tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Which {
    /// A row for each quantity at its line
    Quantities,
    /// A row for each core
    Cores,
}

#[derive(clap::Args)]
#[command(after_help = super::examples::EXPORT)]
pub struct Arguments {
    /// Records, or folders with records
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    /// Folder to write into, which is replaced as a whole; `-` prints one table as CSV
    #[arg(long, value_name = "FOLDER")]
    to: PathBuf,
    /// What the tables are written as
    #[arg(long, value_enum, default_value_t = Format::Csv)]
    format: Format,
    /// With `-`: the table that is printed
    #[arg(long, value_enum, default_value_t = Which::Quantities)]
    table: Which,
}

/// What is wrong with the arguments as a whole.
pub fn misplaced(arguments: &Arguments) -> Option<String> {
    let prints = arguments.to == Path::new("-");
    (prints && arguments.format != Format::Csv)
        .then(|| "`--to -` prints CSV; name a folder for any other format".to_owned())
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    let survey = Survey::among(&Disk, &arguments.paths);
    match arguments.to == Path::new("-") {
        true => print(&survey, arguments.table),
        false => write(&survey, arguments).unwrap_or_else(|message| {
            output::complain(&message);
            Outcome::Broken
        }),
    }
}

/// Hands over what each record adds, those of a site together; gives how the job came out.
fn each(
    survey: &Survey<'_>,
    mut take: impl FnMut(&Entry) -> io::Result<()>,
) -> io::Result<Outcome> {
    let mut order = survey.asked.clone();
    order.sort_by_key(|index| (site(survey, *index), *index));
    let mut worst = told(&survey.others);
    worst = worst.max(outcome(!order.is_empty(), false));
    let mut failed = None;
    let make = |index: usize, kin: &Kin<'_>| {
        let one = kin.get(index)?;
        let claims = one.claims();
        let outcome = one.outcome_by(&claims, Grade::Fails);
        Some((Entry::of(one, &claims), outcome, unreadable(one)))
    };
    survey.each(&order, make, |made| {
        let Some((entry, outcome, unreadable)) = made else {
            worst = Outcome::Broken;
            return;
        };
        worst = worst.max(outcome);
        output::explain(&unreadable);
        if failed.is_none() {
            failed = take(&entry).err();
        }
    });
    match failed {
        None => Ok(worst),
        Some(error) => Err(error),
    }
}

/// Where a record's unit stands now.
fn site<'s>(survey: &'s Survey<'_>, index: usize) -> Option<&'s str> {
    let place = survey.found.get(index)?.place.as_ref()?;
    place.site.value().map(String::as_str)
}

/// Tells what is wrong with files that are no records.
fn told(others: &[Diagnosed]) -> Outcome {
    let all = others.iter();
    let all = all.map(|told| output::tell(&told.source, &told.diagnostics));
    all.max().unwrap_or(Outcome::Clean)
}

/// What of a record could not be read.
fn unreadable(one: &Compiled) -> String {
    let errors: Vec<Diagnostic> = one.errors().cloned().collect();
    match errors.is_empty() {
        true => String::new(),
        false => draw::human(&one.source, &errors, output::style()),
    }
}

/// One table to standard output.
fn print(survey: &Survey<'_>, table: Which) -> Outcome {
    let printed = || {
        let mut sheet = match table {
            Which::Quantities => Sheet::of::<Quantity>(Printed)?,
            Which::Cores => Sheet::of::<CoreRow>(Printed)?,
        };
        let worst = each(survey, |entry| match table {
            Which::Quantities => sheet.put(&entry.quantities),
            Which::Cores => sheet.put(&entry.cores),
        })?;
        sheet.end()?;
        Ok(worst)
    };
    printed().unwrap_or_else(|error: io::Error| {
        output::complain(&error.to_string());
        Outcome::Broken
    })
}

/// Standard output; what does not arrive there is told at the end of the run.
struct Printed;

impl io::Write for Printed {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        output::pass_on(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn write(survey: &Survey<'_>, arguments: &Arguments) -> Result<Outcome, String> {
    // An archive that stands is not replaced by what a mistyped path leaves of it.
    let gone: Vec<String> = arguments
        .paths
        .iter()
        .filter(|path| !Disk.exists(path))
        .map(|path| shown(path))
        .collect();
    if !gone.is_empty() {
        return Err(format!(
            "nothing was written: there is no {}",
            gone.join(", ")
        ));
    }
    if survey.asked.is_empty() {
        told(&survey.others);
        return Err("nothing was written: there is no record".to_owned());
    }
    let sites = survey.asked.iter();
    let folders = Folders::of(sites.filter_map(|index| site(survey, *index)));
    let target = Target::open(&arguments.to)?;
    let (mut quantities, mut cores) = (0, 0);
    let mut fill = || {
        let mut store = store(&target, &folders, arguments.format)?;
        let worst = each(survey, |entry| {
            quantities += entry.quantities.len();
            cores += entry.cores.len();
            store.put(entry)
        })?;
        store.end()?;
        Ok(worst)
    };
    let worst = fill().map_err(|error: io::Error| target.failed(&error))?;
    let kept = target.finish()?;
    let name = shown(&arguments.to);
    let kept: String = kept
        .iter()
        .map(|path| format!("put there while it was made, kept: {}\n", shown(path)))
        .collect();
    output::print(&format!(
        "{name}: {}, {}, {}\n{}",
        plural(survey.asked.len(), "record"),
        plural(cores, "core"),
        plural(quantities, "row") + " of quantities",
        draw::steering_nothing(&kept)
    ));
    Ok(worst)
}

#[cfg(feature = "archive")]
fn store<'a>(
    target: &'a Target,
    folders: &'a Folders,
    format: Format,
) -> io::Result<Box<dyn Store + 'a>> {
    use crate::emit::archive::{parquet::Parted, sqlite::Base};
    Ok(match format {
        Format::Csv => Box::new(Sheets::within(&target.stage)?),
        Format::Parquet => Box::new(Parted::within(&target.stage, folders)),
        Format::Sqlite => Box::new(Base::within(&target.stage)?),
    })
}

#[cfg(not(feature = "archive"))]
fn store<'a>(target: &'a Target, _: &Folders, format: Format) -> io::Result<Box<dyn Store + 'a>> {
    match format {
        Format::Csv => Ok(Box::new(Sheets::within(&target.stage)?)),
        Format::Parquet | Format::Sqlite => Err(io::Error::other(
            "this build writes CSV alone; one with the cargo feature `archive`, which is on by default, writes Parquet and SQLite",
        )),
    }
}
