//! Promises of the report: nothing lost, text stays text, same input same bytes.

mod command;
mod hostile;
mod pages;
mod rows;
mod snapshots;
mod stands_on;

use kneemark::compare::sisters;
use kneemark::compile;
use kneemark::document::Templates;
use kneemark::ground::seam::Memory;
use kneemark::job::{Compiled, Job};
use kneemark::report::{Annexes, CtReport, Options, Subject, ct};
use std::path::PathBuf;
use std::sync::OnceLock;

/// The demo job in memory, read once.
pub fn demo() -> &'static Job {
    static DEMO: OnceLock<Job> = OnceLock::new();
    DEMO.get_or_init(|| {
        let files = Memory::default();
        for (name, text) in crate::demo::files() {
            files.put(format!("records/{name}"), text);
        }
        compile(&files, &[PathBuf::from("records")])
    })
}

/// The report of one unit among others.
pub fn report_with(
    gathered: &Job,
    unit: &Compiled,
    options: &Options,
    templates: &Templates,
) -> CtReport {
    let others = gathered
        .records
        .iter()
        .map(|other| (&other.record, &other.assessment));
    let subject = Subject::of(unit, sisters(&unit.record, others));
    ct(&subject, options, templates).unwrap()
}

/// With all annexes.
pub fn report(gathered: &Job, unit: &Compiled) -> CtReport {
    let options = Options {
        annexes: Annexes::ALL,
        ..Options::default()
    };
    report_with(gathered, unit, &options, &Templates::built_in())
}

/// Without any annex, as a client gets it.
pub fn short(gathered: &Job, unit: &Compiled) -> CtReport {
    report_with(gathered, unit, &Options::default(), &Templates::built_in())
}

/// A record alone, with the demo job's instruments and criteria.
pub fn alone(text: &str) -> Job {
    let files = Memory::default();
    let all = crate::demo::files();
    for name in ["instruments.toml", "criteria.toml"] {
        files.put(format!("records/{name}"), all.get(name).unwrap().as_str());
    }
    files.put("records/one.ctr", text);
    compile(&files, &[PathBuf::from("records")])
}

/// The text of a demo record.
pub fn text_of(ending: &str) -> String {
    let all = crate::demo::files();
    let found = all.iter().find(|(name, _)| name.ends_with(ending));
    found.unwrap().1.clone()
}
