//! `pack.toml`: which records make the pack, and what the client's report says beside them. What
//! cannot be read is told with its line; nothing is guessed.

use crate::document::Paper;
use crate::ground::date::Date;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::ground::span::{Located, Span};
use crate::record::config::{self, day, span};
use crate::record::jobs::JobDefaults;
use crate::report::Annexes;
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

/// The tables and keys of the file. Empty texts are "not stated".
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct PackFile {
    records: Option<Spanned<Vec<Spanned<String>>>>,
    order: Option<Vec<Spanned<String>>>,
    pub report: Report,
    pub client: Party,
    pub contractor: Contractor,
    pub job: Job,
    pub authorised: Authorised,
    pub jobs: BTreeMap<String, JobDefaults>,
    numbers: Numbers,
    page: PageKeys,
    /// The annexes that the report of each CT has.
    pub annex: Annexes,
    templates: Folder,
}

type Day = Option<Spanned<toml::value::Datetime>>;

/// What the report says of itself.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Report {
    pub number: String,
    pub revision: String,
    issued: Day,
    pub title: String,
    history: Vec<RevisionKeys>,
    /// Methods: standard and clause, or procedure and its revision.
    pub methods: Vec<String>,
    /// When the items were received, where that matters.
    pub received: String,
    /// Sampling plan, where there was one.
    pub sampling: String,
    reasons: BTreeMap<Spanned<String>, String>,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct RevisionKeys {
    revision: String,
    date: Day,
    what: String,
}

/// The client.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Party {
    pub name: String,
    pub address: String,
    pub contact: String,
}

/// The testing body.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Contractor {
    pub name: String,
    pub address: String,
    pub contact: String,
    logo: config::Text,
}

/// The work.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Job {
    pub name: String,
    pub site: String,
}

/// Who authorised the report, and as what.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Authorised {
    pub name: String,
    pub role: String,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Numbers {
    decimal: config::Text,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct PageKeys {
    paper: config::Text,
}

#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Folder {
    folder: config::Text,
}

/// One line of the revision history.
#[derive(Clone, Debug)]
pub struct Revision {
    pub name: String,
    pub date: Option<Date>,
    pub what: String,
}

/// The whole file, with what its words, days and letters mean.
#[derive(Clone, Debug, Default)]
pub struct Config {
    pub file: PackFile,
    /// Patterns, relative to the file's folder.
    pub records: Vec<Located<String>>,
    pub order: Vec<Key>,
    pub issued: Option<Located<Date>>,
    pub history: Vec<Revision>,
    /// Why an item does not apply, by its clause.
    pub reasons: BTreeMap<&'static str, String>,
    /// File of the contractor's mark, relative to the file's folder.
    pub logo: Option<Located<String>>,
    pub decimal_comma: bool,
    pub paper: Paper,
    /// Folder with the client's own templates, relative to the file's folder.
    pub templates: Option<Located<String>>,
}

/// Reads the file. `None` when its text is no TOML of this shape, or it names no records.
pub fn read(source: &Source) -> (Option<Config>, Vec<Diagnostic>) {
    let file: PackFile = match config::tables(source) {
        Ok(file) => file,
        Err(told) => return (None, told),
    };
    let mut found = Vec::new();
    let records = patterns(&file, &mut found);
    if records.is_empty() {
        return (None, found);
    }
    let (page, told) = (&file.page, &mut found);
    let decimals = [("point", false), ("comma", true)];
    let papers = [("A4", Paper::A4), ("Letter", Paper::Letter)];
    let made = Config {
        records,
        order: order(file.order.as_deref(), told),
        issued: day(file.report.issued.as_ref(), told),
        reasons: reasons(&file.report.reasons, told),
        logo: located(&file.contractor.logo),
        decimal_comma: choice(&file.numbers.decimal, "decimal", &decimals, told),
        paper: choice(&page.paper, "paper", &papers, told),
        templates: located(&file.templates.folder),
        history: history(&file.report.history, told),
        file,
    };
    (Some(made), found)
}

fn history(lines: &[RevisionKeys], found: &mut Vec<Diagnostic>) -> Vec<Revision> {
    let revision = |line: &RevisionKeys| Revision {
        name: line.revision.clone(),
        date: day(line.date.as_ref(), found).map(|date| date.value),
        what: line.what.clone(),
    };
    lines.iter().map(revision).collect()
}

fn patterns(file: &PackFile, found: &mut Vec<Diagnostic>) -> Vec<Located<String>> {
    let Some(records) = &file.records else {
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

fn reasons(
    given: &BTreeMap<Spanned<String>, String>,
    found: &mut Vec<Diagnostic>,
) -> BTreeMap<&'static str, String> {
    let mut kept = BTreeMap::new();
    for (letter, why) in given {
        match super::items::excusable(letter.get_ref()) {
            Some(clause) if !why.is_empty() => drop(kept.insert(clause, why.clone())),
            _ => {
                let title = format!("`{}` needs no reason, or none is given", letter.get_ref());
                let help = "write the letter of an item of ISO/IEC 17025:2017, 7.8.2.1, and why it does not apply";
                found.push(config::fault(span(letter), title, help));
            }
        }
    }
    kept
}

/// A path as written, seen from the file's folder.
fn located(text: &config::Text) -> Option<Located<String>> {
    let text = text.as_ref()?;
    Some(Located::new(text.get_ref().clone(), span(text)))
}
