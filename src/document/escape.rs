//! Text of others made harmless: once for Markdown, once for HTML.

use super::marks::is_hidden;

/// Text of others as Markdown that shows just this text: nothing in it can become markup, a cell
/// border, a mark, or a new line. Line ends and control characters become one blank; characters
/// that turn the direction of writing are dropped, those of the private-use area become U+FFFD.
pub fn escape_markdown(text: &str) -> String {
    guard_start(escape_within(text))
}

/// The same for text that does not begin a block.
pub(super) fn escape_within(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + text.len() / 8);
    for c in text.chars() {
        match c {
            c if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | ' ') => {
                if !out.is_empty() && !out.ends_with(' ') {
                    out.push(' ');
                }
            }
            '\u{200e}'
            | '\u{200f}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2066}'..='\u{2069}'
            | '\u{feff}' => {}
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

/// At the start of a block `-`, `+`, `=` or `1.` would make a list or a heading.
fn guard_start(text: String) -> String {
    if text.starts_with(['-', '+', '=', ':']) {
        return format!("\\{text}");
    }
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let (number, rest) = text.split_at(digits);
    let listed = matches!(rest, "." | ")") || rest.starts_with(". ") || rest.starts_with(") ");
    if digits > 0 && listed {
        format!("{number}\\{rest}")
    } else {
        text
    }
}

/// Text for elements and quoted attributes of HTML and SVG; control characters become blanks.
pub fn escape_html(text: &str) -> String {
    let calm: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    let mut out = String::with_capacity(calm.len());
    // Writing to a string cannot fail.
    let _ = pulldown_cmark_escape::escape_html(&mut out, &calm);
    out
}
