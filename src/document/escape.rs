//! Text of others as Markdown that shows just this text.

use super::marks::is_hidden;
use crate::ground::calm::calm;

/// Text of others as Markdown: nothing in it can become markup, a cell border, a mark, or a new line.
/// It is calm, and characters of the private-use area become U+FFFD.
pub fn escape_markdown(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + text.len() / 8);
    escape_within(text, &mut out);
    guard_start(&mut out, 0);
    out
}

/// The same for text that does not begin a line, put behind what is there.
pub fn escape_within(text: &str, out: &mut String) {
    let start = out.len();
    let text = calm(text);
    let mut rest = text.as_ref();
    while let Some(at) = first_odd(rest) {
        let (plain, odd) = rest.split_at(at);
        out.push_str(plain);
        let mut behind = odd.chars();
        match behind.next() {
            // One blank is enough, and none in front.
            Some(' ') if out.len() == start || out.ends_with(' ') => {}
            Some(c) if is_hidden(c) => out.push('\u{fffd}'),
            Some(c) => {
                if c.is_ascii_punctuation() {
                    out.push('\\');
                }
                out.push(c);
            }
            None => {}
        }
        rest = behind.as_str();
    }
    out.push_str(rest);
    if out.len() > start && out.ends_with(' ') {
        out.pop();
    }
    // Before a link that follows, it would make a picture of it.
    if out.len() > start && out.ends_with('!') {
        out.insert(out.len() - 1, '\\');
    }
}

/// Where the first character stands that may not be shown as it is: one of markup or of the private-use
/// area, or a blank in front or behind another.
fn first_odd(text: &str) -> Option<usize> {
    let mut before = b' ';
    text.bytes().position(|byte| {
        let again = byte == b' ' && before == b' ';
        before = byte;
        again
            || matches!(
                byte,
                b'\\' | b'|' | b'*' | b'_' | b'[' | b']' | b'<' | b'>' | b'&' | b'#' | b'`' | b'~' | b'$' | b'^'
            )
            // First bytes of the private-use area in UTF-8.
            || matches!(byte, 0xee | 0xef)
    })
}

/// At the start of a line `-`, `+`, `=` or `1.` would make a list or a heading. Marks in front do not
/// count: they are taken off where the Markdown is written out. The line is what stands from `start` on.
pub(super) fn guard_start(out: &mut String, start: usize) {
    let line = out.get(start..).unwrap_or_default();
    let shown = line.trim_start_matches(is_hidden);
    let rest = shown.trim_start_matches(|c: char| c.is_ascii_digit());
    let listed = matches!(rest, "." | ")") || rest.starts_with(". ") || rest.starts_with(") ");
    if shown.starts_with(['-', '+', '=', ':']) || rest.len() < shown.len() && listed {
        out.insert(out.len() - rest.len(), '\\');
    }
}
