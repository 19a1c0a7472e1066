//! The defects list: what is out of its limits or deserves a look, one entry per CT, core and test,
//! with what to do next and who has taken it on.

use super::matrix::standing;
use super::plan::Entry;
use crate::document::Grade;
use crate::document::{Phrase, say};
use crate::judge::finding::Finding;
use crate::judge::rules::Whose;
use crate::judge::words;
use crate::record::kinds::TestKind;
use crate::record::points::Point;
use crate::trade::Pair;

/// One entry.
#[derive(Clone, Debug)]
pub struct Defect<'a> {
    pub entry: &'a Entry,
    pub core: Option<usize>,
    pub test: TestKind,
    pub whose: Whose,
    /// Fails or review.
    pub grade: Grade,
    /// One sentence per finding, the worst first.
    pub sentences: Vec<String>,
    /// What to do next, each thing once.
    pub next: Vec<String>,
    /// Open points of the record that speak of it.
    pub points: Vec<Point<'a>>,
}

/// All defects, the worst first, then in the order of the pack.
pub fn defects(entries: &[Entry]) -> Vec<Defect<'_>> {
    let mut found: Vec<Defect<'_>> = entries.iter().flat_map(of).collect();
    found.sort_by_key(|defect| (std::cmp::Reverse(defect.grade), defect.whose));
    found
}

fn of(entry: &Entry) -> Vec<Defect<'_>> {
    let mut findings = standing(entry);
    findings.retain(|finding| finding.grade() >= Grade::Review);
    findings.sort_by_key(|finding| (std::cmp::Reverse(finding.grade()), !finding.headline));
    let mut found: Vec<Defect<'_>> = Vec::new();
    for finding in &findings {
        let (core, test, whose) = (finding.core, finding.rule.kind, finding.rule.whose);
        let same = |one: &Defect<'_>| (one.core, one.test, one.whose) == (core, test, whose);
        let at = found.iter().position(same).unwrap_or_else(|| {
            found.push(Defect {
                entry,
                core,
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
            defect.add(finding);
        }
    }
    found
}

impl Defect<'_> {
    fn add(&mut self, finding: &Finding) {
        let unit = &self.entry.unit;
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
        self.sentences.push(unit.plain(&said));
        let next = finding.action().map(|next| unit.plain(&next));
        self.next
            .extend(next.filter(|next| !self.next.contains(next)));
    }
}

/// Open points of a CT.
pub(super) fn open_points(entry: &Entry) -> impl Iterator<Item = Point<'_>> {
    let points = entry.record().points().into_iter();
    points.filter(|point| point.closed.is_none())
}

/// Open points that name what a finding speaks of: its pair, or its core together with its test.
fn points_about<'a>(entry: &'a Entry, finding: &Finding) -> Vec<Point<'a>> {
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
    open_points(entry).filter(speaks).collect()
}
