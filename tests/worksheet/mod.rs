//! The worksheet and `kneemark new`, against published tables, numbers worked by hand and hostile text.

mod command;
mod expected;
mod hostile;
mod snapshots;

use kneemark::ground::seam::Memory;
use kneemark::pack::gather::{Unit, gather};
use kneemark::report::worksheet::{Options, Subject, Worksheet, worksheet};
use std::path::PathBuf;

/// The demo job in memory.
fn demo() -> Vec<Unit> {
    let files = Memory::default();
    for (path, text) in crate::demo::files() {
        files.put(format!("records/{path}"), text);
    }
    gather(&files, &[PathBuf::from("records")]).units
}

fn unit(file: &str) -> Unit {
    demo()
        .into_iter()
        .find(|unit| unit.path.ends_with(file))
        .unwrap()
}

fn subject(unit: &Unit) -> Subject<'_> {
    Subject {
        record: &unit.record,
        criteria: &unit.setting.criteria,
        errors: 0,
    }
}

fn sheet(unit: &Unit) -> Worksheet {
    worksheet(&subject(unit), &Options::default()).unwrap()
}

/// A record out of a text.
fn of_text(text: &str) -> Unit {
    let files = Memory::default();
    files.put("a.ctr", text);
    gather(&files, &[PathBuf::from("a.ctr")]).units.remove(0)
}
