//! The defects list: what is out of its limits or deserves a look, one entry per CT, core and test,
//! with what to do next and who has taken it on.

use super::matrix::standing;
use super::plan::Entry;
use super::points::{self, Point};
use crate::document::Phrase;
use crate::judge::finding::{Finding, Grade, Whose};
use crate::judge::words;
use crate::record::kinds::TestKind;

/// One entry.
#[derive(Clone, Debug)]
pub struct Defect {
    /// Index into the plan.
    pub entry: usize,
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
    pub points: Vec<Point>,
}

/// All defects, the worst first, then in the order of the pack.
pub fn defects(entries: &[Entry]) -> Vec<Defect> {
    let mut found: Vec<Defect> = entries
        .iter()
        .enumerate()
        .flat_map(|(index, entry)| of(index, entry))
        .collect();
    found.sort_by_key(|defect| (std::cmp::Reverse(defect.grade), defect.whose, defect.entry));
    found
}

fn of(index: usize, entry: &Entry) -> Vec<Defect> {
    let mut findings: Vec<&Finding> = standing(entry)
        .into_iter()
        .filter(|finding| finding.grade() >= Grade::Review)
        .collect();
    findings.sort_by_key(|finding| (std::cmp::Reverse(finding.grade()), !finding.headline));
    let mut found: Vec<Defect> = Vec::new();
    for finding in findings {
        let same = |defect: &&mut Defect| {
            defect.core == finding.core
                && defect.test == finding.rule.kind
                && defect.whose == finding.rule.whose
        };
        match found.iter_mut().find(same) {
            Some(defect) => join(defect, entry, finding),
            None => {
                let mut defect = Defect {
                    entry: index,
                    core: finding.core,
                    test: finding.rule.kind,
                    whose: finding.rule.whose,
                    grade: finding.grade(),
                    sentences: Vec::new(),
                    next: Vec::new(),
                    points: points::about(index, entry, finding),
                };
                join(&mut defect, entry, finding);
                found.push(defect);
            }
        }
    }
    found
}

fn join(defect: &mut Defect, entry: &Entry, finding: &Finding) {
    let unit = &entry.unit;
    let (w, criteria) = (&unit.assessment.workings, &unit.setting.criteria);
    let plain = |phrase: &Phrase| phrase.plain(|span| unit.source.line(span.start));
    let sentence = plain(&words::sentence(&unit.record, w, criteria, finding));
    // The core has its own column; the pair stays.
    let core = finding
        .core
        .and_then(|core| unit.record.cores.get(core))
        .map(|core| format!("{} ", core.name));
    let short = core.and_then(|core| sentence.strip_prefix(&core).map(str::to_owned));
    defect.sentences.push(short.unwrap_or(sentence));
    let next = finding.action().as_ref().map(plain);
    defect
        .next
        .extend(next.filter(|next| !defect.next.contains(next)));
}
