//! The worksheet: what to do, how to connect, what to expect, and where to write it down. It needs the
//! rating plate and nothing else.

mod blanks;
mod cards;
mod cautions;
mod connect;
mod day;
mod deciding;
mod drawing;
mod drive;
mod front;
mod job;
mod known;
mod left;
mod merged;
mod pictures;
mod plan;
mod plate;
mod record_text;
mod say;
mod sheet;
mod stop;
mod typed;
mod visit_text;

pub use plate::USUAL_TEMPERATURE;
pub use record_text::{NewUnit, record_text};

use crate::document::{
    self, Block, Filling, Page, Paper, Pictures, TemplateFault, Templates, Within, joined, slug_or,
};
use crate::ground::date::Date;
use crate::job::Compiled;
use crate::judge::Assessment;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::instruments::Instruments;
use job::Job;
use sheet::Sheet;

/// A record that a sheet is made for.
#[derive(Clone, Copy)]
pub struct Subject<'a> {
    pub record: &'a Record,
    pub criteria: &'a Criteria,
    /// The instruments of the job, as far as they are known.
    pub instruments: Option<&'a Instruments>,
    /// What its visits came to: a retest asks for what they left open.
    pub assessment: &'a Assessment,
    /// Errors in the record: what could not be read is blank on the sheet, and the sheet says so.
    pub errors: usize,
}

impl<'a> Subject<'a> {
    /// A compiled record.
    pub fn of(one: &'a Compiled) -> Self {
        Self {
            record: &one.record,
            criteria: &one.setting.criteria,
            instruments: one.setting.instruments.as_deref(),
            assessment: &one.assessment,
            errors: one.errors().count(),
        }
    }
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

/// The day that a sheet is made out for: the next visit, when every duty on record holds.
const NEXT: Date = Date::MAX;

/// A finished sheet.
#[derive(Clone, Debug)]
pub struct Worksheet {
    /// Safe as part of a file name; two units may share one.
    pub slug: String,
    pub markdown: String,
    pub html: String,
}

/// Makes the worksheet of one unit, or one for a set of units, such as the phases of a bay.
///
/// # Errors
/// When a template is not sound, which a test rules out.
pub fn worksheet(
    subjects: &[Subject<'_>],
    options: &Options<'_>,
) -> Result<Worksheet, TemplateFault> {
    let errors = subjects.iter().map(|one| one.errors).sum();
    let jobs = subjects
        .iter()
        .map(|one| Job::new(one, subjects, (options.celsius, options.purpose), NEXT));
    let (mut jobs, mut done): (Vec<Job<'_>>, Vec<Job<'_>>) =
        jobs.partition(|job| !job.programme.is_done);
    // The choice is free where none of them has anything to test again.
    if jobs.is_empty() {
        std::mem::swap(&mut jobs, &mut done);
    }
    let done = (!done.is_empty()).then(|| left_out(&done));
    let made = sheet::sheet(&jobs, options.core, (&told(errors), done));
    let name = match subjects {
        [one] => one.record.plate.id_text().to_owned(),
        [first, ..] => format!("set {}", first.record.plate.id_text()),
        [] => String::new(),
    };
    finish(&made, &name, options.paper)
}

/// A new visit of a unit with all its due tests, to type into; it goes at the end of the unit's record.
/// A second visit on one day has a letter.
#[must_use]
pub fn new_visit(subject: &Subject<'_>, purpose: &str, date: Date, letter: Option<char>) -> String {
    let job = Job::new(
        subject,
        std::slice::from_ref(subject),
        (USUAL_TEMPERATURE, purpose),
        date,
    );
    let letter = letter.map(|letter| format!(" {letter}"));
    visit_text::visit_text(&job, &format!("{date}{}", letter.unwrap_or_default()))
}

/// Of the units of a set that has others to test again.
fn left_out(done: &[Job<'_>]) -> String {
    let names = joined(done.iter().map(|job| Some(job.label())), ", ");
    format!("Not on this sheet: {names}. No visit on record left anything to test again there.")
}

fn told(errors: usize) -> Vec<String> {
    match errors {
        0 => Vec::new(),
        1 => vec!["The record has an error; what could not be read is empty here. Correct it before you rely on this sheet.".to_owned()],
        n => vec![format!("The record has {n} errors; what could not be read is empty here. Correct them before you rely on this sheet.")],
    }
}

fn finish(made: &Sheet, name: &str, paper: Paper) -> Result<Worksheet, TemplateFault> {
    let templates = Templates::built_in();
    let mut pictures = Pictures::new();
    let mut filling = Filling::default();
    filling.text("title", &made.title);
    let under = [Block::Note(made.under.as_str().into())];
    filling.blocks("under", &under, &mut pictures);
    for (name, blocks) in &made.parts {
        filling.blocks(name, blocks, &mut pictures);
    }
    let marked = templates.fill("worksheet.md", &filling)?;
    let page = Page {
        title: &made.title,
        styles: &["worksheet.css"],
        rules: "",
        paper,
        head: [&made.title, ""],
        foot: "Worksheet: expected values are aims, never verdicts",
    };
    Ok(Worksheet {
        slug: format!("{}-worksheet", slug_or(name, "unit")),
        html: page.html(
            &document::html(&marked, &pictures, &Within::default()),
            &templates,
        )?,
        markdown: document::finish(&marked, ""),
    })
}
