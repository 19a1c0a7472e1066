//! The worksheet: what to do, how to connect, what to expect, and where to write it down. It needs the
//! rating plate and nothing else.

mod blanks;
mod cautions;
mod connect;
pub mod document;
mod drawing;
pub mod html;
mod job;
pub mod markdown;
mod plan;
mod plate;
mod record_text;
mod say;
mod set;
mod sheet;
mod stop;
mod visit_text;

pub use cautions::CAUTIONS;
pub use html::Paper;
pub use plate::USUAL_TEMPERATURE;
pub use record_text::{NewCore, NewUnit, record_text};

use crate::ground::date::Date;
use crate::ground::source::Source;
use crate::record::Record;
use crate::record::criteria::Criteria;
use job::Job;

/// A record that a sheet is made for.
#[derive(Clone, Copy)]
pub struct Subject<'a> {
    pub record: &'a Record,
    pub criteria: &'a Criteria,
    /// Errors in the record: what could not be read is blank on the sheet, and the sheet says so.
    pub errors: usize,
}

/// What is asked of a sheet.
#[derive(Clone, Copy, Debug)]
pub struct Options<'a> {
    /// One core by its name, or all.
    pub core: Option<&'a str>,
    /// Temperature of the windings on the day, °C.
    pub celsius: f64,
    /// Purpose of the visit, as in `purpose:`.
    pub purpose: &'a str,
    pub paper: Paper,
}

impl Default for Options<'_> {
    fn default() -> Self {
        Self {
            core: None,
            celsius: USUAL_TEMPERATURE,
            purpose: "commissioning",
            paper: Paper::A4,
        }
    }
}

/// A finished sheet.
#[derive(Clone, Debug)]
pub struct Worksheet {
    pub title: String,
    /// Safe as part of a file name; two units may share one.
    pub slug: String,
    pub markdown: String,
    pub html: String,
}

/// Makes the worksheet of one unit.
///
/// # Errors
/// When the page's template is not sound, which a test rules out.
pub fn worksheet(
    subject: &Subject<'_>,
    options: &Options<'_>,
) -> Result<Worksheet, minijinja::Error> {
    let job = Job::new(
        subject.record,
        subject.criteria,
        options.celsius,
        options.purpose,
    );
    let document = sheet::sheet(&job, options.core, &told(subject.errors));
    finish(&document, subject.record.plate.id_text(), options.paper)
}

/// Makes one sheet for a set of units, such as the phases of a bay.
///
/// # Errors
/// As for [`worksheet`].
pub fn set(subjects: &[Subject<'_>], options: &Options<'_>) -> Result<Worksheet, minijinja::Error> {
    let errors = subjects.iter().map(|one| one.errors).sum();
    let jobs: Vec<Job<'_>> = subjects
        .iter()
        .copied()
        .map(|one| Job::new(one.record, one.criteria, options.celsius, options.purpose))
        .collect();
    let document = set::set_sheet(&jobs, &told(errors));
    let first = subjects
        .first()
        .map_or("set", |subject| subject.record.plate.id_text());
    finish(&document, &format!("set {first}"), options.paper)
}

/// The plate of a record as it stands, and a new visit with all due tests to type into.
#[must_use]
pub fn with_visit(source: &Source, subject: &Subject<'_>, purpose: &str, date: Date) -> String {
    let job = Job::new(subject.record, subject.criteria, USUAL_TEMPERATURE, purpose);
    format!(
        "{}{}",
        visit_text::plate_text(source),
        visit_text::visit_text(&job, date)
    )
}

fn told(errors: usize) -> Vec<String> {
    match errors {
        0 => Vec::new(),
        1 => vec!["The record has an error; what could not be read is blank here. Mend it before you rely on this sheet.".to_owned()],
        n => vec![format!("The record has {n} errors; what could not be read is blank here. Mend them before you rely on this sheet.")],
    }
}

fn finish(
    document: &document::Document,
    name: &str,
    paper: Paper,
) -> Result<Worksheet, minijinja::Error> {
    Ok(Worksheet {
        title: document.title.clone(),
        slug: format!("{}-worksheet", slug(name)),
        markdown: markdown::markdown(document),
        html: html::page(document, &document.title, paper)?,
    })
}

/// Letters, digits and dashes of a name; at most 60 characters, never empty.
#[must_use]
pub fn slug(name: &str) -> String {
    let plain = |c: char| {
        if c.is_ascii_alphanumeric() {
            c.to_ascii_lowercase()
        } else {
            '-'
        }
    };
    let dashed: String = name.chars().map(plain).collect();
    let parts: Vec<&str> = dashed.split('-').filter(|part| !part.is_empty()).collect();
    let joined: String = parts.join("-").chars().take(60).collect();
    if joined.is_empty() {
        "unit".to_owned()
    } else {
        joined
    }
}
