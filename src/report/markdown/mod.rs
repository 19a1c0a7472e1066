//! Markdown that carries text of others, and HTML made of it.
//!
//! The HTML is more than a plain conversion: headings get ids and sections, tables a box to scroll
//! in and proper headers, charts take the place of their images, verdicts a class for their colour.

mod convert;
mod escape;
mod links;
mod tables;
#[cfg(test)]
mod tests;

pub use escape::escape_markdown;

use std::collections::BTreeMap;

/// A chapter with one of these headings is folded on the screen and open in print. They must not
/// hold what a reader has to see.
pub const FOLDED: &[&str] = &[
    "Other taps",
    "Plate values of other origin",
    "Readings of this visit",
];

/// HTML of Markdown. Raw HTML comes out as text, links and images go to relative, http(s) and mailto
/// targets only; an image `![alt](curve:ID)` becomes the SVG of that id.
pub fn markdown_to_html(markdown: &str, svg: &BTreeMap<String, String>) -> String {
    convert::html(markdown, svg, "")
}

/// The same with a prefix for every id and every link within the page, so that several reports can
/// stand in one page.
pub fn markdown_to_html_within(
    markdown: &str,
    svg: &BTreeMap<String, String>,
    prefix: &str,
) -> String {
    convert::html(markdown, svg, prefix)
}

/// The anchor of a heading, as most Markdown viewers make it: small letters, blanks to hyphens,
/// other marks dropped.
pub fn anchor(heading: &str) -> String {
    let mut out = String::new();
    for c in heading.chars() {
        if c.is_alphanumeric() || matches!(c, '-' | '_') {
            out.extend(c.to_lowercase());
        } else if c == ' ' {
            out.push('-');
        }
    }
    out
}
