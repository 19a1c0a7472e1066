//! What the reader of a report may choose.

use crate::document::{Paper, joined};
use crate::ground::date::Date;
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

    /// Each with the name that a report has for it.
    fn named(&mut self) -> [(&'static str, &mut bool); 5] {
        [
            ("all values", &mut self.values),
            ("the readings as written", &mut self.readings),
            ("earlier visits", &mut self.earlier),
            ("the workings", &mut self.workings),
            (
                "where the limits come from, and the files",
                &mut self.sources,
            ),
        ]
    }

    /// `Annexes left out here: all values; earlier visits.`; nothing where all are there.
    pub fn left_out(mut self) -> Option<String> {
        let left = self.named().into_iter().filter(|(_, is_there)| !**is_there);
        let names: Vec<&str> = left.map(|(name, _)| name).collect();
        (!names.is_empty()).then(|| format!("{LEFT_OUT}{}.", names.join("; ")))
    }

    /// Those that a finished report has, by what it says it leaves out.
    pub fn of_report(text: &str) -> Self {
        let behind = text.split_once(LEFT_OUT).map_or("", |(_, behind)| behind);
        let left = behind.split('.').next().unwrap_or("");
        let mut made = Self::ALL;
        for (name, is_there) in made.named() {
            *is_there = !left.split("; ").any(|one| one == name);
        }
        made
    }
}

/// As the sentence begins that tells what a report leaves out.
const LEFT_OUT: &str = "Annexes left out here: ";

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

/// Where the copies of the files of its visits lie, seen from a report.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Files {
    #[default]
    Beside,
    /// One folder up, as from a page of a pack.
    Above,
    /// Nowhere that the page can lead to.
    Elsewhere,
}

/// How a report is written.
#[derive(Clone, Debug)]
pub struct Options {
    /// `1,5` instead of `1.5` in values; texts and formulas stay as they are.
    pub decimal_comma: bool,
    pub paper: Paper,
    pub report_number: Option<String>,
    pub revision: Option<String>,
    pub issued: Option<Date>,
    pub client: Option<String>,
    pub contractor: Option<String>,
    pub job: Option<String>,
    /// File-safe name of this CT where its own would not be the only one; starts the ids of the page.
    pub slug: Option<String>,
    pub annexes: Annexes,
    pub files: Files,
    /// Whether it says itself how verdicts are given; a pack does so once, at its front.
    pub rule: bool,
    /// Whether it is made for a page as well that has its own first heading.
    pub lowered: bool,
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
            files: Files::default(),
            rule: true,
            lowered: false,
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
            self.issued.map(|day| day.to_string()),
        ];
        let whose = [self.contractor.clone(), self.client.clone()];
        [joined(what, ", "), joined(whose, " for ")]
    }
}
