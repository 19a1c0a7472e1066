//! Tables: a box to scroll in, column and row headers, numbers to the right.

use super::links::escape_html;
use pulldown_cmark::Alignment;
use std::fmt::Write as _;

const NUMBERS: &str = " class=\"n\"";

/// Keeps a number with its unit: a line breaks behind a comma or semicolon only.
fn together(cell: &str) -> String {
    if cell.contains('<') {
        return cell.to_owned();
    }
    let mut out = String::with_capacity(cell.len());
    for c in cell.chars() {
        let breaks = out.ends_with([',', ';']);
        out.push(if c == ' ' && !breaks { '\u{a0}' } else { c });
    }
    out
}

/// One table, its cells already HTML.
#[derive(Debug, Default)]
pub(super) struct Table {
    pub alignments: Vec<Alignment>,
    pub head: Vec<String>,
    pub rows: Vec<Vec<String>>,
}

impl Table {
    /// The table in its box; `label` names the box to who cannot see it.
    pub(super) fn html(&self, label: &str) -> String {
        let bare = self.head.iter().all(String::is_empty);
        let class = if bare { "facts" } else { "grid" };
        let mut out = format!(
            "<div class=\"wide\" role=\"group\" tabindex=\"0\" aria-label=\"{}\">",
            escape_html(label)
        );
        // Writing to a string cannot fail.
        let _ = write!(out, "<table class=\"{class}\">");
        if !bare {
            out.push_str("<thead><tr>");
            for (index, cell) in self.head.iter().enumerate() {
                let _ = write!(out, "<th scope=\"col\"{}>{cell}</th>", self.class(index));
            }
            out.push_str("</tr></thead>");
        }
        out.push_str("<tbody>");
        for row in &self.rows {
            out.push_str("<tr>");
            for (index, cell) in row.iter().enumerate() {
                let names = index == 0 && !cell.is_empty();
                let (tag, end) = if names {
                    ("th scope=\"row\"", "th")
                } else {
                    ("td", "td")
                };
                let class = self.class(index);
                let kept = if class == NUMBERS {
                    together(cell)
                } else {
                    cell.clone()
                };
                let _ = write!(out, "<{tag}{class}>{kept}</{end}>");
            }
            out.push_str("</tr>");
        }
        out.push_str("</tbody></table></div>\n");
        out
    }

    fn class(&self, index: usize) -> &'static str {
        match self.alignments.get(index) {
            Some(Alignment::Right) => NUMBERS,
            Some(Alignment::Center) => " class=\"c\"",
            _ => "",
        }
    }
}
