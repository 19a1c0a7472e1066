//! What the reader of a report may choose.

/// Size of the printed page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    #[default]
    A4,
    Letter,
}

impl Paper {
    /// As CSS names it.
    pub fn css(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "letter",
        }
    }
}

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
#[derive(Clone, Debug, Default)]
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
}

impl Options {
    /// The running header: number, revision, day of issue; empty when nothing is known.
    pub fn running(&self) -> String {
        let parts = [
            self.report_number
                .as_ref()
                .map(|number| format!("Report {number}")),
            self.revision
                .as_ref()
                .map(|revision| format!("revision {revision}")),
            self.issued.clone(),
        ];
        parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
}
