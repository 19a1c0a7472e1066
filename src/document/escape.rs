//! Text of others as Markdown that shows just this text.

use super::marks::is_hidden;
use crate::ground::calm::calm;

/// Text of others as Markdown: nothing in it can become markup, a cell border, a mark, or a new line.
/// It is calm, and characters of the private-use area become U+FFFD.
pub fn escape_markdown(text: &str) -> String {
    guard_start(&escape_within(text))
}

/// The same for text that does not begin a line.
pub(super) fn escape_within(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + text.len() / 8);
    for c in calm(text).chars() {
        match c {
            ' ' if out.is_empty() || out.ends_with(' ') => {}
            c if is_hidden(c) => out.push('\u{fffd}'),
            '\\' | '|' | '*' | '_' | '[' | ']' | '<' | '>' | '&' | '#' | '`' | '~' | '$' | '^' => {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
    }
    let kept = out.trim_end_matches(' ').len();
    out.truncate(kept);
    // Before a link that follows, it would make a picture of it.
    if out.ends_with('!') {
        out.insert(out.len() - 1, '\\');
    }
    out
}

/// At the start of a line `-`, `+`, `=` or `1.` would make a list or a heading. Marks in front do not
/// count: they are taken off where the Markdown is written out.
pub(super) fn guard_start(line: &str) -> String {
    let start = line.find(|c| !is_hidden(c)).unwrap_or(line.len());
    let (marks, shown) = line.split_at(start);
    let digits = shown.bytes().take_while(u8::is_ascii_digit).count();
    let (number, rest) = shown.split_at(digits);
    let listed = matches!(rest, "." | ")") || rest.starts_with(". ") || rest.starts_with(") ");
    if shown.starts_with(['-', '+', '=', ':']) || digits > 0 && listed {
        format!("{marks}{number}\\{rest}")
    } else {
        line.to_owned()
    }
}
