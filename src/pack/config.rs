//! `pack.toml`: which records make the pack, and what the client's report says beside them. What
//! cannot be read is told with its line; nothing is guessed.

use super::config_text::{FileText, ReportText};
use crate::document::Paper;
use crate::ground::date::{self, Date};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::source::Source;
use crate::ground::span::{Located, Span};
use crate::record::config::{self, span};
use serde::Deserialize;
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

/// One line of the revision history.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Revision {
    pub name: String,
    pub date: Option<Date>,
    pub what: String,
}

/// Somebody the report names. Empty texts are "not stated".
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Party {
    pub name: String,
    pub address: String,
    pub contact: String,
}

/// What a visit takes over when it says `job: NAME`.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct JobDefaults {
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
    pub jobs: BTreeMap<String, JobDefaults>,
    pub decimal_comma: bool,
    pub paper: Paper,
    /// The whole pack repeats the workings of every headline value, as each CT's own page does.
    pub all_workings: bool,
    /// Folder with the client's own templates, relative to the file's folder.
    pub templates: Option<Located<String>>,
}

/// Reads the file. `None` when its text is no TOML of this shape, or it names no records.
pub fn read(source: &Source) -> (Option<Config>, Vec<Diagnostic>) {
    let text: FileText = match config::tables(source) {
        Ok(text) => text,
        Err(told) => return (None, vec![*told]),
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
    let mut made = Config {
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
        client: text.client,
        logo: located(&text.contractor.logo),
        contractor: Party {
            name: text.contractor.name,
            address: text.contractor.address,
            contact: text.contractor.contact,
        },
        job: text.job.name,
        site: text.job.site,
        authorised: text.authorised.name,
        role: text.authorised.role,
        jobs: text.jobs,
        decimal_comma: choice(
            &text.numbers.decimal,
            "decimal",
            &[("point", false), ("comma", true)],
            &mut found,
        ),
        paper: choice(
            &text.page.paper,
            "paper",
            &[("A4", Paper::A4), ("Letter", Paper::Letter)],
            &mut found,
        ),
        all_workings: choice(
            &text.page.workings,
            "workings",
            &[("for review", false), ("all", true)],
            &mut found,
        ),
        templates: located(&text.templates.folder),
    };
    for revision in history {
        let date = day(revision.date.as_ref(), &mut found).map(|date| date.value);
        made.history.push(Revision {
            name: revision.revision,
            date,
            what: revision.what,
        });
    }
    (Some(made), found)
}

fn patterns(text: &FileText, found: &mut Vec<Diagnostic>) -> Vec<Located<String>> {
    let Some(records) = &text.records else {
        found.push(config::fault(
            Span::default(),
            "the pack names no records".to_owned(),
            "write records = [\"**/*.ctr\"] at the top",
        ));
        return Vec::new();
    };
    if records.get_ref().is_empty() {
        found.push(config::fault(
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
    match text {
        None => vec![Key::Site, Key::Bay, Key::Phase],
        Some(words) => {
            let known = |word| one_of(word, "order", KEYS, found);
            words.iter().filter_map(known).collect()
        }
    }
}

/// The value that a word stands for.
fn one_of<T: Copy>(
    word: &Spanned<String>,
    of: &str,
    known: &[(&str, T)],
    found: &mut Vec<Diagnostic>,
) -> Option<T> {
    let value = known.iter().find(|(name, _)| name == word.get_ref());
    if value.is_none() {
        let title = format!("`{of}` cannot be `{}`", word.get_ref());
        found.push(config::unknown(
            word,
            title,
            known.iter().map(|(name, _)| *name),
        ));
    }
    value.map(|(_, value)| *value)
}

fn choice<T: Copy + Default>(
    text: &config::Text,
    of: &str,
    known: &[(&str, T)],
    found: &mut Vec<Diagnostic>,
) -> T {
    let word = text.as_ref();
    word.and_then(|word| one_of(word, of, known, found))
        .unwrap_or_default()
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
            found.push(config::fault(
                span(&letter),
                title,
                "write the letter of an item of ISO/IEC 17025:2017, 7.8.2.1, and why it does not apply",
            ));
        }
    }
    kept
}

/// A path as written, seen from the file's folder.
fn located(text: &config::Text) -> Option<Located<String>> {
    let text = text.as_ref()?;
    Some(Located::new(text.get_ref().clone(), span(text)))
}
