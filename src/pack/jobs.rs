//! What a visit takes over from the pack when it says `job: NAME`, and whether it fits the day of issue.

use super::config::{Config, JobDefaults};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::span::{Given, Located, Span};
use crate::record::Record;
use crate::record::visit::Visit;

/// Fills what a visit leaves unsaid from the job that it names. What the record says itself stays.
pub fn take_over(record: &mut Record, config: &Config) {
    for visit in &mut record.visits {
        let named = visit
            .job
            .get()
            .and_then(|job| Some((config.file.jobs.get(&job.value)?, job.span)));
        if let Some((job, span)) = named {
            fill(visit, job, span);
        }
    }
}

fn fill(visit: &mut Visit, job: &JobDefaults, span: Span) {
    let pairs = [
        (&mut visit.tested_by, &job.tested_by),
        (&mut visit.reviewed_by, &job.reviewed_by),
        (&mut visit.witnessed_by, &job.witnessed_by),
        (&mut visit.authorised_by, &job.authorised_by),
        (&mut visit.instrument, &job.instrument),
        (&mut visit.reference, &job.reference),
    ];
    for (given, value) in pairs {
        if let (true, Some(value)) = (given.is_missing(), value) {
            // The line that names the job is where the value comes from, as far as the record goes.
            *given = Given::Written(Located::new(value.clone(), span));
        }
    }
}

/// Tells of visits after the day of issue: the report cannot speak of them.
pub fn check(record: &Record, config: &Config, found: &mut Vec<Diagnostic>) {
    let Some(issued) = config.issued else { return };
    let day = issued.value;
    for visit in record.visits.iter().filter(|visit| visit.date.value > day) {
        let name = visit.name();
        let title = format!("the visit of {name} lies after the report's day of issue, {day}");
        let told = Code::VisitFuture.at(visit.date.span, title);
        let told = told.label("after the day of issue");
        found.push(told.help("correct the date here, or issued under [report] in pack.toml; the summary leaves this visit out"));
    }
}
