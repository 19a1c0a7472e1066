//! A record of the book, compiled through the whole pipeline.

use super::{Block, blocks, file, page};
use kneemark::compare::{History, history};
use kneemark::compile;
use kneemark::derive::workings::Value;
use kneemark::document::Templates;
use kneemark::ground::seam::Memory;
use kneemark::job;
use kneemark::judge::finding::Finding;
use kneemark::judge::verdict::expanded;
use kneemark::judge::words;
use kneemark::report::{self, Options, Subject};
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

    /// What earlier visits say of the last finding of a rule.
    pub fn history(&self, rule: &str) -> History<'_> {
        let unit = self.unit();
        let last = unit.assessment.visits.len() - 1;
        let finding = self.of_rule(rule).pop().unwrap();
        let criteria = &unit.setting.criteria;
        history(&unit.record, &unit.assessment, criteria, last, finding)
    }

    /// The cell of the last visit in the row that a rule heads, and the lines of the drift.
    pub fn history_told(&self, rule: &str) -> String {
        let subject = Subject::of(self.unit(), Vec::new());
        let report = report::ct(&subject, &Options::default(), &Templates::built_in());
        let page = report.unwrap().markdown;
        let title = self.of_rule(rule)[0].rule.title;
        let row = page
            .lines()
            .find(|line| line.starts_with(&format!("| {title}")));
        let heads = page.lines().find(|line| line.starts_with("| Required"));
        let cells = |line: Option<&str>| {
            line.unwrap()
                .split('|')
                .map(str::trim)
                .map(str::to_owned)
                .collect::<Vec<_>>()
        };
        let at = cells(heads)
            .iter()
            .position(|head| head == "Last visit")
            .unwrap();
        let drift = page
            .lines()
            .skip_while(|line| *line != "## Drift over the visits");
        let drift = drift.skip(1).take_while(|line| !line.starts_with('#'));
        let lines: Vec<&str> = drift.filter_map(|line| line.strip_prefix("- ")).collect();
        format!("Last visit: {}\n{}\n", cells(row)[at], lines.join("\n"))
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
