//! A record of the book, compiled through the whole pipeline.

use super::{Block, blocks, file, page};
use kneemark::compile;
use kneemark::derive::workings::Value;
use kneemark::ground::seam::Memory;
use kneemark::job;
use kneemark::judge::finding::Finding;
use kneemark::judge::verdict::expanded;
use kneemark::judge::words;
use std::path::PathBuf;

/// A compiled record that has no errors.
pub struct Compiled(job::Job);

impl Compiled {
    /// Compiles a record with the instruments of the demo job and, if there are any, the criteria given.
    pub fn new(record: &str, criteria: Option<&str>) -> Self {
        let files = Memory::default();
        files.put(
            "book/instruments.toml",
            std::fs::read(file("records/instruments.toml")).unwrap(),
        );
        if let Some(criteria) = criteria {
            files.put("book/criteria.toml", criteria);
        }
        files.put("book/record.ctr", record);
        let gathered = compile(&files, &[PathBuf::from("book/record.ctr")]);
        assert!(
            gathered
                .others
                .iter()
                .all(|told| told.diagnostics.is_empty()),
            "{:?}",
            gathered.others
        );
        let compiled = Self(gathered);
        assert!(
            compiled.unit().is_complete(),
            "{:?}",
            compiled.unit().diagnostics
        );
        compiled
    }

    pub fn unit(&self) -> &job::Compiled {
        &self.0.records[0]
    }

    /// The findings of a rule, in the order of the report.
    pub fn of_rule(&self, rule: &str) -> Vec<&Finding> {
        let all = self
            .unit()
            .assessment
            .visits
            .iter()
            .flat_map(|visit| &visit.findings);
        let found: Vec<&Finding> = all
            .clone()
            .filter(|finding| finding.rule.id == rule)
            .collect();
        assert!(
            !found.is_empty(),
            "no finding {rule}; there are {:?}",
            all.map(|finding| finding.rule.id).collect::<Vec<_>>()
        );
        found
    }

    pub fn sentence(&self, finding: &Finding) -> String {
        let unit = self.unit();
        words::sentence(
            &unit.record,
            &unit.assessment.workings,
            &unit.setting.criteria,
            finding,
        )
        .to_string()
    }

    /// Expanded uncertainty of a value, SI.
    pub fn expanded(&self, value: Value) -> f64 {
        let unit = self.unit();
        expanded(&unit.assessment.workings, value, &unit.setting.criteria).unwrap()
    }
}

/// The `n`-th record of a chapter (from 0), with the criteria that stand before it.
pub fn of_chapter(chapter: &str, n: usize) -> Compiled {
    let blocks: Vec<Block> = blocks(&std::fs::read_to_string(page(chapter)).unwrap());
    let mut criteria = None;
    let mut records = Vec::new();
    for block in &blocks {
        match block.info.as_str() {
            "toml criteria" => criteria = Some(block.text.as_str()),
            "ctr" => records.push((block.text.as_str(), criteria)),
            _ => {}
        }
    }
    let (record, criteria) = records[n];
    Compiled::new(record, criteria)
}
