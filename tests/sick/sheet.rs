//! A record as a technician's sheet: plate, visits, sections, cells; later text.

use super::unit::Unit;

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    State,
    SelfCheck,
    Insulation,
    Polarity,
    Resistance,
    Demagnetisation,
    Excitation,
    Ratio,
    ByCurrent,
    Burden,
    Restored,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    Word(String),
    /// As shown, with what the instrument may be off by, in the unit of its column.
    Reading {
        text: String,
        limit: f64,
    },
}

impl Cell {
    pub fn word(text: impl Into<String>) -> Self {
        Self::Word(text.into())
    }

    pub fn text(&self) -> &str {
        match self {
            Self::Word(text) | Self::Reading { text, .. } => text,
        }
    }

    pub fn value(&self) -> Option<f64> {
        match self {
            Self::Word(_) => None,
            Self::Reading { text, .. } => text.parse().ok(),
        }
    }

    /// The same reading with another text.
    pub fn typed(&mut self, new: String) {
        match self {
            Self::Word(text) | Self::Reading { text, .. } => *text = new,
        }
    }
}

#[derive(Clone, Debug)]
pub struct Row {
    /// The core that it speaks of; none for the primary.
    pub core: Option<usize>,
    pub cells: Vec<Cell>,
}

#[derive(Clone, Debug)]
pub struct Section {
    pub kind: Kind,
    /// Behind the name in its opening line.
    pub on: String,
    pub fields: Vec<(&'static str, Cell, &'static str)>,
    pub head: Vec<&'static str>,
    pub rows: Vec<Row>,
}

impl Section {
    pub fn new(kind: Kind, on: impl Into<String>) -> Self {
        Self {
            kind,
            on: on.into(),
            fields: Vec::new(),
            head: Vec::new(),
            rows: Vec::new(),
        }
    }

    pub fn say(&mut self, key: &'static str, value: impl Into<String>) {
        self.fields.push((key, Cell::word(value), ""));
    }
}

#[derive(Clone, Debug)]
pub struct Visit {
    pub date: &'static str,
    pub purpose: &'static str,
    pub fields: Vec<(&'static str, String)>,
    pub sections: Vec<Section>,
    pub not_done: Vec<String>,
}

#[derive(Clone, Debug)]
pub struct Sheet {
    pub file: String,
    pub id: String,
    pub phase: String,
    pub plate: Unit,
    pub visits: Vec<Visit>,
}

impl Sheet {
    /// Sections of one kind at the last visit.
    pub fn last(&mut self, kind: Kind) -> impl Iterator<Item = &mut Section> {
        let sections = self.visits.last_mut().map(|visit| &mut visit.sections);
        sections
            .into_iter()
            .flatten()
            .filter(move |section| section.kind == kind)
    }
}

/// Whether two sheets of one CT differ by more than three times what their instruments may be off.
pub fn differ(one: &Sheet, other: &Sheet) -> bool {
    one.visits.len() != other.visits.len()
        || one
            .visits
            .iter()
            .zip(&other.visits)
            .any(|(a, b)| visits_differ(a, b))
}

fn visits_differ(a: &Visit, b: &Visit) -> bool {
    let order = |visit: &Visit| -> Vec<(Kind, String)> {
        visit
            .sections
            .iter()
            .map(|one| (one.kind, one.on.clone()))
            .collect()
    };
    order(a) != order(b)
        || a.sections.iter().zip(&b.sections).any(|(a, b)| {
            a.head != b.head
                || a.rows.len() != b.rows.len()
                || a.fields.len() != b.fields.len()
                || a.fields
                    .iter()
                    .zip(&b.fields)
                    .any(|(a, b)| cells_differ(&a.1, &b.1))
                || a.rows.iter().zip(&b.rows).any(|(a, b)| {
                    a.cells
                        .iter()
                        .zip(&b.cells)
                        .any(|(a, b)| cells_differ(a, b))
                })
        })
}

fn cells_differ(a: &Cell, b: &Cell) -> bool {
    match (a, b, a.value(), b.value()) {
        (Cell::Reading { limit, .. }, Cell::Reading { limit: other, .. }, Some(x), Some(y)) => {
            (x - y).abs() > 3.0 * limit.max(*other)
        }
        _ => a.text() != b.text(),
    }
}
