//! Whether a report was made of a record: the SHA-256 of the record's bytes stands on the report.

use crate::ground::source::sha256;

/// What the comparison came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Belongs {
    Yes,
    /// The sums that stand on the report.
    No(Vec<String>),
    /// No sum stands on the report: it is none of ours.
    NoSum,
}

/// Compares a report (HTML or Markdown) with a record. The page of a whole pack belongs to each of its
/// records.
pub fn belongs(report: &[u8], record: &[u8]) -> Belongs {
    let stands = sums(&String::from_utf8_lossy(report));
    let own = sha256(record);
    match (stands.is_empty(), stands.contains(&own)) {
        (true, _) => Belongs::NoSum,
        (false, true) => Belongs::Yes,
        (false, false) => Belongs::No(stands),
    }
}

/// Sums that the program itself put there: in the tag of an article, or in a comment of the Markdown.
/// Text of a record cannot look like them: its `<` is escaped, in Markdown by a backslash, so that it
/// never begins a line.
fn sums(report: &str) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for before in [HTML, MARKDOWN] {
        for (at, _) in report.match_indices(before) {
            let rest = report.get(at + before.len()..).unwrap_or("");
            let digits: String = rest.chars().take_while(char::is_ascii_hexdigit).collect();
            if digits.len() == 64 && !found.contains(&digits) {
                found.push(digits);
            }
        }
    }
    found
}

/// What stands before a sum in HTML.
pub const HTML: &str = "\n<article data-sha256=\"";
/// What stands before a sum in Markdown.
pub const MARKDOWN: &str = "\n<!-- record sha256 ";
