//! What the program says of healthy CTs: each accusation is a false alarm or a defect of this generator.

use super::causes::{causes, compiled};
use super::job::Case;
use super::tally::in_threads;
use kneemark::document::Grade;
use std::collections::BTreeMap;

/// Records, those accused of a cause, and sentences by rule or code.
#[derive(Default)]
pub struct Told {
    pub records: usize,
    pub accused: usize,
    /// Records with a finding for review or worse, by rule; diagnostics, by code; each with an example or a few.
    pub by: BTreeMap<String, (usize, Vec<String>)>,
}

pub fn count(cases: usize) -> Told {
    let numbers: Vec<usize> = (0..cases).collect();
    let all = in_threads(&numbers, one);
    let mut sum = Told::default();
    for told in all {
        sum.records += told.records;
        sum.accused += told.accused;
        for (id, (count, sentences)) in told.by {
            let entry = sum.by.entry(id).or_default();
            entry.0 += count;
            entry.1.extend(sentences);
        }
    }
    sum
}

fn one(number: &usize) -> Told {
    let case = Case::new(&format!("healthy {number}"));
    let job = compiled(&case);
    let mut told = Told::default();
    for (place, record) in job.records.iter().enumerate() {
        told.records += 1;
        let named = causes(record);
        told.accused += usize::from(!named.is_empty());
        let findings = record
            .findings()
            .filter(|finding| finding.grade() >= Grade::Review);
        let findings = findings.map(|finding| (finding.rule.id, record.sentence(finding)));
        let diagnostics = record
            .diagnostics
            .iter()
            .map(|told| (told.code.name(), told.title.clone()));
        let mut here: BTreeMap<&str, String> = BTreeMap::new();
        for (id, sentence) in findings.chain(diagnostics) {
            here.entry(id).or_insert(sentence);
        }
        for (id, sentence) in here {
            let entry = told.by.entry(id.to_owned()).or_default();
            entry.0 += 1;
            entry.1.push(format!(
                "case {number}, CT {}, {:?}: {sentence}",
                place + 1,
                case.odd
            ));
        }
    }
    told
}

impl Told {
    pub fn text(&self) -> String {
        let mut text = format!(
            "healthy: {} records, {} accused of a cause\n",
            self.records, self.accused
        );
        for (id, (count, sentences)) in &self.by {
            text += &format!("{id:32}{count:6} records\n");
            for sentence in sentences.iter().take(12) {
                text += &format!("    {sentence}\n");
            }
        }
        text
    }
}
