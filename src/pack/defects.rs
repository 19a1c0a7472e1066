//! The defects list: what is out of its limits or deserves a look, one entry per CT, core and test,
//! with what to do next and who has taken it on.

use super::plan::{Entry, Spot};
use crate::document::Grade;
use crate::document::{Phrase, say};
use crate::judge::finding::Finding;
use crate::judge::rules::Whose;
use crate::judge::standing::Told;
use crate::judge::words;
use crate::record::kinds::TestKind;
use crate::record::points::Point;
use crate::trade::Pair;

/// One entry.
#[derive(Clone, Debug)]
pub struct Defect {
    pub spot: Spot,
    core_index: Option<usize>,
    /// Name of the core; None for the unit as a whole.
    pub core: Option<String>,
    pub test: TestKind,
    pub whose: Whose,
    /// Fails or review.
    pub grade: Grade,
    /// One sentence per finding, the worst first.
    pub sentences: Vec<String>,
    /// What to do next, each thing once.
    pub next: Vec<String>,
    /// Open points of the record that speak of it, with owner and day.
    pub points: Vec<Open>,
}

/// A point that is open.
#[derive(Clone, Debug)]
pub struct Open {
    pub label: String,
    pub what: String,
    pub by: String,
    pub until: String,
    /// The visit that raised it.
    pub raised: String,
}

impl Open {
    fn of(point: &Point<'_>) -> Self {
        let action = point.action;
        Self {
            label: action.label.clone(),
            what: action.what.clone(),
            by: action.by.clone(),
            until: action.until.clone(),
            raised: point.raised.name(),
        }
    }
}

/// The worst first, then in the order of the pack.
pub fn in_order(found: &mut [Defect]) {
    found.sort_by_key(|defect| (std::cmp::Reverse(defect.grade), defect.whose));
}

/// The defects of one CT.
pub fn of(entry: &Entry<'_>) -> Vec<Defect> {
    let mut findings: Vec<&Told<'_>> = entry.claims.standing().collect();
    findings.retain(|finding| finding.grade() >= Grade::Review);
    findings.sort_by_key(|finding| (std::cmp::Reverse(finding.grade()), !finding.headline));
    let mut found: Vec<Defect> = Vec::new();
    for finding in &findings {
        let (core, test, whose) = (finding.core, finding.rule.kind, finding.rule.whose);
        let same = |one: &Defect| (one.core_index, one.test, one.whose) == (core, test, whose);
        let at = found.iter().position(same).unwrap_or_else(|| {
            found.push(Defect {
                spot: entry.spot.clone(),
                core_index: core,
                core: core
                    .and_then(|core| entry.record().cores.get(core))
                    .map(|core| core.name.clone()),
                test,
                whose,
                grade: finding.grade(),
                sentences: Vec::new(),
                next: Vec::new(),
                points: points_about(entry, finding),
            });
            found.len() - 1
        });
        if let Some(defect) = found.get_mut(at) {
            defect.add(entry, finding);
        }
    }
    found
}

impl Defect {
    fn add(&mut self, entry: &Entry<'_>, finding: &Finding) {
        let unit = entry.unit;
        let (w, criteria) = (&unit.assessment.workings, &unit.setting.criteria);
        let said = words::statement(w, criteria, finding);
        // CT and core have their own columns; the pair stays.
        let said = match finding.pair {
            Some(pair) => say!(
                "{}: {}",
                Phrase::terminals(unit.record.pair_text(pair)),
                said
            ),
            None => said,
        };
        self.sentences.push(unit.shown(&said));
        let next = finding.action().map(|next| unit.shown(&next));
        self.next
            .extend(next.filter(|next| !self.next.contains(next)));
    }
}

/// Open points of a CT.
pub fn open_points(entry: &Entry<'_>) -> Vec<Open> {
    open(entry).map(|point| Open::of(&point)).collect()
}

fn open<'a>(entry: &Entry<'a>) -> impl Iterator<Item = Point<'a>> {
    let points = entry.record().points().into_iter();
    points.filter(|point| point.closed.is_none())
}

/// Open points that name what a finding speaks of: its pair, or its core together with its test.
fn points_about(entry: &Entry<'_>, finding: &Finding) -> Vec<Open> {
    let record = entry.record();
    let pair = finding.pair.map(Pair::ascending);
    let pair = pair.map(|pair| record.pair_text(pair));
    let core = finding.core.and_then(|core| record.cores.get(core));
    let speaks = |point: &Point<'_>| {
        let parts = || {
            point
                .action
                .what
                .split(|c: char| !c.is_alphanumeric() && c != '-')
        };
        let names = |word: &str| parts().any(|part| part == word);
        pair.as_ref().is_some_and(|pair| names(pair))
            || core.is_none_or(|core| names(&core.name)) && names(finding.rule.kind.name())
    };
    let points = open(entry).filter(speaks);
    points.map(|point| Open::of(&point)).collect()
}
