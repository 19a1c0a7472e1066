//! What may be written at a place: sections behind `[`, keys and headings at the head of a line, values by their kind.
//! It goes by the line up to the place, so that it works on what is half typed.

mod heading;
mod value;

use super::spot::Spot;
use crate::ground::span::Span;
use crate::job::Compiled;
use crate::record::schema::{Argument, Key, Section};
use crate::record::sections;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ItemKind {
    Section,
    Key,
    Column,
    Unit,
    /// One of the words that a key or a column allows.
    Word,
    /// A pair of terminals, or a core.
    Winding,
    Instrument,
    /// A line that speaks of others.
    Aside,
}

/// One thing that may be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    pub kind: ItemKind,
    pub label: String,
    /// What is written in place of `span`.
    pub text: String,
    pub span: Span,
    pub doc: String,
}

/// What was begun, and from where.
#[derive(Clone, Copy)]
struct Begun<'a> {
    text: &'a str,
    at: u32,
}

impl<'a> Begun<'a> {
    /// What stands behind the first bytes.
    fn from(self, bytes: usize) -> Self {
        let text = self.text.get(bytes..).unwrap_or_default();
        let blank = text.len() - text.trim_start_matches([' ', '\t']).len();
        Self {
            text: text.get(blank..).unwrap_or_default(),
            at: self.at + (bytes + blank) as u32,
        }
    }

    /// Its last word.
    fn last(self) -> Self {
        let from = self.text.rfind([' ', '\t', '|']).map_or(0, |at| at + 1);
        self.from(from)
    }

    fn item(self, kind: ItemKind, label: impl Into<String>, doc: impl Into<String>) -> Item {
        let label = label.into();
        Item {
            kind,
            text: label.clone(),
            label,
            span: Span {
                start: self.at,
                end: self.at + self.text.len() as u32,
            },
            doc: doc.into(),
        }
    }
}

/// Everything that may stand at a place; what was begun of it is replaced.
pub fn complete(ct: &Compiled, at: u32) -> Vec<Item> {
    let Some(spot) = Spot::at(ct, at) else {
        return Vec::new();
    };
    let Some((text, from)) = spot.before() else {
        return Vec::new();
    };
    let begun = Begun { text, at: from };
    if text.starts_with('[') {
        return opening(&spot, begun.from(1));
    }
    if let Some(behind) = text.strip_prefix("not done") {
        let begun = begun.from(text.len() - behind.len());
        let tests = sections::all().filter(|one| one.is_test() && !begun.text.contains(':'));
        let item = |one: &'static Section| begun.item(ItemKind::Section, one.name, one.doc);
        return tests.map(item).collect();
    }
    if text.starts_with("amended:") {
        return Vec::new();
    }
    let Some(schema) = spot.schema() else {
        let is_head = spot.opened().is_none() && text.is_empty();
        let format = || begun.item(ItemKind::Key, "format: 1", "the format of the record");
        let is_first = ct
            .record
            .written
            .tree
            .head_lines()
            .iter()
            .all(|line| line.body.is_empty());
        return (is_head && is_first).then(format).into_iter().collect();
    };
    match text.split_once(':') {
        Some((word, _)) if !text.starts_with(|c: char| c.is_ascii_digit()) => {
            let key = schema.key(word.trim_end_matches([' ', '\t']));
            let begun = begun.from(word.len() + 1);
            key.map_or(Vec::new(), |key| value::of_key(&spot, schema, key, begun))
        }
        _ => line(&spot, schema, begun),
    }
}

/// A section's name, or what stands behind it.
fn opening(spot: &Spot<'_>, begun: Begun<'_>) -> Vec<Item> {
    let Some((name, _)) = begun.text.split_once([' ', '\t']) else {
        let end = if spot.behind().contains(']') { "" } else { "]" };
        let item = |section: &'static Section| {
            let mut item = begun.item(ItemKind::Section, section.name, section.doc);
            if matches!(section.argument, Argument::None | Argument::OfVisit) {
                item.text.push_str(end);
            }
            item
        };
        return sections::all().map(item).collect();
    };
    let Some(schema) = sections::named(name) else {
        return Vec::new();
    };
    let behind = begun.from(name.len());
    let is_first = !behind.text.contains([' ', '\t']);
    let since = behind
        .last()
        .item(ItemKind::Word, "since", "from this day on");
    match schema.argument {
        Argument::Pair => value::pairs(spot.ct, behind),
        Argument::CoreSince if is_first => value::cores(spot.ct, behind),
        Argument::CoreSince | Argument::Since => vec![since],
        Argument::None | Argument::OfVisit | Argument::NewCore | Argument::Visit => Vec::new(),
    }
}

/// The head of a line: a key, the heading of a table, a row, or a line that speaks of others.
fn line(spot: &Spot<'_>, schema: &'static Section, begun: Begun<'_>) -> Vec<Item> {
    if heading::is_begun(schema, begun) {
        return heading::columns(schema, begun);
    }
    let row = spot.table().map(|table| value::of_cell(spot, table, begun));
    let mut all = row.unwrap_or_default();
    if begun.text.starts_with(|c: char| !c.is_alphabetic()) {
        return all;
    }
    // A key that stands already has its colon.
    let has_colon = spot
        .behind()
        .trim_start_matches([' ', '\t'])
        .starts_with(':');
    let behind = if has_colon { "" } else { ": " };
    let given = spot.body().map_or(&[][..], |body| body.fields.as_slice());
    let is_free =
        |key: &&'static Key| key.repeat || !given.iter().any(|field| field.key.word == key.word);
    all.extend(schema.all_keys().filter(is_free).map(|key| {
        let doc = format!("{}; {}", key.kind.words(), key.doc);
        let mut item = begun.item(ItemKind::Key, key.word, doc);
        item.text.push_str(behind);
        item
    }));
    if !begun.text.contains([' ', '\t', '|']) {
        all.extend(heading::columns(schema, begun));
    }
    let visit = schema.is_test() || schema.argument == Argument::Visit;
    all.extend(visit.then(|| {
        let doc = "a test that was left out, and why: `not done insulation: agreed scope`";
        begun.item(ItemKind::Aside, "not done ", doc)
    }));
    let doc = "what the line above said before: `amended: voltage was 1.121; transcription; N. N. 2026-03-15`";
    all.push(begun.item(ItemKind::Aside, "amended: ", doc));
    all
}
