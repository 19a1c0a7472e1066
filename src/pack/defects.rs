//! The defects list: what is out of its limits or deserves a look, one entry per CT and cause, with what to do
//! next and who has taken it on.

use super::plan::{Entry, Spot};
use super::punch::{self, Item};
use crate::document::{Grade, Phrase, joined, say};
use crate::ground::span::Given;
use crate::judge::finding::Finding;
use crate::judge::is_doubt;
use crate::judge::rules::Whose;
use crate::judge::standing::Told;
use crate::judge::words;
use crate::record::kinds::TestKind;
use crate::record::place::Place;
use crate::trade::Pair;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::sync::Arc;

/// One entry: one cause on one CT.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Defect {
    #[serde(skip)]
    pub spot: Arc<Spot>,
    /// The same in each revision of the report, since place and rule make it, not the order:
    /// `H08 L1 2S exciting-current`.
    pub number: String,
    /// What it goes by: the doubt that others rest on, or the finding that heads them.
    pub cause: Cow<'static, str>,
    /// Names of the cores; none for the unit as a whole.
    pub cores: Vec<String>,
    pub whose: Whose,
    /// Fails or review.
    pub grade: Grade,
    /// One sentence per finding, the worst first.
    pub sentences: Vec<String>,
    /// What to do next, each thing once.
    pub next: Vec<String>,
    /// Open points of the record that speak of it, with owner and day.
    pub points: Vec<Item>,
    key: Key,
}

/// What one entry is about: a doubt on a core with all that it explains, or a kind of test.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
enum Key {
    Doubt(Cow<'static, str>, Option<usize>),
    Test(TestKind, Whose),
}

/// The worst first, then in the order of the pack.
pub fn in_order(found: &mut [&Defect]) {
    found.sort_by_key(|defect| (std::cmp::Reverse(defect.grade), defect.whose));
}

/// The defects of one CT.
pub fn of(entry: &Entry<'_>) -> Vec<Defect> {
    let mut findings: Vec<&Told<'_>> = entry.claims().counted().collect();
    findings.retain(|finding| finding.grade() >= Grade::Review);
    let doubts: Vec<&Told<'_>> = findings.iter().copied().filter(|one| heads(one)).collect();
    // A cause stands before what it explains, whatever that comes to.
    findings.sort_by_key(|finding| {
        let grade = std::cmp::Reverse(finding.grade());
        let cause = finding.because.is_some();
        (!cause, grade, !is_doubt(finding), !finding.headline)
    });
    let mut found: Vec<Defect> = Vec::new();
    for finding in &findings {
        let key = key(finding, &doubts);
        let at = found.iter().position(|one| one.key == key);
        let at = at.unwrap_or_else(|| {
            found.push(Defect::new(entry, finding, key));
            found.len() - 1
        });
        if let Some(defect) = found.get_mut(at) {
            defect.add(entry, finding);
        }
    }
    found.shrink_to_fit();
    found
}

/// Whether others may rest on it.
fn heads(finding: &Finding) -> bool {
    is_doubt(finding) || finding.because.is_some()
}

fn key(finding: &Finding, doubts: &[&Told<'_>]) -> Key {
    let plain = |doubt: &&Told<'_>| -> bool {
        let here = doubt.core == finding.core || doubt.core.is_none();
        doubt.because.is_none() && here
    };
    let find = |is: &dyn Fn(&&Told<'_>) -> bool| {
        let mut doubts = doubts.iter();
        doubts.find(|doubt| is(doubt)).map(|doubt| &***doubt)
    };
    let cause = find(&|doubt| doubt.explains(finding));
    let own = heads(finding).then_some(finding);
    match cause.or(own).or_else(|| find(&plain)) {
        Some(doubt) => Key::Doubt(doubt.rule.id.into(), doubt.core),
        None => Key::Test(finding.rule.kind, finding.rule.whose),
    }
}

impl Defect {
    /// Whether others rest on what it puts in doubt.
    pub fn is_doubt(&self) -> bool {
        matches!(self.key, Key::Doubt(..))
    }

    fn new(entry: &Entry<'_>, finding: &Finding, key: Key) -> Self {
        let record = entry.record();
        let place = record.place();
        let text =
            |of: fn(&Place) -> &Given<String>| place.and_then(|place| of(place).value().cloned());
        let (bay, phase) = (text(|place| &place.bay), text(|place| &place.phase));
        let at = match (&bay, &phase) {
            (None, None) => Some(entry.spot.name.clone()),
            _ => Some(joined([bay, phase], " ")),
        };
        let core = finding.core.and_then(|core| record.cores.get(core));
        let core = core.map(|core| core.name.clone());
        Self {
            spot: Arc::clone(entry.spot),
            number: joined([at, core, Some(finding.rule.id.to_owned())], " "),
            cause: finding.rule.title.into(),
            cores: Vec::new(),
            whose: finding.rule.whose,
            grade: finding.grade(),
            sentences: Vec::new(),
            next: Vec::new(),
            points: Vec::new(),
            key,
        }
    }

    fn add(&mut self, entry: &Entry<'_>, finding: &Finding) {
        // What a cause explains of the way of measuring comes to no more than the cause.
        if finding.explained.is_none() || finding.rule.whose != Whose::Measurement {
            self.grade = self.grade.max(finding.grade());
        }
        let unit = entry.unit;
        let (w, criteria) = (&unit.assessment.workings, &unit.setting.criteria);
        let said = words::statement(w, criteria, finding);
        let core = finding.core.and_then(|core| unit.record.cores.get(core));
        let said = match (finding.pair, core) {
            (Some(pair), _) => say!(
                "{}: {}",
                Phrase::terminals(unit.record.pair_text(pair)),
                said
            ),
            (None, Some(core)) => say!("{}: {}", core.name.clone(), said),
            (None, None) => said,
        };
        self.sentences.push(unit.shown(&said));
        let core = core.map(|core| core.name.clone());
        self.cores
            .extend(core.filter(|core| !self.cores.contains(core)));
        if let Some(next) = finding.action() {
            self.do_next(unit.shown(&next), finding.rule.action);
        }
        for point in points_about(entry, finding) {
            if !self.points.iter().any(|known| known.label == point.label) {
                self.points.push(point);
            }
        }
    }
}

/// What goes on differently for each of several findings, behind the step that they share.
const FURTHER: &str = "then what its page says of each";

impl Defect {
    /// Each step once; of several that begin with their rule's action that one alone.
    fn do_next(&mut self, next: String, action: &str) {
        let extends = |one: &str| !action.is_empty() && one.starts_with(action);
        let alike = |known: &&mut String| **known == next || extends(known) && extends(&next);
        match self.next.iter_mut().find(alike) {
            Some(known) if *known != next => *known = format!("{action}; {FURTHER}"),
            Some(_) => {}
            None => self.next.push(next),
        }
    }
}

/// Open points that name what a finding speaks of: its pair, or its core together with its test.
fn points_about(entry: &Entry<'_>, finding: &Finding) -> Vec<Item> {
    let record = entry.record();
    let pair = finding.pair.map(Pair::ascending);
    let pair = pair.map(|pair| record.pair_text(pair));
    let core = finding.core.and_then(|core| record.cores.get(core));
    let speaks = |point: &Item| {
        let parts = || point.what.split(|c: char| !c.is_alphanumeric() && c != '-');
        let names = |word: &str| parts().any(|part| part == word);
        pair.as_ref().is_some_and(|pair| names(pair))
            || core.is_none_or(|core| names(&core.name)) && names(finding.rule.kind.name())
    };
    let open = punch::of(entry).into_iter().filter(Item::is_open);
    open.filter(speaks).collect()
}
