//! What the reader of a report may choose.

use crate::document::{Paper, joined};
use serde::Deserialize;

/// The annexes of a report, each a chapter of its own behind its end. What a client must see stands
/// before them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Annexes {
    /// Every value of the visit, test by test, with the charts that are information.
    pub values: bool,
    /// What was written in the record, line by line.
    pub readings: bool,
    /// The visits before.
    pub earlier: bool,
    /// How every headline value came about.
    pub workings: bool,
    /// How each limit is known, and of which files the report was made.
    pub sources: bool,
}

/// One of them, by its word.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub enum Annex {
    All,
    Values,
    Readings,
    Earlier,
    Workings,
    Sources,
}

impl Annexes {
    pub const ALL: Self = Self {
        values: true,
        readings: true,
        earlier: true,
        workings: true,
        sources: true,
    };

    /// Names of those that are left out.
    pub fn left_out(self) -> Vec<&'static str> {
        let all = [
            (self.values, "all values"),
            (self.readings, "the readings as written"),
            (self.earlier, "earlier visits"),
            (self.workings, "the workings"),
            (self.sources, "where the limits come from, and the files"),
        ];
        let left = all.into_iter().filter(|(is_there, _)| !is_there);
        left.map(|(_, name)| name).collect()
    }
}

impl FromIterator<Annex> for Annexes {
    fn from_iter<T: IntoIterator<Item = Annex>>(words: T) -> Self {
        let mut made = Self::default();
        for word in words {
            match word {
                Annex::All => made = Self::ALL,
                Annex::Values => made.values = true,
                Annex::Readings => made.readings = true,
                Annex::Earlier => made.earlier = true,
                Annex::Workings => made.workings = true,
                Annex::Sources => made.sources = true,
            }
        }
        made
    }
}

/// How a report is written.
#[derive(Clone, Debug)]
pub struct Options {
    /// `1,5` instead of `1.5` in values; texts and formulas stay as they are.
    pub decimal_comma: bool,
    pub paper: Paper,
    pub report_number: Option<String>,
    pub revision: Option<String>,
    /// Day of issue as it is to be printed.
    pub issued: Option<String>,
    pub client: Option<String>,
    pub contractor: Option<String>,
    pub job: Option<String>,
    /// File-safe name of this CT where its own would not be the only one; starts the ids of the page.
    pub slug: Option<String>,
    pub annexes: Annexes,
    /// Whether it says itself how verdicts are given; a pack does so once, at its front.
    pub rule: bool,
    /// By how many levels its headings are lowered, for a page that has its own first heading.
    pub lower: usize,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            decimal_comma: false,
            paper: Paper::default(),
            report_number: None,
            revision: None,
            issued: None,
            client: None,
            contractor: None,
            job: None,
            slug: None,
            annexes: Annexes::default(),
            rule: true,
            lower: 0,
        }
    }
}

impl Options {
    /// What is printed at the head of every sheet: number, revision and day of issue; who tested for
    /// whom. Empty when nothing is known.
    pub fn running(&self) -> [String; 2] {
        let number = self.report_number.as_ref();
        let revision = self.revision.as_ref();
        let what = [
            number.map(|number| format!("Report {number}")),
            revision.map(|revision| format!("revision {revision}")),
            self.issued.clone(),
        ];
        let whose = [self.contractor.clone(), self.client.clone()];
        [joined(what, ", "), joined(whose, " for ")]
    }
}
