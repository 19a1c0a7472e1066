//! What only the job as a whole can show of a record: its winding resistances beside the sisters'.

use super::compiled::Compiled;
use crate::compare::{median_of_phases, sisters};
use crate::judge::finding::Finding;
use crate::judge::resistance_of_sisters;
use crate::judge::rules::resistance::WINDING_RESISTANCE;
use std::collections::BTreeMap;

/// Adds what lies beyond the job's limit between phases to the findings of each record.
pub(super) fn hold(records: &mut BTreeMap<usize, Compiled>) {
    let all: Vec<&Compiled> = records.values().collect();
    let found: Vec<_> = all.iter().map(|own| beside(own, &all)).collect();
    for (record, found) in records.values_mut().zip(found) {
        let criteria = &record.setting.criteria;
        for (index, value, median) in found {
            let w = &mut record.assessment.workings;
            let made = resistance_of_sisters(w, criteria, &value, median);
            if let Some(visit) = record.assessment.visits.get_mut(index) {
                visit.findings.extend(made);
            }
        }
    }
}

/// Each winding resistance of the last visit that read it, with the median of the phases and their count.
fn beside(own: &Compiled, records: &[&Compiled]) -> Vec<(usize, Finding, (f64, usize))> {
    if own.setting.criteria.resistance_phases.is_none() {
        return Vec::new();
    }
    let others = records.iter().filter(|other| !std::ptr::eq(**other, own));
    let others = others.map(|other| (&other.record, &other.assessment));
    let sisters = sisters(&own.record, others);
    let mut found: Vec<(usize, Finding, (f64, usize))> = Vec::new();
    for (index, visit) in own.assessment.visits.iter().enumerate().rev() {
        let is_one = |finding: &&Finding| *finding.rule == WINDING_RESISTANCE;
        for value in visit.findings.iter().filter(is_one) {
            let again =
                |(later, other, _): &(usize, Finding, _)| *later > index && other.is_same(value);
            if found.iter().any(again) {
                continue;
            }
            if let Some(median) = median_of_phases(&own.record, &sisters, value) {
                found.push((index, value.clone(), median));
            }
        }
    }
    found
}
