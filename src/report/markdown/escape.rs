//! Text of others made harmless.

/// Text of others as Markdown that shows just this text: nothing in it can become markup, a cell
/// border, or a new line. Line ends and control characters become one blank; characters that turn
/// the direction of writing are dropped.
pub fn escape_markdown(text: &str) -> String {
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
            '\\' | '|' | '*' | '_' | '[' | ']' | '<' | '>' | '&' | '#' | '`' | '~' | '$' | '^' => {
                out.push('\\');
                out.push(c);
            }
            c => out.push(c),
        }
    }
    let kept = out.trim_end_matches(' ').len();
    // A blank behind a backslash pair stays no part of it: only whole blanks are cut.
    out.truncate(kept);
    guard_start(out)
}

/// At the start of a block `-`, `+`, `=` or `1.` would make a list or a heading.
fn guard_start(text: String) -> String {
    if text.starts_with(['-', '+', '=', ':']) {
        return format!("\\{text}");
    }
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    match text.get(digits..) {
        Some(rest)
            if digits > 0
                && (rest.starts_with(". ")
                    || rest.starts_with(") ")
                    || rest == "."
                    || rest == ")") =>
        {
            format!("{}\\{rest}", text.get(..digits).unwrap_or(""))
        }
        _ => text,
    }
}
