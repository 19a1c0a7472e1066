//! What is said in a hover, as Markdown or as plain text.

use crate::document::escape_markdown;
use crate::editor::Hover;
use crate::ground::calm::calm;
use crate::report::manual::Said;
use gen_lsp_types::{MarkupContent, MarkupKind};

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

/// Names in code stay code; nothing else in the text becomes markup.
fn marked(text: &str) -> String {
    let pieces: Vec<&str> = text.split('`').collect();
    // A mark without its partner is a character.
    if pieces.len() % 2 == 0 {
        return escape_markdown(text);
    }
    let piece = |(at, piece): (usize, &&str)| match at % 2 {
        0 => {
            let (front, behind) = blanks(piece);
            format!(
                "{front}{}{behind}",
                escape_markdown(piece.trim_matches(' '))
            )
        }
        _ if piece.is_empty() => "\\`\\`".to_owned(),
        _ => format!("`{}`", calm(piece)),
    };
    pieces.iter().enumerate().map(piece).collect()
}

/// The blanks around a piece, which part it from the code beside it.
fn blanks(piece: &str) -> (&'static str, &'static str) {
    let one = |is: bool| if is { " " } else { "" };
    (
        one(piece.starts_with(' ')),
        one(piece.len() > 1 && piece.ends_with(' ')),
    )
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
        assert_eq!(marked("one ` only"), "one \\` only");
        assert_eq!(marked("a\u{202e}b `c\u{1b}[d`"), "ab `c [d`");
    }
}
