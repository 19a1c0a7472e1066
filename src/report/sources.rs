//! The annexes that a report stands on: where each limit and formula comes from, and of which files it
//! was made. The pages before them cite a clause and no more.

use crate::derive::workings::Origin;
use crate::document::{Block, Cell, Part, Phrase, Table, Text};
use crate::job::{LIMITS, Part as Made};
use crate::judge::Assessment;
use crate::judge::finding::Finding;
use crate::record::criteria::Criteria;
use crate::standards::{CITED, Cited, FILES, Provenance, without_memory};
use std::collections::{BTreeMap, BTreeSet};

/// Heading of the annex on limits.
pub const TITLE: &str = "Where the limits come from";
/// Heading of the annex on files.
pub const MADE_OF: &str = "What this report was made of";

/// What is known of a source, and the note that goes with it.
type Known = (String, String, String);

/// One thing that a finding cites. Most findings of a record cite the same few.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Source<'a> {
    Row(&'a Cited),
    /// A source, and of what it is.
    Method(&'a str, &'static str),
}

fn of_step(origin: &Origin) -> Option<Source<'_>> {
    match origin {
        Origin::Row(cited) => Some(Source::Row(cited)),
        Origin::Formula(formula) => Some(Source::Method(formula.source, "formula")),
        Origin::Curve { source, .. } => Some(Source::Method(source, "formula")),
        Origin::Constant { source } => Some(Source::Method(source, "constant")),
        Origin::Reading { .. } | Origin::Plate { .. } | Origin::Given { .. } => None,
    }
}

/// An older standard carries a row of a later one under a source of its own.
fn of_part(part: &Part) -> Option<Source<'_>> {
    let Part::Cited { row, source } = part else {
        return None;
    };
    let of_source = || CITED.iter().filter(|cited| cited.source == *source);
    let own = of_source().find(|cited| cited.id == *row);
    own.or(of_source().next()).map(Source::Row)
}

/// Sources, each with the rows of limits that it stands for.
#[derive(Clone, Debug, Default, serde::Serialize, serde::Deserialize)]
#[serde(
    from = "Vec<(Known, BTreeSet<String>)>",
    into = "Vec<(Known, BTreeSet<String>)>"
)]
pub struct Sources {
    /// Names of rows by source, how it is known, and note.
    rows: BTreeMap<Known, BTreeSet<String>>,
}

impl From<Vec<(Known, BTreeSet<String>)>> for Sources {
    fn from(rows: Vec<(Known, BTreeSet<String>)>) -> Self {
        Self {
            rows: rows.into_iter().collect(),
        }
    }
}

impl From<Sources> for Vec<(Known, BTreeSet<String>)> {
    fn from(sources: Sources) -> Self {
        sources.rows.into_iter().collect()
    }
}

impl Sources {
    /// What the findings of a record cite: their limits, their remarks, and the steps of those that head a
    /// test, whose workings are shown.
    pub fn of(assessment: &Assessment, criteria: &Criteria) -> Self {
        let findings = || assessment.visits.iter().flat_map(|visit| &visit.findings);
        let headed = findings().filter(|finding| finding.headline);
        let headed = headed.filter_map(Finding::value);
        let mut cited: BTreeSet<Source<'_>> = BTreeSet::new();
        for step in assessment.workings.below(headed) {
            cited.extend(of_step(&step.origin));
        }
        for finding in findings() {
            let limit = finding.against.as_ref();
            cited.extend(limit.map(|against| Source::Row(&against.cited)));
            let said = finding.remarks.iter().chain([&finding.observed]);
            cited.extend(said.flat_map(Phrase::parts).filter_map(of_part));
        }
        let mut sources = Self::default();
        for one in cited {
            match one {
                Source::Row(cited) => sources.row(cited, criteria),
                Source::Method(source, what) => sources.method(source, what),
            }
        }
        sources
    }

    /// Takes what others cite.
    pub fn join(&mut self, others: Self) {
        for (known, rows) in others.rows {
            self.rows.entry(known).or_default().extend(rows);
        }
    }

    /// A row of the tables. What plate, duty or criteria state is cited where it stands.
    fn row(&mut self, cited: &Cited, criteria: &Criteria) {
        if cited.provenance != Provenance::Stated {
            let (source, note) = (cited.source.clone(), cited.note.clone());
            let known = (source, criteria.how_known(cited), note.unwrap_or_default());
            self.rows.entry(known).or_default().insert(cited.id.clone());
        }
    }

    /// The source of a formula or a constant, where more is to be said of it than itself.
    fn method(&mut self, source: &str, what: &str) {
        if let Some(bare) = without_memory(source) {
            self.told(&bare, what, Provenance::Memory.words());
        }
    }

    /// A source of something else than a limit, and how it is known.
    pub fn told(&mut self, source: &str, what: &str, known: &str) {
        let known = (source.to_owned(), known.to_owned(), String::new());
        self.rows.entry(known).or_default().insert(what.to_owned());
    }

    /// How many of them nobody has read anew.
    pub fn remembered(&self) -> usize {
        let memory = Provenance::Memory.words();
        let known = self.rows.keys().map(|(_, known, _)| known);
        known.filter(|known| known.starts_with(memory)).count()
    }

    /// The annex, without its heading; empty where nothing was cited.
    pub fn blocks(&self) -> Vec<Block> {
        let row = |((source, known, note), rows): (&Known, &BTreeSet<String>)| {
            let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
            let note = if note.is_empty() {
                Cell::Empty
            } else {
                note.into()
            };
            vec![source.into(), rows.join(", ").into(), known.into(), note]
        };
        let rows: Vec<Vec<Cell>> = self.rows.iter().map(row).collect();
        if rows.is_empty() {
            return Vec::new();
        }
        let intro = "How each figure is known that is cited in this report and that neither plate, duty nor criteria state.";
        let heads = ["Source", "Row", "How it is known", "Note"];
        vec![
            Block::paragraph(intro),
            Block::Table(Table::grid(&heads, rows).without_empty_columns()),
        ]
    }
}

/// The files that a report was made of.
pub fn made_of<'b>(parts: impl IntoIterator<Item = &'b Made>) -> Table {
    let row = |part: &Made| {
        let sum = match part.sum.as_str() {
            "" => "none",
            sum => sum,
        };
        let file = FILES
            .iter()
            .find(|file| part.what == LIMITS && file.name == part.name);
        let name = Text::from(&part.name).under(file.map_or("", |file| file.of));
        vec![Cell::from(&part.what), name.into(), sum.into()]
    };
    let rows = parts.into_iter().map(row).collect();
    Table::grid(&["What", "Name", "SHA-256, or version"], rows)
}
