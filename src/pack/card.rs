//! What the front of a pack keeps of each CT when its record and its pages are done with: cells, defects, points,
//! and little else. A pack of any size holds the cards of all its CTs and the records of a few.

use super::defects::{self, Defect};
use super::items::Given;
use super::matrix::Block;
use super::plan::{Entry, Spot};
use super::punch::{self, Item};
use super::untested::{self, Untested};
use super::used::{self, Used};
use crate::document::Grade;
use crate::ground::date::Date;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::span::Span;
use crate::job::{Attached, Basis, Diagnosed, Part, RECORD, SISTER};
use crate::judge::decision;
use crate::judge::standing::Told;
use crate::record::instruments::Instruments;
use crate::record::visit::Visit;
use crate::report::sources::Sources;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::sync::Arc;

/// What is kept of one CT.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Card {
    #[serde(skip)]
    pub spot: Arc<Spot>,
    /// Its record as messages show it, and the SHA-256 of its bytes.
    pub file: String,
    pub sha256: String,
    /// How many of its lines could not be read.
    pub errors: usize,
    /// Whether a finding that stands fails.
    pub fails: bool,
    /// What cannot be read of it, one sentence each.
    pub broken: Vec<String>,
    pub defects: Vec<Defect>,
    /// Its points, open and closed.
    pub points: Vec<Item>,
    pub given: Given,
}

/// A role, whether a report asks for it, and who had it at a visit.
type Role = (&'static str, bool, fn(&Visit) -> Option<&String>);

/// The people of a visit.
pub const ROLES: [Role; 4] = [
    ("Tested by", true, |visit| visit.tested_by.value()),
    ("Reviewed by", true, |visit| visit.reviewed_by.value()),
    ("Witnessed by", false, |visit| visit.witnessed_by.value()),
    ("Authorised in the records by", false, |visit| {
        visit.authorised_by.value()
    }),
];

/// What a pack tells of its records beside their errors.
const TOLD: [Code; 3] = [Code::VisitFuture, Code::PermitRuns, Code::PermitOver];

/// Everything that the front of a pack is made of.
#[derive(Debug, Default)]
pub struct Gathered {
    pub cards: Vec<Card>,
    pub blocks: Vec<Block>,
    pub untested: untested::All,
    /// Records with errors, with visits that the report leaves out, or with a permit that does not fit its work.
    pub told: Vec<Diagnosed>,
    pub used: used::All,
    pub sources: Sources,
    /// Decision rules, as told.
    pub rules: Vec<String>,
    /// First and last day of the tests.
    pub days: Option<(Date, Date)>,
    /// Names by role.
    pub people: [BTreeSet<String>; ROLES.len()],
    pub basis: Basis,
    /// Names of the copies of files that its pages show.
    pub attached: BTreeSet<String>,
    /// What several CTs stand on: it is in `basis` once.
    shared: BTreeSet<Part>,
}

/// One CT, compiled, with its part of the summary matrix, which the page of its bay shows as well.
pub struct Ct<'a> {
    pub entry: Entry<'a>,
    pub block: Block,
}

impl<'a> Ct<'a> {
    pub fn new(entry: Entry<'a>) -> Self {
        Self {
            block: Block::of(&entry),
            entry,
        }
    }
}

/// What one CT adds.
#[derive(Serialize, Deserialize)]
pub struct Adds {
    card: Card,
    block: Block,
    untested: Vec<Untested>,
    #[serde(skip)]
    told: Option<Diagnosed>,
    used: Vec<((String, String), Used)>,
    sources: Sources,
    rule: String,
    days: Option<(Date, Date)>,
    people: [BTreeSet<String>; ROLES.len()],
    basis: Basis,
    attached: Vec<String>,
}

impl Adds {
    pub fn of(ct: Ct<'_>) -> Self {
        let (unit, entry) = (ct.entry.unit, &ct.entry);
        let is_failure = |one: &Told<'_>| one.grade() == Grade::Fails;
        let fails = entry.claims().counted().any(is_failure);
        let card = Card {
            spot: Arc::clone(entry.spot),
            file: unit.source.name.clone(),
            sha256: unit.source.sha256.clone(),
            errors: unit.errors().count(),
            fails,
            broken: broken(entry),
            defects: defects::of(entry),
            points: punch::of(entry),
            given: Given::of(entry),
        };
        let untested = untested::of(entry);
        let kept = |one: &&Diagnostic| TOLD.contains(&one.code);
        let told = unit.errors().chain(unit.diagnostics.iter().filter(kept));
        let told: Vec<Diagnostic> = told.cloned().collect();
        let told = (!told.is_empty()).then(|| Diagnosed {
            path: None,
            source: unit.source.clone(),
            diagnostics: told,
        });
        let days = || entry.visits().map(|(_, visit)| visit.date.value);
        let (used, rule) = (used::of(entry).into_iter().collect(), rule(entry));
        let days = days().min().zip(days().max());
        let people = ROLES.map(|(.., of)| {
            let named = entry.visits().filter_map(|(_, visit)| of(visit));
            named.cloned().collect()
        });
        let attached = entry.subject.files().filter_map(Attached::copy).collect();
        let (sources, basis) = ct.entry.subject.into_annexes();
        Self {
            card,
            block: ct.block,
            untested,
            told,
            used,
            sources,
            rule,
            days,
            people,
            basis,
            attached,
        }
    }

    /// Whether it is of a record of these bytes.
    pub fn is_of(&self, sha256: &str) -> bool {
        self.card.sha256 == sha256
    }

    /// Whether something of it has to be told each time.
    pub fn is_told(&self) -> bool {
        self.told.is_some()
    }

    /// Puts what was kept of an earlier build in its place in this one.
    pub fn put_at(&mut self, spot: &Arc<Spot>, instruments: Option<&Instruments>) {
        let defects = self.card.defects.iter_mut().map(|defect| &mut defect.spot);
        let places = defects.chain([&mut self.card.spot, &mut self.block.spot]);
        places.for_each(|place| *place = Arc::clone(spot));
        for (_, used) in &mut self.used {
            used.known = instruments.and_then(|known| known.find(&used.id)).cloned();
        }
    }
}

impl Gathered {
    /// Takes the next CT in the order of the pack.
    pub fn add(&mut self, adds: Adds) {
        let Adds {
            card,
            block,
            untested,
            told,
            used,
            sources,
            rule,
            days,
            people,
            basis,
            attached,
        } = adds;
        self.attached.extend(attached);
        self.untested.add(self.cards.len(), untested);
        self.cards.push(card);
        self.blocks.push(block);
        self.told.extend(told);
        used::add(&mut self.used, used);
        self.sources.join(sources);
        if !self.rules.contains(&rule) {
            self.rules.push(rule);
        }
        self.days = match (self.days, days) {
            (Some(one), Some(other)) => Some((one.0.min(other.0), one.1.max(other.1))),
            (one, other) => one.or(other),
        };
        for (names, more) in self.people.iter_mut().zip(people) {
            names.extend(more);
        }
        // Its record is on its card, and a sister is a record of the pack too.
        let mut parts = basis.parts;
        parts.retain(|part| ![RECORD, SISTER].contains(&part.what.as_str()));
        for part in parts {
            if !self.shared.contains(&part) {
                self.shared.insert(part.clone());
                self.basis.parts.push(part);
            }
        }
    }

    /// When the last CT was taken.
    pub fn finish(&mut self) {
        let mut records = Basis::default();
        for card in &self.cards {
            records.add_record(&card.file, &card.sha256);
        }
        self.basis = Basis::joined([&records, &self.basis]);
    }
}

/// Lines that cannot be read, and visits that cannot be placed in time.
fn broken(entry: &Entry<'_>) -> Vec<String> {
    let unit = entry.unit;
    if unit.is_complete() {
        return Vec::new();
    }
    let line = |at: Span| unit.source.line(at.start);
    let undated = unit.record.undated.iter();
    let undated = undated.map(|at| {
        let line = line(*at);
        format!("line {line}: this visit is not shown, its date could not be read")
    });
    let errors = unit.errors();
    let errors = errors.map(|one| format!("line {}: {}", line(one.span), one.title));
    undated.chain(errors).collect()
}

fn rule(entry: &Entry<'_>) -> String {
    let criteria = &entry.unit.setting.criteria;
    let file = match criteria.file.as_str() {
        "" => "the defaults, without a criteria.toml".to_owned(),
        file if criteria.broken => {
            format!("the defaults: {file} could not be read, and nothing of it was used")
        }
        file => file.to_owned(),
    };
    format!(
        "{} Coverage factor {}. Taken from {file}.",
        decision::describe(criteria),
        decision::describe_factor(criteria)
    )
}
