//! `kneemark new`: a record to begin with, or a visit to type into. Asks nothing and never overwrites.

use super::{draw, examples, output};
use crate::compile;
use crate::ground::date::{self, Date};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::nearest::nearest;
use crate::ground::seam::{self, Disk, Files};
use crate::ground::source::Source;
use crate::ground::stage;
use crate::job::{Compiled, Outcome, shown};
use crate::layout::even;
use crate::record::core_line::{self, CoreLine, said};
use crate::record::like::{Lent, SharedPlates};
use crate::record::{self, Record};
use crate::report::worksheet::{self, NewUnit};
use crate::syntax;
use crate::trade::Purpose;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
#[command(after_help = examples::NEW)]
pub struct Arguments {
    /// Lay out a visit of this record with all due tests, and print it
    #[arg(long, value_name = "FILE", conflicts_with = "out")]
    from: Option<PathBuf>,
    /// Write that visit at the end of the record, which stays one file for the CT's whole life
    #[arg(long, requires = "from")]
    append: bool,
    /// Purpose of that visit: maintenance, retest, …; commissioning unless written
    #[arg(long, value_parser = purpose, requires = "from")]
    purpose: Option<String>,
    /// Day of that visit, as 2026-03-14; today unless written
    #[arg(long, value_parser = day, requires = "from")]
    date: Option<Date>,
    /// File to write; standard output unless written
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
    #[command(flatten)]
    plate: PlateArguments,
}

/// Options of the plate: read by clap, each with its key of `[ct]`.
macro_rules! plate {
    ($($(#[$meta:meta])* $option:ident $key:literal,)*) => {
        /// What is known of the plate.
        #[derive(clap::Args)]
        #[command(next_help_heading = "Rating plate")]
        #[group(conflicts_with = "from")]
        struct PlateArguments {
            $($(#[$meta])* #[arg(long)] $option: Option<String>,)*
            /// A core: "2S PX 600/1 A knee 300 V exciting 30 mA at 300 V"; once for each core
            #[arg(long, value_name = "CORE")]
            core: Vec<String>,
        }

        impl PlateArguments {
            /// Option, key and text of everything that was written of the unit.
            fn values(&self) -> impl Iterator<Item = (&'static str, &'static str, &String)> {
                let all = [$((stringify!($option), $key, &self.$option)),*];
                all.into_iter().filter_map(|(option, key, text)| Some((option, key, text.as_ref()?)))
            }
        }
    };
}

plate! {
    /// Maker and serial, not the place
    id "id",
    maker "maker",
    serial "serial",
    /// With its edition: "IEC 61869-2:2012"
    standard "standard",
    /// Highest voltage for equipment: "145 kV"
    voltage "highest voltage",
    /// Rated frequency: "50 Hz"
    frequency "frequency",
    site "site",
    bay "bay",
    phase "phase",
}

pub(super) fn day(text: &str) -> Result<Date, String> {
    date::read(text).map_err(|_| "write year-month-day, such as 2026-03-14".to_owned())
}

/// A purpose decides what is due, so one that nobody knows is no purpose.
pub(super) fn purpose(text: &str) -> Result<String, String> {
    if text.contains(char::is_control) {
        return Err("it must be one line of text".to_owned());
    }
    if Purpose::read(text) != Purpose::Other {
        return Ok(text.to_owned());
    }
    let words = || Purpose::WORDS.iter().copied();
    Err(match nearest(Purpose::beginning(text), words()) {
        Some(near) => format!("did you mean {near}?"),
        None => format!("it begins with {}", words().collect::<Vec<_>>().join(", ")),
    })
}

/// The option of a visit that stands there without the record that the visit is of. clap lets it pass beside
/// the options of a plate, since those exclude that record.
pub fn misplaced(arguments: &Arguments) -> Option<String> {
    let given = [
        ("--append", arguments.append),
        ("--purpose", arguments.purpose.is_some()),
        ("--date", arguments.date.is_some()),
    ];
    let alone = arguments.from.is_none();
    let (option, _) = given.into_iter().find(|(_, given)| alone && *given)?;
    Some(format!(
        "{option} is of a visit, and no record is named to put it into; help: kneemark new --from FILE {option} … lays out a visit of a record; \
         a new record has no visit yet, so leave {option} out"
    ))
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    let done = match &arguments.from {
        Some(path) => visit(&Disk, arguments, path),
        None => unit(&arguments.plate)
            .and_then(|unit| whole(&worksheet::record_text(&unit)))
            .and_then(|text| give(&Disk, arguments.out.as_deref(), &even(&text))),
    };
    match done {
        Ok(()) => Outcome::Clean,
        Err(problem) => {
            output::complain(&format!("not written: {problem}"));
            Outcome::Broken
        }
    }
}

/// Lays out a visit of an existing record.
fn visit(files: &dyn Files, arguments: &Arguments, path: &Path) -> Result<(), String> {
    if files.is_folder(path) {
        return Err(format!("{} is a folder; name one record", shown(path)));
    }
    let job = compile(files, &[path.to_owned()]);
    let Some(one) = job.records.first() else {
        let told = job.diagnostics().find_map(|(_, found)| found.first());
        let none = || format!("{} holds no record", shown(path));
        return Err(told.map_or_else(none, said));
    };
    if one.record.cores.is_empty() && one.is_complete() {
        return Err(format!(
            "{} has no [core] section; write each core with what its plate shows first",
            one.source.name
        ));
    }
    let date = arguments.date.or_else(seam::today);
    let date = date.ok_or(
        "the clock of this machine is outside the years 1 to 9999; write the day with --date",
    )?;
    let subject = worksheet::Subject::of(one);
    let letter = letter(&one.record, date);
    let purpose = arguments.purpose.as_deref().unwrap_or("commissioning");
    let text = worksheet::new_visit(&subject, purpose, date, letter);
    let text = if one.source.text.contains("\r\n") {
        text.replace('\n', "\r\n")
    } else {
        text
    };
    let lines = if one.source.text.ends_with('\n') {
        ""
    } else {
        "\n"
    };
    let whole = format!("{}{lines}{text}", one.source.text);
    fits(one, &whole, whole.len() - text.len())?;
    if !arguments.append {
        output::print(text.trim_start_matches(['\r', '\n']));
        return Ok(());
    }
    let mut bytes = files.read(path).map_err(|error| written(path, &error))?;
    bytes.extend_from_slice(lines.as_bytes());
    bytes.extend_from_slice(text.as_bytes());
    stage::write(&files.resolve(path), &bytes).map_err(|error| written(path, &error))?;
    let day = letter.map_or(date.to_string(), |letter| format!("{date} {letter}"));
    output::print(&format!("{}: [visit {day}] at its end\n", shown(path)));
    Ok(())
}

/// The letter of a second visit on one day.
fn letter(record: &Record, date: Date) -> Option<char> {
    let mut same = record.visits.iter();
    let of_day = same.by_ref().filter(|visit| visit.date.value == date);
    let taken: Vec<Option<&str>> = of_day.map(|visit| visit.letter.as_deref()).collect();
    if taken.is_empty() {
        return None;
    }
    let is_taken = |letter: &char| taken.contains(&Some(letter.to_string().as_str()));
    ('b'..='z')
        .rev()
        .take_while(|letter| !is_taken(letter))
        .last()
}

/// Whether the record with the visit at its end has no error from there on. Errors above are its own.
fn fits(one: &Compiled, whole: &str, from: usize) -> Result<(), String> {
    let (cores, lines) = (one.record.cores.as_slice(), &*one.record.written);
    let ids = cores.iter().filter_map(|core| core.like.value().cloned());
    let ids: BTreeSet<String> = ids.collect();
    let mut plates = SharedPlates::of(&ids);
    for id in &ids {
        let written = lines;
        plates.lend(id, Lent { cores, written });
    }
    let (_, found) = errors(whole, &plates);
    let own = |told: &&Diagnostic| told.span.range().start >= from;
    found
        .iter()
        .find(own)
        .map_or(Ok(()), |told| Err(said(told)))
}

/// The errors and warnings of a text as a record.
fn told(text: &str, plates: &SharedPlates<'_>) -> (Record, Vec<Diagnostic>) {
    let (source, mut found) = Source::new("new record", text.as_bytes());
    let (tree, mut more) = syntax::read(&source, record::is_section);
    found.append(&mut more);
    let (record, mut more) = record::read(&source, &tree, plates);
    found.append(&mut more);
    (record, found)
}

fn errors(text: &str, plates: &SharedPlates<'_>) -> (Record, Vec<Diagnostic>) {
    let (record, mut found) = told(text, plates);
    found.retain(Diagnostic::is_error);
    (record, found)
}

/// The text, if it reads without errors; each option was tried by itself before.
fn whole(text: &str) -> Result<String, String> {
    match errors(text, &SharedPlates::default()).1.first() {
        Some(first) => Err(said(first)),
        None => Ok(text.to_owned()),
    }
}

/// The unit that the options describe: each is tried in a record of its own, so that a wrong one is named.
fn unit(plate: &PlateArguments) -> Result<NewUnit, String> {
    let mut unit = NewUnit::default();
    for (option, key, text) in plate.values() {
        let named = |why: String| format!("--{option} \"{}\": {why}", draw::one_line(text));
        one_line(text).map_err(named)?;
        let alone = NewUnit {
            values: vec![(key, text.clone())],
            cores: Vec::new(),
        };
        let (record, found) = told(&worksheet::record_text(&alone), &SharedPlates::default());
        let mut bodies = record.written.bodies.iter().flatten();
        let field = bodies.find_map(|body| body.field(key));
        if let Some(wrong) = found.iter().find(|told| told.is_error()) {
            return Err(named(said(wrong)));
        }
        if field.is_none_or(|field| field.text.value != *text || field.value.is_missing()) {
            return Err(named("a record does not take it as it stands".to_owned()));
        }
        if let Some(doubt) = found.first() {
            output::complain(&named(said(doubt)));
        }
        unit.values.push((key, text.clone()));
    }
    for text in &plate.core {
        let named = |why: String| format!("--core \"{}\": {why}", draw::one_line(text));
        one_line(text).map_err(named)?;
        let core = core_line::read(text, unit.is_ieee()).map_err(named)?;
        let same = |other: &&CoreLine| other.name == core.name;
        if unit.cores.iter().find(same).is_some() {
            return Err(named(format!("there are two cores `{}`", core.name)));
        }
        let standard = unit.values.iter().filter(|(key, _)| *key == "standard");
        let alone = NewUnit {
            values: standard.cloned().collect(),
            cores: vec![core],
        };
        let (_, found) = errors(&worksheet::record_text(&alone), &SharedPlates::default());
        if let Some(wrong) = found.first() {
            return Err(named(said(wrong)));
        }
        unit.cores.extend(alone.cores);
    }
    Ok(unit)
}

fn one_line(text: &str) -> Result<(), String> {
    if text.contains(char::is_control) {
        return Err("it must be one line of text".to_owned());
    }
    Ok(())
}

/// Prints the text, or writes it where nothing stands yet.
fn give(files: &dyn Files, path: Option<&Path>, text: &str) -> Result<(), String> {
    let Some(path) = path else {
        output::print(text);
        return Ok(());
    };
    if files.exists(path) {
        return Err(format!("{} is there already", shown(path)));
    }
    stage::write(path, text.as_bytes()).map_err(|error| written(path, &error))?;
    output::print(&format!("{}\n", shown(path)));
    Ok(())
}

fn written(path: &Path, error: &std::io::Error) -> String {
    format!("{}: {error}", shown(path))
}
