//! Text of a drawing: cleaned, measured, wrapped.

use crate::ground::calm::calm;
use unicode_width::UnicodeWidthChar;

/// Longest text that is drawn, in characters; the rest is cut with an ellipsis.
const LONGEST: usize = 400;

/// Keeps a number with its unit.
const NO_BREAK: char = '\u{a0}';

/// Calm text without blanks at its ends, each run of blanks one blank; those that break no line stay.
pub(super) fn clean(text: &str) -> String {
    let calm = calm(text);
    let words = calm.split(|c: char| c.is_whitespace() && c != NO_BREAK);
    let words = words.filter(|word| !word.trim().is_empty());
    words.collect::<Vec<_>>().join(" ")
}

/// An id of letters, digits, `-` and `_` that starts with a letter.
pub(super) fn safe_id(id: &str) -> String {
    let kept: String = id
        .chars()
        .filter(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_'))
        .collect();
    if kept.starts_with(|c: char| c.is_ascii_alphabetic()) {
        kept
    } else {
        format!("c{kept}")
    }
}

/// Width of a text at a font size, in the unit of the size. A guess on the wide side, since the
/// reader's font is unknown: wide enough for the common sans-serif fonts.
pub(super) fn width(text: &str, size: i32) -> i32 {
    let hundredths: i32 = text.chars().map(advance).sum();
    (hundredths.saturating_mul(size)) / 100
}

fn advance(c: char) -> i32 {
    match c {
        ' ' | NO_BREAK | '.' | ',' | ':' | ';' | '\'' | '|' | 'i' | 'j' | 'l' | 'I' | '!' => 34,
        'f' | 't' | 'r' | '(' | ')' | '-' | '/' => 42,
        'm' | 'w' | 'M' | 'W' | '%' | '@' => 98,
        'a'..='z' => 57,
        '0'..='9' => 60,
        'A'..='Z' => 72,
        _ => match c.width() {
            Some(0) => 0,
            Some(2) => 105,
            _ => 62,
        },
    }
}

/// Lines of at most `room` wide at `size`, broken at blanks, inside a word only where it must be.
/// At most `most` lines; what is left over is marked with an ellipsis.
pub(super) fn wrap(text: &str, size: i32, room: i32, most: usize) -> Vec<String> {
    let text = clean(text);
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    let short: String = text.chars().take(LONGEST).collect();
    let mut cut = short.len() < text.len();
    for word in short.split(' ') {
        let joined = if line.is_empty() {
            word.to_string()
        } else {
            format!("{line} {word}")
        };
        if width(&joined, size) <= room {
            line = joined;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            line.push(c);
            if width(&line, size) > room && line.chars().count() > 1 {
                line.pop();
                lines.push(std::mem::take(&mut line));
                line.push(c);
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    cut |= lines.len() > most;
    lines.truncate(most);
    if let (true, Some(last)) = (cut, lines.last_mut()) {
        while width(last, size) + size > room && last.pop().is_some() {}
        last.push('…');
    }
    lines
}
