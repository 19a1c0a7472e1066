//! `pack.toml`: which records make the pack, and what the client's report says beside them. What
//! cannot be read is told with its line; nothing is guessed.

use super::config_text::{FileText, JobText, PersonText, ReportText};
use crate::ground::date::{self, Date};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::nearest::nearest;
use crate::ground::source::Source;
use crate::ground::span::{Located, Span};
use crate::record::instruments::{config, toml_error};
use std::collections::BTreeMap;
use toml::Spanned;

/// What CTs are sorted by, the first key first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Key {
    Site,
    Bay,
    Phase,
    /// The set of CTs that must match.
    Set,
    Id,
    /// The path of the record.
    File,
}

const KEYS: &[(&str, Key)] = &[
    ("site", Key::Site),
    ("bay", Key::Bay),
    ("phase", Key::Phase),
    ("set", Key::Set),
    ("id", Key::Id),
    ("file", Key::File),
];

/// The sheet that pages are laid out for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sheet {
    #[default]
    A4,
    Letter,
}

/// One line of the revision history.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Revision {
    pub name: String,
    pub date: Option<Date>,
    pub what: String,
}

/// Somebody the report names. Empty texts are "not stated".
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Party {
    pub name: String,
    pub address: String,
    pub contact: String,
}

/// What a visit takes over when it says `job: NAME`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Job {
    pub tested_by: Option<String>,
    pub reviewed_by: Option<String>,
    pub witnessed_by: Option<String>,
    pub authorised_by: Option<String>,
    pub instrument: Option<String>,
    pub reference: Option<String>,
}

/// The whole file.
#[derive(Clone, Debug, Default)]
pub struct Config {
    /// Patterns, relative to the file's folder.
    pub records: Vec<Located<String>>,
    pub order: Vec<Key>,
    pub title: String,
    pub number: String,
    pub revision: String,
    pub issued: Option<Located<Date>>,
    pub history: Vec<Revision>,
    /// Methods: standard and clause, or procedure and its revision.
    pub methods: Vec<String>,
    /// When the items were received, where that matters.
    pub received: String,
    /// Sampling plan, where there was one.
    pub sampling: String,
    /// Why an item of ISO/IEC 17025:2017, 7.8.2.1 does not apply, by its letter.
    pub reasons: BTreeMap<String, String>,
    pub client: Party,
    pub contractor: Party,
    /// File of the contractor's mark, relative to the file's folder.
    pub logo: Option<Located<String>>,
    pub job: String,
    pub site: String,
    pub authorised: String,
    pub role: String,
    pub jobs: BTreeMap<String, Job>,
    pub decimal_comma: bool,
    pub sheet: Sheet,
    /// The whole pack repeats the workings of every headline value, as each CT's own page does.
    pub all_workings: bool,
    /// Folder with the client's own templates, relative to the file's folder.
    pub templates: Option<Located<String>>,
}

/// Reads the file. `None` when its text is no TOML of this shape, or it names no records.
pub fn read(source: &Source) -> (Option<Config>, Vec<Diagnostic>) {
    let text: FileText = match toml::from_str(&source.text) {
        Ok(text) => text,
        Err(error) => return (None, vec![toml_error(&error)]),
    };
    let mut found = Vec::new();
    let records = patterns(&text, &mut found);
    if records.is_empty() {
        return (None, found);
    }
    let ReportText {
        number,
        revision,
        issued,
        title,
        history,
        methods,
        received,
        sampling,
        reasons,
    } = text.report;
    let mut config = Config {
        records,
        order: order(text.order.as_deref(), &mut found),
        title,
        number,
        revision,
        issued: day(issued.as_ref(), &mut found),
        history: Vec::new(),
        methods,
        received,
        sampling,
        reasons: letters(reasons, &mut found),
        client: party(text.client),
        logo: text
            .contractor
            .logo
            .as_ref()
            .map(|logo| Located::new(logo.get_ref().clone(), span(logo))),
        contractor: Party {
            name: text.contractor.name,
            address: text.contractor.address,
            contact: text.contractor.contact,
        },
        job: text.job.name,
        site: text.job.site,
        authorised: text.authorised.name,
        role: text.authorised.role,
        jobs: text
            .jobs
            .into_iter()
            .map(|(name, job)| (name, taken_over(job)))
            .collect(),
        decimal_comma: choice(
            text.numbers.decimal.as_ref(),
            "decimal",
            &[("point", false), ("comma", true)],
            &mut found,
        ),
        sheet: choice(
            text.page.paper.as_ref(),
            "paper",
            &[("A4", Sheet::A4), ("Letter", Sheet::Letter)],
            &mut found,
        ),
        all_workings: choice(
            text.page.workings.as_ref(),
            "workings",
            &[("to look at", false), ("all", true)],
            &mut found,
        ),
        templates: text
            .templates
            .folder
            .as_ref()
            .map(|folder| Located::new(folder.get_ref().clone(), span(folder))),
    };
    for revision in history {
        let date = day(revision.date.as_ref(), &mut found).map(|date| date.value);
        config.history.push(Revision {
            name: revision.revision,
            date,
            what: revision.what,
        });
    }
    (Some(config), found)
}

fn span<T>(text: &Spanned<T>) -> Span {
    Span::new(text.span().start, text.span().end)
}

fn patterns(text: &FileText, found: &mut Vec<Diagnostic>) -> Vec<Located<String>> {
    let Some(records) = &text.records else {
        found.push(config(
            Span::default(),
            "the pack names no records".to_owned(),
            "write records = [\"**/*.ctr\"] at the top",
        ));
        return Vec::new();
    };
    if records.get_ref().is_empty() {
        found.push(config(
            span(records),
            "the list of records is empty".to_owned(),
            "write records = [\"**/*.ctr\"]",
        ));
    }
    records
        .get_ref()
        .iter()
        .map(|pattern| Located::new(pattern.get_ref().clone(), span(pattern)))
        .collect()
}

fn order(text: Option<&[Spanned<String>]>, found: &mut Vec<Diagnostic>) -> Vec<Key> {
    let Some(text) = text else {
        return vec![Key::Site, Key::Bay, Key::Phase];
    };
    let mut keys = Vec::new();
    for word in text {
        match KEYS.iter().find(|(name, _)| name == word.get_ref()) {
            Some((_, key)) => keys.push(*key),
            None => found.push(unknown(
                span(word),
                "order",
                word.get_ref(),
                KEYS.iter().map(|(name, _)| *name),
            )),
        }
    }
    keys
}

fn choice<T: Copy + Default>(
    text: Option<&Spanned<String>>,
    of: &str,
    known: &[(&str, T)],
    found: &mut Vec<Diagnostic>,
) -> T {
    let Some(text) = text else {
        return T::default();
    };
    match known.iter().find(|(name, _)| name == text.get_ref()) {
        Some((_, value)) => *value,
        None => {
            found.push(unknown(
                span(text),
                of,
                text.get_ref(),
                known.iter().map(|(name, _)| *name),
            ));
            T::default()
        }
    }
}

fn unknown<'a>(
    at: Span,
    of: &str,
    word: &str,
    known: impl Iterator<Item = &'a str> + Clone,
) -> Diagnostic {
    let help = match nearest(word, known.clone()) {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => format!("it knows {}", crate::record::words::one_of(known)),
    };
    config(at, format!("`{of}` knows no word `{word}`"), &help)
}

fn day(
    text: Option<&Spanned<toml::value::Datetime>>,
    found: &mut Vec<Diagnostic>,
) -> Option<Located<Date>> {
    let text = text?;
    match date::read(&text.get_ref().to_string()) {
        Ok(date) => Some(Located::new(date, span(text))),
        Err(_) => {
            let told = Diagnostic::new(
                Code::DateUnreadable,
                span(text),
                format!("`{}` is not a day", text.get_ref()),
            );
            found.push(
                told.label("a day is needed")
                    .help("write the day alone: 2026-11-20"),
            );
            None
        }
    }
}

fn letters(
    reasons: BTreeMap<Spanned<String>, String>,
    found: &mut Vec<Diagnostic>,
) -> BTreeMap<String, String> {
    let mut kept = BTreeMap::new();
    for (letter, why) in reasons {
        if super::items::is_excusable(letter.get_ref()) && !why.is_empty() {
            kept.insert(letter.into_inner(), why);
        } else {
            let title = format!("`{}` needs no reason, or none is given", letter.get_ref());
            found.push(config(
                span(&letter),
                title,
                "write the letter of an item of ISO/IEC 17025:2017, 7.8.2.1, and why it does not apply",
            ));
        }
    }
    kept
}

fn party(text: PersonText) -> Party {
    Party {
        name: text.name,
        address: text.address,
        contact: text.contact,
    }
}

fn taken_over(text: JobText) -> Job {
    Job {
        tested_by: text.tested_by,
        reviewed_by: text.reviewed_by,
        witnessed_by: text.witnessed_by,
        authorised_by: text.authorised_by,
        instrument: text.instrument,
        reference: text.reference,
    }
}
