//! The worksheet and `kneemark new`, against published tables, numbers worked by hand and hostile text.

mod ceiling;
mod command;
mod complete;
mod expected;
mod hostile;
mod known;
mod order;
mod programme;
mod snapshots;
mod typed_back;

use kneemark::compile;
use kneemark::ground::seam::Memory;
use kneemark::job::Compiled;
use kneemark::report::worksheet::{Options, Subject, Worksheet, worksheet};
use std::path::PathBuf;

/// The demo job in memory.
fn demo() -> Vec<Compiled> {
    let files = Memory::default();
    for (path, text) in crate::demo::files() {
        files.put(format!("records/{path}"), text);
    }
    compile(&files, &[PathBuf::from("records")]).records
}

fn unit(file: &str) -> Compiled {
    demo()
        .into_iter()
        .find(|unit| unit.path.ends_with(file))
        .unwrap()
}

fn subject(unit: &Compiled) -> Subject<'_> {
    Subject {
        record: &unit.record,
        criteria: &unit.setting.criteria,
        instruments: unit.setting.instruments.as_deref(),
        assessment: &unit.assessment,
        errors: 0,
    }
}

fn sheet(unit: &Compiled) -> Worksheet {
    sheets(std::slice::from_ref(unit), "commissioning")
}

/// The sheet of a visit for a purpose.
fn sheet_for(unit: &Compiled, purpose: &str) -> Worksheet {
    sheets(std::slice::from_ref(unit), purpose)
}

/// A record out of a text.
fn of_text(text: &str) -> Compiled {
    let files = Memory::default();
    files.put("a.ctr", text);
    compile(&files, &[PathBuf::from("a.ctr")]).records.remove(0)
}

/// The same, at a client who has asks of his own.
fn of_text_at(text: &str, criteria: &str) -> Compiled {
    let files = Memory::default();
    files.put("a.ctr", text);
    files.put("criteria.toml", criteria);
    compile(&files, &[PathBuf::from("a.ctr")]).records.remove(0)
}

/// One sheet for several units.
fn sheets(units: &[Compiled], purpose: &str) -> Worksheet {
    let options = Options {
        purpose,
        ..Options::default()
    };
    let subjects: Vec<Subject<'_>> = units.iter().map(subject).collect();
    worksheet(&subjects, &options).unwrap()
}

/// A record out of a text, beside the criteria of its job.
fn of_job(text: &str, criteria: &str) -> Compiled {
    let files = Memory::default();
    files.put("a.ctr", text);
    files.put("criteria.toml", criteria);
    compile(&files, &[PathBuf::from("a.ctr")]).records.remove(0)
}
