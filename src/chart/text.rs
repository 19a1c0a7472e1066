//! Text of a drawing: cleaned, measured, wrapped.

use std::borrow::Cow;
use std::ops::Range;

use unicode_width::UnicodeWidthChar;

use crate::ground::calm::calm;

/// Longest text that is drawn, in characters; the rest is cut with an ellipsis.
const LONGEST: usize = 400;

/// Keeps a number with its unit.
const NO_BREAK: char = '\u{a0}';

/// Calm text without blanks at its ends, each run of blanks one blank; those that break no line stay.
pub(super) fn clean(text: &str) -> Cow<'_, str> {
    if is_clean(text) {
        return Cow::Borrowed(text);
    }
    let calm = calm(text);
    let words = calm.split(|c: char| c.is_whitespace() && c != NO_BREAK);
    let words = words.filter(|word| !word.trim().is_empty());
    Cow::Owned(words.collect::<Vec<_>>().join(" "))
}

/// Whether a text is seen to be clean at a glance, as nearly all are: signs of those pages of Unicode
/// that only hold what shows itself, single blanks between them.
fn is_clean(text: &str) -> bool {
    let mut after_blank = true;
    let single = text.chars().all(|c| match c {
        ' ' | NO_BREAK => !std::mem::replace(&mut after_blank, true),
        '!'..='~' | '\u{a1}'..='\u{5ff}' | '\u{2010}'..='\u{2027}' | '\u{2070}'..='\u{22ff}' => {
            after_blank = false;
            true
        }
        _ => false,
    });
    single && !after_blank
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

/// Appends a whole number: a drawing is made of them, and a format string costs more than its digits.
pub(super) fn push(out: &mut String, number: i32) {
    if number < 0 {
        out.push('-');
    }
    push_digits(out, number.unsigned_abs().into());
}

pub(super) fn push_digits(out: &mut String, number: u64) {
    let digit = |number: u64| char::from(b'0' + (number % 10) as u8);
    if number > 99 {
        push_digits(out, number / 100);
    }
    if number > 9 {
        out.push(digit(number / 10));
    }
    out.push(digit(number));
}

/// Width of a text at a font size, in the unit of the size. A guess on the wide side, since the
/// reader's font is unknown: wide enough for the common sans-serif fonts.
pub(super) fn width(text: &str, size: i32) -> i32 {
    scaled(text.chars().map(advance).sum(), size)
}

fn scaled(hundredths: i32, size: i32) -> i32 {
    hundredths.saturating_mul(size) / 100
}

/// Width of a character, in hundredths of the font's size.
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
    let end = text.char_indices().nth(LONGEST).map(|(at, _)| at);
    let short = end.and_then(|end| text.get(..end)).unwrap_or(&text);
    let mut lines: Vec<String> = Vec::new();
    let mut end_line = |line: Range<usize>| {
        let line = short.get(line).unwrap_or_default();
        if !line.is_empty() {
            lines.push(line.to_owned());
        }
    };
    // The line in hand, its width, and where the next word starts.
    let (mut line, mut wide, mut at) = (0..0, 0, 0);
    for word in short.split(' ') {
        let own: i32 = word.chars().map(advance).sum();
        let (start, joined) = match line.is_empty() {
            true => (at, own),
            false => (line.start, wide + advance(' ') + own),
        };
        if scaled(joined, size) <= room {
            (line.start, wide) = (start, joined);
        } else {
            end_line(line.clone());
            (line.start, wide) = (at, 0);
            for (place, c) in word.char_indices() {
                wide += advance(c);
                if scaled(wide, size) > room && line.start < at + place {
                    end_line(line.start..at + place);
                    (line.start, wide) = (at + place, advance(c));
                }
            }
        }
        line.end = at + word.len();
        at = line.end + 1;
    }
    end_line(line);
    let cut = end.is_some() || lines.len() > most;
    lines.truncate(most);
    if let (true, Some(last)) = (cut, lines.last_mut()) {
        while width(last, size) + size > room && last.pop().is_some() {}
        last.push('…');
    }
    lines
}
