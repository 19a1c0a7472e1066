//! `kneemark new`: a record to begin with, or a visit to type into. Asks nothing and never overwrites.

use super::{draw, output};
use crate::compile;
use crate::ground::date::{self, Date};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::{self, Disk, Files};
use crate::ground::source::Source;
use crate::job::{Outcome, shown};
use crate::record::like::{Lent, SharedPlates};
use crate::record::{self, Record};
use crate::report::worksheet::{self, NewCore, NewUnit};
use crate::syntax;
use std::path::{Path, PathBuf};

#[derive(clap::Args)]
pub struct Arguments {
    /// Take the rating plate of this record and add a visit with all due tests
    #[arg(long, value_name = "FILE")]
    from: Option<PathBuf>,
    /// Purpose of that visit: commissioning, maintenance, …
    #[arg(long, default_value = "commissioning", requires = "from")]
    purpose: String,
    /// Day of that visit, as 2026-03-14; today unless written
    #[arg(long, value_parser = day, requires = "from")]
    date: Option<Date>,
    /// File to write; standard output unless written
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
    #[command(flatten)]
    plate: PlateArguments,
}

/// Options of the plate: read by clap, and made into a unit.
macro_rules! plate {
    (unit { $($(#[$of_unit:meta])* $one:ident,)* } core { $($(#[$of_core:meta])* $many:ident,)* }) => {
        /// What is known of the plate. Options of a core may repeat, the first of each for the first
        /// core; `-` passes one over.
        #[derive(clap::Args)]
        #[command(next_help_heading = "Rating plate")]
        #[group(conflicts_with = "from")]
        struct PlateArguments {
            $($(#[$of_unit])* #[arg(long)] $one: Option<String>,)*
            /// Name of a core: 1S, X; may repeat, as all options below
            #[arg(long, value_name = "NAME")]
            core: Vec<String>,
            $($(#[$of_core])* #[arg(long, allow_hyphen_values = true)] $many: Vec<String>,)*
        }

        impl PlateArguments {
            /// Everything that was written.
            fn texts(&self) -> impl Iterator<Item = &String> {
                let of_unit = [$(&self.$one),*].into_iter().flatten();
                of_unit.chain(&self.core).chain([$(&self.$many),*].into_iter().flatten())
            }

            /// How often an option of a core was written, at most.
            fn most(&self) -> usize {
                [$(self.$many.len()),*].into_iter().max().unwrap_or(0)
            }

            fn core(&self, at: usize) -> NewCore {
                let of = |list: &Vec<String>| list.get(at).filter(|text| *text != "-").cloned();
                NewCore { name: of(&self.core), $($many: of(&self.$many),)* }
            }

            fn unit(self, cores: Vec<NewCore>) -> NewUnit {
                NewUnit { $($one: self.$one,)* cores }
            }
        }
    };
}

plate! {
    unit {
        /// Maker and serial, not the place
        id,
        maker,
        serial,
        /// With its edition: "IEC 61869-2:2012"
        standard,
        /// Highest voltage for equipment: "145 kV"
        voltage,
        /// Rated frequency: "50 Hz"
        frequency,
        site,
        bay,
        phase,
    }
    core {
        /// Terminals as stamped: "S1 S2 S3"
        marks,
        /// Such as 5P20, PX, C800
        class,
        /// Such as "15 VA"
        burden,
        /// Of the full winding: 600/1
        ratio,
        /// Pairs with their ratios: "S1-S2 300/1, S1-S3 600/1"
        taps,
        /// Rated knee point e.m.f.: "300 V"
        knee,
        /// Upper limit of the exciting current: "30 mA at 300 V"
        exciting,
        /// Winding resistance: "3.40 ohm at 75 C"
        resistance,
    }
}

fn day(text: &str) -> Result<Date, String> {
    date::read(text).map_err(|_| "write year-month-day, such as 2026-03-14".to_owned())
}

/// Runs the command.
pub fn run(arguments: Arguments) -> Outcome {
    let made = match &arguments.from {
        Some(path) => visit(&arguments, path),
        None => unit(arguments.plate)
            .map(|unit| worksheet::record_text(&unit))
            .and_then(|text| sound(text, None)),
    };
    let done = made.and_then(|text| give(&Disk, arguments.out.as_deref(), &text));
    match done {
        Ok(()) => Outcome::Clean,
        Err(problem) => {
            output::complain(&problem);
            Outcome::Broken
        }
    }
}

/// Plate and new visit of an existing record.
fn visit(arguments: &Arguments, path: &Path) -> Result<String, String> {
    if arguments.purpose.contains(char::is_control) || arguments.purpose.is_empty() {
        return Err("not written: the purpose must be one line of text".to_owned());
    }
    let job = compile(&Disk, &[path.to_owned()]);
    let Some(one) = job.records.first() else {
        let told = job.diagnostics().find_map(|(_, found)| found.first());
        let why = told.map(|told| told.title.clone());
        let none = || format!("{} holds no record", shown(path));
        return Err(format!("not written: {}", why.unwrap_or_else(none)));
    };
    let date = arguments.date.unwrap_or_else(seam::today);
    let subject = worksheet::Subject {
        record: &one.record,
        criteria: &one.setting.criteria,
        instruments: one.setting.instruments.as_deref(),
        assessment: &one.assessment,
        errors: 0,
    };
    let text = worksheet::with_visit(&one.source, &subject, &arguments.purpose, date);
    sound(text, Some(&one.record))
}

/// The text, if it reads without errors; else what is wrong with it.
///
/// `from` is the record it is written from, with the plates that its cores share.
fn sound(text: String, from: Option<&Record>) -> Result<String, String> {
    let mut plates = SharedPlates::default();
    if let Some(from) = from {
        let (cores, written) = (from.cores.as_slice(), &*from.written);
        for id in cores.iter().filter_map(|core| core.like.value()) {
            plates.lend(id, Some(Lent { cores, written }));
        }
    }
    let (source, mut found) = Source::new("new record", text.as_bytes());
    let (tree, mut more) = syntax::read(&source, record::is_section);
    found.append(&mut more);
    found.append(&mut record::read(&source, &tree, &plates).1);
    found.retain(Diagnostic::is_error);
    if found.is_empty() {
        return Ok(text);
    }
    output::explain(&draw::human(&source, &found, output::style()));
    Err("not written: the record would have errors".to_owned())
}

fn unit(plate: PlateArguments) -> Result<NewUnit, String> {
    let count = plate.core.len().max(1);
    if plate.most() > count {
        return Err(format!(
            "not written: an option of a core appears more often than there are cores ({count}); name each with --core"
        ));
    }
    let more = plate.texts().find(|text| text.contains(char::is_control));
    if let Some(text) = more {
        let text = draw::one_line(text);
        return Err(format!(
            "not written: `{text}` is more than one line of text"
        ));
    }
    let cores = (0..count).map(|at| plate.core(at)).collect();
    Ok(plate.unit(cores))
}

/// Prints the text, or writes it where nothing stands yet.
fn give(files: &dyn Files, path: Option<&Path>, text: &str) -> Result<(), String> {
    let Some(path) = path else {
        output::print(text);
        return Ok(());
    };
    if files.exists(path) {
        return Err(format!("not written: {} is there already", shown(path)));
    }
    files
        .write(path, text.as_bytes())
        .map_err(|error| format!("not written: {}: {error}", shown(path)))?;
    output::print(&format!("{}\n", shown(path)));
    Ok(())
}
