//! What the reader of a report may choose.

use crate::document::{Paper, joined};

/// Which values get their workings in the appendix.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Worked {
    /// Every headline value.
    #[default]
    Headline,
    /// Those headline values that are not within their limits; the others stand elsewhere.
    ToLookAt,
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
    pub workings: Worked,
    /// Whether it ends with the list of where its limits come from.
    pub annex: bool,
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
            workings: Worked::default(),
            annex: true,
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
