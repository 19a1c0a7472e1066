//! How numbers and units are written: the reader's decimal mark, signs for unit words.

use super::phrase::{Part, Phrase, Quantity};
use super::text::{Inline, Text};
use crate::ground::span::Span;

/// Unit words as typed, and the signs that print for them.
const SIGNS: &[(&str, &str)] = &[
    ("ohm", "Ω"),
    ("mohm", "mΩ"),
    ("uohm", "µΩ"),
    ("kohm", "kΩ"),
    ("Mohm", "MΩ"),
    ("Gohm", "GΩ"),
    ("Tohm", "TΩ"),
    ("C", "°C"),
    ("degC", "°C"),
    ("degF", "°F"),
    ("deg", "°"),
    ("arcmin", "′"),
    ("uA", "µA"),
    ("uV", "µV"),
    ("uH", "µH"),
    ("us", "µs"),
    ("mm2", "mm²"),
];

/// A blank at which no line ends. Plain Markdown has common blanks in its place.
pub const NO_BREAK: char = '\u{a0}';

/// The sign of a unit word.
pub fn sign(word: &str) -> &str {
    SIGNS
        .iter()
        .find(|(known, _)| *known == word)
        .map_or(word, |(_, sign)| sign)
}

/// How numbers are written.
#[derive(Clone, Copy, Debug, Default)]
pub struct NumberStyle {
    /// `1,5` instead of `1.5`.
    pub comma: bool,
}

impl NumberStyle {
    /// A phrase with its quantities in this style; `line` numbers the lines of the record.
    pub fn phrase(self, phrase: &Phrase, line: impl Fn(Span) -> usize) -> Text {
        let mut made = Text::default();
        for part in phrase.parts() {
            made = match part {
                Part::Text(text) => made.plain(together(text)),
                Part::Quantity(quantity) => made.plain(self.quantity(quantity)),
                Part::Terminals(text) | Part::Cited { source: text, .. } => made.plain(text),
                Part::Line(span) => made.plain(format!("line {}", line(*span))),
                Part::Verdict(grade, word) => made.and(Inline::Word(*grade, word.to_string())),
            };
        }
        made
    }

    /// `317.3 ± 0.7 V`, `2.87 Ω`, `21′`; no line breaks between a number and its unit.
    pub fn quantity(self, quantity: &Quantity) -> String {
        let mut text = minus(&self.mark(&quantity.number));
        if let Some(u) = &quantity.u {
            text.push_str(&format!("{NO_BREAK}±{NO_BREAK}{}", self.mark(u)));
        }
        match sign(quantity.unit) {
            "" => text,
            unit @ ("°" | "′") => format!("{text}{unit}"),
            unit => format!("{text}{NO_BREAK}{unit}"),
        }
    }

    /// A sentence of ours with numbers and units in it: signs for unit words behind a number, the
    /// reader's decimal mark.
    pub fn say(self, text: &str) -> String {
        let mut words: Vec<String> = Vec::new();
        let mut after_number = false;
        for word in text.split(' ') {
            let bare = word.trim_end_matches([',', ';', ':', ')']);
            let behind = word.get(bare.len()..).unwrap_or("");
            let printed = if after_number { sign(bare) } else { bare };
            let glued = after_number && matches!(printed, "°" | "′");
            let number = is_number(bare.trim_start_matches(['(', '>', '<', '±']));
            let printed = if number {
                minus(&self.mark(printed))
            } else {
                printed.to_owned()
            };
            match words.last_mut() {
                Some(last) if glued => last.push_str(&format!("{printed}{behind}")),
                _ => words.push(format!("{printed}{behind}")),
            }
            after_number = number;
        }
        words.join(" ")
    }

    /// A number as written in a record: only the decimal mark is the reader's.
    pub fn written(self, text: &str) -> String {
        let plain = text.trim_start_matches(['>', '<', '≥', '≤', '+', '-']);
        if is_number(plain) {
            self.mark(text)
        } else {
            text.to_owned()
        }
    }

    /// The decimal mark of a number.
    pub fn mark(self, number: &str) -> String {
        if self.comma {
            number.replace('.', ",")
        } else {
            number.to_owned()
        }
    }
}

/// Our words with a sign kept by the number behind it, and a degree by the one before.
fn together(text: &str) -> String {
    let text = text.replace(" °C", &format!("{NO_BREAK}°C"));
    match text.strip_suffix("± ") {
        Some(words) => format!("{words}±{NO_BREAK}"),
        None => text,
    }
}

/// The sign of a negative number as a minus, not as a hyphen that a line may end at.
fn minus(number: &str) -> String {
    match number.strip_prefix('-') {
        Some(digits) => format!("−{digits}"),
        None => number.to_owned(),
    }
}

fn is_number(word: &str) -> bool {
    let digits = word.trim_start_matches(['+', '-']);
    digits.starts_with(|c: char| c.is_ascii_digit())
        && digits.bytes().filter(|b| *b == b'.').count() <= 1
        && digits
            .bytes()
            .all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'e' | b'-' | b'+'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_and_marks_follow_numbers_only() {
        let (point, comma) = (NumberStyle::default(), NumberStyle { comma: true });
        assert_eq!(
            point.say("2.87 ohm at 75 C, 21 arcmin"),
            "2.87 Ω at 75 °C, 21′"
        );
        assert_eq!(
            comma.say("2.87 ohm (IEC 61869-2:2012, 3.4.215)"),
            "2,87 Ω (IEC 61869-2:2012, 3.4.215)"
        );
        assert_eq!(point.say("class C 800"), "class C 800");
        assert_eq!(comma.written(">200.5"), ">200,5");
    }
}
