//! Values that stand behind the rows they were derived from, as the report shows them.

use crate::ground::span::Span;
use crate::job::Compiled;
use crate::judge::condition::Condition;
use crate::judge::finding::Finding;
use crate::judge::rules::{Rule, ratio, resistance};
use crate::judge::words;
use std::collections::BTreeMap;

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hint {
    /// The end of the row.
    pub at: u32,
    pub text: String,
}

/// Those whose value is of a row, and which another line does not say anyway.
static SHOWN: &[&Rule] = &[
    &ratio::RATIO_ERROR,
    &ratio::PHASE_DISPLACEMENT,
    &ratio::RATIO_CORRECTION_FACTOR,
    &ratio::TURNS_RATIO,
    &resistance::WINDING_RESISTANCE,
];

/// The hints within a range, in the order of the lines.
pub fn hints(ct: &Compiled, range: Span) -> Vec<Hint> {
    let mut by_row: BTreeMap<u32, Vec<String>> = BTreeMap::new();
    for one in ct.findings().filter(|one| SHOWN.contains(&one.rule)) {
        let row = one.points_at.iter().max().map(|span| {
            let line = ct.source.line(span.start);
            ct.record
                .written
                .tree
                .lines
                .get(line - 1)
                .map(|line| line.body)
        });
        let row = row.flatten().filter(|row| row.meets(range));
        if let (Some(row), Some(text)) = (row, shown(ct, one)) {
            by_row.entry(row.end).or_default().push(text);
        }
    }
    let hint = |(at, texts): (u32, Vec<String>)| Hint {
        at,
        text: texts.join(", "),
    };
    by_row.into_iter().map(hint).collect()
}

fn shown(ct: &Compiled, one: &Finding) -> Option<String> {
    one.value()?;
    let (w, criteria) = (&ct.assessment.workings, &ct.setting.criteria);
    let found = ct.shown(&words::found(w, criteria, one));
    let at = one.conditions.iter();
    let at = at.filter(|one| matches!(one, Condition::CorrectedTo(_)));
    let at: Vec<String> = at.map(|one| ct.shown(&one.phrase())).collect();
    Some([vec![found], at].concat().join(" "))
}
