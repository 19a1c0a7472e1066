//! Tables in HTML: a box to scroll in, column and row headers, numbers to the right.

use super::escape_html;
use super::marks::Mark;
use pulldown_cmark::Alignment;
use std::fmt::Write as _;

/// A cell: its marks, and its text, as letters and as HTML.
#[derive(Debug, Default)]
pub(super) struct CellHtml {
    pub marks: Vec<Mark>,
    pub letters: String,
    pub html: String,
}

impl CellHtml {
    fn is_empty(&self) -> bool {
        self.html.is_empty()
    }

    /// Class of the cell, out of its column and its marks.
    fn class(&self, column: Option<&Alignment>) -> String {
        let mut classes = match column {
            Some(Alignment::Right) => vec!["n"],
            Some(Alignment::Center) => vec!["c"],
            _ => Vec::new(),
        };
        for mark in &self.marks {
            match mark {
                Mark::Blank => classes.push("pen"),
                Mark::Grade(grade) => classes.push(grade.word()),
                _ => {}
            }
        }
        if classes.is_empty() {
            String::new()
        } else {
            format!(" class=\"{}\"", classes.join(" "))
        }
    }
}

/// Keeps a number with its unit: a line breaks behind a comma or semicolon only.
fn together(cell: &str) -> String {
    let mut out = String::with_capacity(cell.len());
    let mut in_tag = false;
    for c in cell.chars() {
        in_tag = c == '<' || in_tag && c != '>';
        let breaks = in_tag || out.ends_with([',', ';']);
        out.push(if c == ' ' && !breaks { '\u{a0}' } else { c });
    }
    out
}

/// One table, its cells already HTML.
#[derive(Debug, Default)]
pub(super) struct TableHtml {
    pub alignments: Vec<Alignment>,
    pub head: Vec<CellHtml>,
    pub rows: Vec<Vec<CellHtml>>,
}

impl TableHtml {
    /// The table in its box; `label` names the box to who cannot see it.
    pub(super) fn html(&self, label: &str, caption: &str) -> String {
        let class = self
            .head
            .iter()
            .flat_map(|cell| &cell.marks)
            .find_map(|mark| match mark {
                Mark::Table(class) => Some(class.as_str()),
                _ => None,
            });
        // Writing to a string cannot fail.
        let mut out = format!(
            "<div class=\"wide\" role=\"group\" tabindex=\"0\" aria-label=\"{}\">",
            escape_html(label)
        );
        let class = escape_html(class.unwrap_or("grid"));
        let _ = write!(out, "<table class=\"{class}\">");
        if !caption.is_empty() {
            let _ = write!(out, "<caption>{caption}</caption>");
        }
        if !self.head.iter().all(CellHtml::is_empty) {
            out.push_str("<thead><tr>");
            for (index, cell) in self.head.iter().enumerate() {
                let class = cell.class(self.alignments.get(index));
                let _ = write!(out, "<th scope=\"col\"{class}>{}</th>", cell.html);
            }
            out.push_str("</tr></thead>");
        }
        out.push_str("<tbody>");
        // Cells that a narrow page puts below one another say what column they are of.
        let stacks = class.split(' ').any(|class| class == "stack");
        for row in &self.rows {
            self.row(row, stacks, &mut out);
        }
        out.push_str("</tbody></table></div>\n");
        out
    }

    fn row(&self, row: &[CellHtml], stacks: bool, out: &mut String) {
        let group = row.first().filter(|cell| cell.marks.contains(&Mark::Group));
        if let Some(cell) = group {
            // A group has a body of its own, so that its heading stays with its rows.
            if !out.ends_with("<tbody>") {
                out.push_str("</tbody><tbody>");
            }
            let _ = write!(
                out,
                "<tr class=\"group\"><th scope=\"rowgroup\" colspan=\"{}\">{}</th></tr>",
                self.head.len(),
                cell.html
            );
            return;
        }
        out.push_str("<tr>");
        for (index, cell) in row.iter().enumerate() {
            let (tag, end) = if index == 0 && !cell.is_empty() {
                ("th scope=\"row\"", "th")
            } else {
                ("td", "td")
            };
            let column = self.alignments.get(index);
            let class = cell.class(column);
            let shown = match column {
                Some(Alignment::Right) => together(&cell.html),
                _ => cell.html.clone(),
            };
            let head = self.head.get(index).filter(|_| stacks && index > 0);
            let of = head.map(|head| format!(" data-of=\"{}\"", escape_html(&head.letters)));
            let of = of.unwrap_or_default();
            let _ = write!(out, "<{tag}{class}{of}>{shown}</{end}>");
        }
        out.push_str("</tr>");
    }
}
