//! `kneemark sheet`: a visit of several units as one table, to be typed into, or as it was written.

use super::import::kind;
use super::new::{day, purpose};
use super::output;
use crate::emit::archive::csv::guarded;
use crate::ground::date::Date;
use crate::ground::seam::Files as _;
use crate::ground::seam::{self, Disk, InHand};
use crate::ground::stage;
use crate::intake::{Table, Wanted, table};
use crate::job::{Compiled, Job, Outcome, Survey, Terms, shown};
use crate::record::kinds::TestKind;
use crate::report::worksheet;
use std::path::PathBuf;

#[derive(clap::Args)]
#[command(after_help = super::examples::SHEET)]
pub struct Arguments {
    /// Records, or folders with records
    #[arg(required = true)]
    paths: Vec<PathBuf>,
    /// What is due at a visit of this purpose, to be filled in, in place of the last visit as it was written
    #[arg(long, value_parser = purpose)]
    blank: Option<String>,
    /// Day of the visit that is wanted, as 2026-03-14; the last one unless written
    #[arg(long, value_parser = day, conflicts_with = "blank")]
    visit: Option<Date>,
    /// Only these tests
    #[arg(long, value_name = "SECTION", value_delimiter = ',', value_parser = kind)]
    tests: Vec<TestKind>,
    /// File to write; standard output unless written
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> Outcome {
    let job = Survey::of(&Disk, &arguments.paths, Terms::default()).job();
    let mut worst = Outcome::Clean;
    for told in &job.others {
        worst = worst.max(output::tell(&told.source, &told.diagnostics));
    }
    let made = match &arguments.blank {
        Some(purpose) => blank(&job, purpose, &arguments.tests),
        None => written(&job, arguments),
    };
    for told in &made.left {
        output::complain(told);
    }
    if !made.refused.is_empty() {
        made.refused.iter().for_each(|told| output::complain(told));
        return Outcome::Broken;
    }
    let text = text(&made);
    match &arguments.out {
        None => output::print(&text),
        Some(path) if Disk.exists(path) => {
            output::complain(&format!("not written: {} is there already", shown(path)));
            worst = Outcome::Broken;
        }
        Some(path) => match stage::write(path, text.as_bytes()) {
            Ok(()) => output::print(&format!("{}\n", shown(path))),
            Err(error) => {
                output::complain(&format!("{}: {error}", shown(path)));
                worst = Outcome::Broken;
            }
        },
    }
    worst
}

/// The visits as they were written.
fn written(job: &Job, arguments: &Arguments) -> Table {
    let mut left = Vec::new();
    let mut of = Vec::new();
    for one in &job.records {
        let visits = &one.record.visits;
        let visit = match arguments.visit {
            None => visits.len().checked_sub(1),
            Some(day) => visits.iter().rposition(|visit| visit.date.value == day),
        };
        match visit {
            Some(visit) => of.push((&one.record, &one.source, visit)),
            None => left.push(format!("{} has no such visit", one.source.name)),
        }
    }
    let wanted = Wanted {
        tests: &arguments.tests,
        blanks: false,
    };
    let mut made = table(&of, wanted);
    made.left.splice(0..0, left);
    made
}

/// What is due, laid out as `new` lays out a visit.
fn blank(job: &Job, purpose: &str, tests: &[TestKind]) -> Table {
    let mut left = Vec::new();
    let made = job
        .records
        .iter()
        .filter_map(|one| match with_visit(one, purpose) {
            Some(next) => Some(next),
            None => {
                left.push(format!(
                    "{}: no visit can be laid out; see `kneemark check`",
                    one.source.name
                ));
                None
            }
        });
    let made: Vec<Job> = made.collect();
    let of = made.iter().flat_map(|job| &job.records);
    let of = of.filter_map(|one| {
        Some((
            &one.record,
            &one.source,
            one.record.visits.len().checked_sub(1)?,
        ))
    });
    let wanted = Wanted {
        tests,
        blanks: true,
    };
    let mut made = table(&of.collect::<Vec<_>>(), wanted);
    // What day it will be is not known.
    made.heads
        .insert(AT_DAY.min(made.heads.len()), "day".to_owned());
    for row in &mut made.rows {
        row.insert(AT_DAY.min(row.len()), String::new());
    }
    // What was asked for by name and is not due is not left out in silence.
    for kind in tests {
        let begins = format!("{} ", kind.name());
        if made.heads.iter().all(|head| !head.starts_with(&begins)) {
            left.push(format!(
                "{} is not due at a visit for {purpose}, or does not fit a table",
                kind.name()
            ));
        }
    }
    made.left.splice(0..0, left);
    made
}

/// Where the day stands: behind what names the unit.
const AT_DAY: usize = 3;

/// A record with the visit that would be laid out for it.
fn with_visit(one: &Compiled, purpose: &str) -> Option<Job> {
    let subject = worksheet::Subject::of(one);
    let last = one.record.visits.iter().map(|visit| visit.date.value).max();
    let day = seam::today().into_iter().chain(last).max()?;
    // A letter that no visit has: what day it will be is not known.
    let text = worksheet::new_visit(&subject, purpose, day, Some('z'));
    let whole = format!("{}\n{text}", one.source.text);
    let files = InHand::new(&Disk, &one.path, Ok(whole.into_bytes()));
    let job = Survey::of(&files, std::slice::from_ref(&one.path), Terms::default()).job();
    job.records
        .first()
        .is_some_and(|next| next.record.visits.len() > one.record.visits.len())
        .then_some(job)
}

/// As CSV.
fn text(made: &Table) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory does not fail.
    let _ = writer.write_record(&made.heads);
    for row in &made.rows {
        let _ = writer.write_record(row.iter().map(|cell| guarded(cell).into_owned()));
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}
