//! The entries of each register.

use super::Said::{Item, Line};
use super::{Entry, Kind, Said};
use crate::derive::formula::About;
use crate::derive::formulas;
use crate::ground::diagnostic::Code;
use crate::judge::doubts;
use crate::judge::requirement::{self, Requirement};
use crate::judge::rules::{self, Rule};
use crate::record::schema::{self, Section, shared_keys};
use crate::record::sections;
use crate::standards::{Row, all_rows};

pub(super) fn of(kind: Kind) -> Vec<Entry> {
    let entry = |name: &str, title: String, said: Vec<Said>| Entry {
        kind,
        name: name.to_owned(),
        also: &[],
        title,
        said,
    };
    match kind {
        Kind::Section => sections::all().map(section).collect(),
        Kind::Key => words(Kind::Key, keys()),
        Kind::Column => words(Kind::Column, columns()),
        Kind::Diagnostic => {
            let of = |code: &Code| {
                let severity = format!("Severity: {}.", code.severity().word());
                let said = vec![Line(code.what().to_owned()), Line(severity)];
                entry(code.name(), code.what().to_owned(), said)
            };
            Code::ALL.iter().map(of).collect()
        }
        Kind::Rule => {
            let of = |one: &'static Rule| entry(one.id, one.title.to_owned(), rule(one));
            rules::all().map(of).collect()
        }
        Kind::Requirement => {
            let of = |one: &&Requirement| entry(one.id, one.title.to_owned(), requirement(one));
            requirement::ALL.iter().map(of).collect()
        }
        Kind::Limit => {
            let of = |row: &Row| entry(&row.cited.id, figures(row), limit(row));
            all_rows().iter().map(of).collect()
        }
        Kind::Formula => {
            let of = |about: &About| entry(about.name, about.what.to_owned(), formula(about));
            formulas::all().iter().map(|one| of(one.about())).collect()
        }
    }
}

/// Other spellings, where there are any.
fn spellings(also: &[&str]) -> Option<Said> {
    (!also.is_empty()).then(|| sentence(format!("Also written {}", listed(also.iter().copied()))))
}

/// A line that ends with a stop, as some texts do by themselves.
fn sentence(mut text: String) -> Said {
    if !text.ends_with('.') {
        text.push('.');
    }
    Line(text)
}

/// Names in code, one behind the other.
fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.collect();
    format!("`{}`", names.join("`, `"))
}

/// What a rule looks at, why, what to do, what it puts in doubt, what it is evidence for.
pub fn rule(rule: &Rule) -> Vec<Said> {
    let whose = rule.whose.word();
    let mut said = vec![
        sentence(format!("A finding of the {whose}: {}", rule.means)),
        sentence(format!("Why: {}", rule.matters)),
    ];
    if !rule.action.is_empty() {
        said.push(sentence(format!("What to do: {}", rule.action)));
    }
    said.extend(doubts::told(rule).map(Line));
    let shows = |one: &&&Requirement| one.evidence.contains(&rule);
    let mut shown = requirement::ALL.iter().filter(shows).peekable();
    if shown.peek().is_some() {
        let shown = listed(shown.map(|one| one.id));
        said.push(sentence(format!("Evidence for {shown}")));
    }
    said.push(sentence(format!("Source: {}", rule.source)));
    said
}

fn requirement(one: &Requirement) -> Vec<Said> {
    let (whose, proof) = (one.whose.word(), one.proof_words());
    let mut said = vec![
        sentence(format!("Required of the {whose}: {}, {proof}", one.title)),
        sentence(format!("Needs {}", one.needs)),
    ];
    if !one.evidence.is_empty() {
        let rules = listed(one.evidence.iter().map(|rule| rule.id));
        said.push(sentence(format!("Shown by {rules}")));
    }
    let due: Vec<String> = one.due.iter().map(ToString::to_string).collect();
    said.push(Line(match due.is_empty() {
        true => "Due at no visit; it stays on the list.".to_owned(),
        false => format!("Due at {}.", due.join(", ")),
    }));
    said.push(sentence(format!("Source: {}", one.source)));
    said
}

/// `measuring ratio: class 0.2S, limit 0.35, percent 5 (%)`.
fn figures(row: &Row) -> String {
    let figures = row.figures.iter();
    let figures: Vec<String> = figures
        .map(|(key, value)| format!("{key} {value}"))
        .collect();
    format!("{}: {} ({})", row.group, figures.join(", "), row.unit)
}

fn limit(row: &Row) -> Vec<Said> {
    let mut said = vec![sentence(format!("A row of the table of {}", row.group))];
    let figures = row.figures.iter();
    said.extend(figures.map(|(key, value)| Item(format!("{key}: {value}"))));
    said.push(sentence(format!("Unit: {}", row.unit)));
    said.push(sentence(format!("Source: {}", row.cited.source)));
    said.push(sentence(format!(
        "How it is known: {}",
        row.cited.how_known()
    )));
    let more = [
        ("Note", &row.cited.note),
        ("Not read yet", &row.unread),
        ("Not checked", &row.unchecked),
    ];
    let more = more
        .into_iter()
        .filter_map(|(what, text)| Some((what, text.as_ref()?)));
    said.extend(more.map(|(what, text)| sentence(format!("{what}: {text}"))));
    said
}

/// A formula, its symbols and its source.
pub fn formula(about: &About) -> Vec<Said> {
    let mut said = vec![Line(format!("`{}` in {}", about.text, unit(about.unit)))];
    let symbols = about.symbols.iter();
    said.extend(
        symbols.map(|one| Item(format!("`{}`: {}, {}", one.name, one.what, unit(one.unit)))),
    );
    said.push(sentence(format!("Source: {}", about.source)));
    said
}

fn unit(word: &str) -> &str {
    match word {
        "" | "1" => "1 (a plain number)",
        word => word,
    }
}

pub(super) fn section(section: &'static Section) -> Entry {
    let mut said = vec![sentence(format!(
        "`{}`: {}",
        section.opening(),
        section.doc
    ))];
    let keys = section.keys.iter();
    said.extend(keys.map(|key| Item(format!("`{}:` {}; {}", key.word, key.kind.words(), key.doc))));
    let columns = section.columns.iter();
    said.extend(columns.map(|one| {
        let value = one.kind.words();
        Item(format!("column `{}` {value}; {}", one.word, one.doc))
    }));
    if section.is_test() {
        let shared = listed(shared_keys().iter().map(|key| key.word));
        said.push(sentence(format!("As every test it knows {shared} as well")));
    }
    said.extend(spellings(section.also));
    Entry {
        kind: Kind::Section,
        name: section.name.to_owned(),
        also: section.also,
        title: section.doc.to_owned(),
        said,
    }
}

/// A key or a column, and where it may stand.
struct Word {
    word: &'static str,
    also: &'static [&'static str],
    kind: schema::Kind,
    doc: &'static str,
    within: String,
}

fn keys() -> Vec<Word> {
    let word = |key: &schema::Key, within: String| Word {
        word: key.word,
        also: key.also,
        kind: key.kind,
        doc: key.doc,
        within,
    };
    let of = |section: &'static Section| {
        let within = format!("[{}]", section.name);
        section
            .keys
            .iter()
            .map(move |key| word(key, within.clone()))
    };
    let shared = shared_keys().iter();
    let shared = shared.map(|key| word(key, "every test section".to_owned()));
    sections::all().flat_map(of).chain(shared).collect()
}

fn columns() -> Vec<Word> {
    let of = |section: &'static Section| {
        let columns = section.columns.iter();
        columns.map(|column| Word {
            word: column.word,
            also: column.also,
            kind: column.kind,
            doc: column.doc,
            within: format!("[{}]", section.name),
        })
    };
    sections::all().flat_map(of).collect()
}

/// The entry of a word as it stands in a section.
pub(super) fn word_of(section: &'static Section, kind: Kind, word: &str) -> Option<Entry> {
    let (own, all) = match kind {
        Kind::Key => {
            let own = section.key(word)?;
            ((own.word, own.doc), keys())
        }
        Kind::Column => {
            let own = section.column(word)?;
            ((own.word, own.doc), columns())
        }
        Kind::Section
        | Kind::Diagnostic
        | Kind::Rule
        | Kind::Requirement
        | Kind::Limit
        | Kind::Formula => return None,
    };
    let same = all.into_iter().filter(|one| (one.word, one.doc) == own);
    words(kind, same.collect()).into_iter().next()
}

/// One entry for all places where a word means the same.
fn words(kind: Kind, all: Vec<Word>) -> Vec<Entry> {
    let mut groups: Vec<(Word, Vec<String>)> = Vec::new();
    for one in all {
        let same = |(known, _): &&mut (Word, Vec<String>)| {
            (known.word, known.doc) == (one.word, one.doc) && known.kind == one.kind
        };
        match groups.iter_mut().find(same) {
            Some((_, places)) => places.push(one.within),
            None => {
                let places = vec![one.within.clone()];
                groups.push((one, places));
            }
        }
    }
    let entry = |(one, places): (Word, Vec<String>)| {
        let places = places.join(", ");
        let mut said = vec![
            sentence(format!("In {places}: {}", one.doc)),
            sentence(format!("Value: {}", one.kind.words())),
        ];
        said.extend(spellings(one.also));
        Entry {
            kind,
            name: one.word.to_owned(),
            also: one.also,
            title: format!("in {places}: {}", one.doc),
            said,
        }
    };
    groups.into_iter().map(entry).collect()
}
