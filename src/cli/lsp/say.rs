//! What is said in a hover, as Markdown or as plain text.

use crate::document::{escape_markdown, escape_within};
use crate::editor::Hover;
use crate::ground::calm::calm;
use crate::report::manual::Said;
use gen_lsp_types::{MarkupContent, MarkupKind};
use std::borrow::Cow;

pub(super) fn hover(hover: &Hover, markdown: bool) -> MarkupContent {
    let title = (!hover.title.is_empty()).then(|| Said::Line(hover.title.clone()));
    let said: Vec<&Said> = title.iter().chain(&hover.said).collect();
    let mut text = String::new();
    let mut before: Option<&Said> = None;
    for one in said {
        let items = matches!((before, one), (Some(Said::Item(_)), Said::Item(_)));
        text.push_str(match (before, items) {
            (None, _) => "",
            (Some(_), true) => "\n",
            (Some(_), false) => "\n\n",
        });
        let body = match markdown {
            true => marked(one.text()),
            false => calm(one.text()).into_owned(),
        };
        text.push_str(&match (one, markdown) {
            (Said::Head(_), true) => format!("**{body}**"),
            (Said::Item(_), _) => format!("- {body}"),
            (Said::Head(_) | Said::Line(_), _) => body,
        });
        before = Some(one);
    }
    let kind = if markdown {
        MarkupKind::Markdown
    } else {
        MarkupKind::PlainText
    };
    MarkupContent { kind, value: text }
}

/// Text that an editor shows, line by line calm; changes of a text are not shown and stay raw.
pub(super) fn calm_lines(text: &str) -> String {
    let lines: Vec<Cow<'_, str>> = text.split('\n').map(calm).collect();
    lines.join("\n")
}

/// Names in code stay code; nothing else in the text becomes markup.
fn marked(text: &str) -> String {
    let pieces: Vec<&str> = text.split('`').collect();
    // A mark without its partner is a character.
    if pieces.len().is_multiple_of(2) {
        return escape_markdown(text);
    }
    let mut out = String::with_capacity(text.len());
    for (at, piece) in pieces.iter().enumerate() {
        match at % 2 {
            0 if at == 0 => out.push_str(&escape_markdown(piece)),
            0 => {
                out.push_str(if piece.starts_with(' ') { " " } else { "" });
                escape_within(piece, &mut out);
            }
            _ if piece.is_empty() => out.push_str("\\`\\`"),
            _ => out.push_str(&format!("`{}`", calm(piece))),
        }
        // One blank parts it from the code that follows.
        let is_last = at + 1 == pieces.len();
        let parts = !is_last && at % 2 == 0 && piece.ends_with(' ') && !out.ends_with(' ');
        out.push_str(if parts { " " } else { "" });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_stay_code_and_nothing_else_is_markup() {
        assert_eq!(
            marked("`id:` text; *the* <b>"),
            "`id:` text; \\*the\\* \\<b\\>"
        );
        assert_eq!(marked("`a`: b `c`; `d` e"), "`a`: b `c`; `d` e");
        assert_eq!(marked("one ` only"), "one \\` only");
        assert_eq!(marked("a\u{202e}b `c\u{1b}[d`"), "ab `c [d`");
    }
}
