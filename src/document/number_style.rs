//! How numbers and units are written: the reader's decimal mark, signs for unit words.

use super::phrase::{Part, Phrase, Quantity};
use super::text::{Inline, Text};
use crate::ground::span::Span;
use std::fmt::Write as _;

/// A blank at which no line ends. Plain Markdown has common blanks in its place.
pub const NO_BREAK: char = '\u{a0}';

/// The sign of a unit word; the word itself where it prints as it is typed.
pub fn sign(word: &str) -> &str {
    match word {
        "ohm" => "Ω",
        "mohm" => "mΩ",
        "uohm" => "µΩ",
        "kohm" => "kΩ",
        "Mohm" => "MΩ",
        "Gohm" => "GΩ",
        "Tohm" => "TΩ",
        "C" | "degC" => "°C",
        "degF" => "°F",
        "deg" => "°",
        "arcmin" => "′",
        "uA" => "µA",
        "uV" => "µV",
        "uH" => "µH",
        "us" => "µs",
        "mm2" => "mm²",
        other => other,
    }
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
        let mut said = String::new();
        for part in phrase.parts() {
            match part {
                Part::Text(text) => together(text, &mut said),
                Part::Quantity(quantity) => self.write(quantity, &mut said),
                Part::Terminals(text) | Part::Cited { source: text, .. } => said.push_str(text),
                // Writing to a string cannot fail.
                Part::Line(span) => drop(write!(said, "line {}", line(*span))),
                Part::Verdict(grade, word) => {
                    made = made.join(std::mem::take(&mut said));
                    made = made.and(Inline::Word(*grade, word.to_string()));
                }
            }
        }
        made.join(said)
    }

    /// `317.3 ± 0.7 V`, `2.87 Ω`, `21′`; no line breaks between a number and its unit.
    pub fn quantity(self, quantity: &Quantity) -> String {
        let mut text = String::new();
        self.write(quantity, &mut text);
        text
    }

    fn write(self, quantity: &Quantity, out: &mut String) {
        self.signed(&quantity.number, out);
        if let Some(u) = &quantity.u {
            out.extend([NO_BREAK, '±', NO_BREAK]);
            self.unsigned(u, out);
        }
        let unit = sign(quantity.unit);
        if !matches!(unit, "" | "°" | "′") {
            out.push(NO_BREAK);
        }
        out.push_str(unit);
    }

    /// A sentence of ours with numbers and units in it: signs for unit words behind a number, the
    /// reader's decimal mark.
    pub fn say(self, text: &str) -> String {
        let mut said = String::with_capacity(text.len());
        let mut after_number = false;
        for (index, word) in text.split(' ').enumerate() {
            let bare = word.trim_end_matches([',', ';', ':', ')']);
            let behind = word.get(bare.len()..).unwrap_or("");
            let printed = if after_number { sign(bare) } else { bare };
            let glued = after_number && matches!(printed, "°" | "′");
            if index > 0 && !glued {
                said.push(' ');
            }
            after_number = is_number(bare.trim_start_matches(['(', '>', '<', '±']));
            match after_number {
                true => self.signed(printed, &mut said),
                false => said.push_str(printed),
            }
            said.push_str(behind);
        }
        said
    }

    /// A number as written in a record: only the decimal mark is the reader's.
    pub fn written(self, text: &str) -> String {
        let plain = text.trim_start_matches(['>', '<', '≥', '≤', '+', '-']);
        match is_number(plain) {
            true => self.mark(text),
            false => text.to_owned(),
        }
    }

    /// The decimal mark of a number.
    pub fn mark(self, number: &str) -> String {
        let mut marked = String::with_capacity(number.len());
        self.unsigned(number, &mut marked);
        marked
    }

    /// A number with the sign of a negative one as a minus, not as a hyphen that a line may end at.
    fn signed(self, number: &str, out: &mut String) {
        let digits = number.strip_prefix('-');
        if digits.is_some() {
            out.push('−');
        }
        self.unsigned(digits.unwrap_or(number), out);
    }

    fn unsigned(self, number: &str, out: &mut String) {
        match self.comma {
            true => out.extend(number.chars().map(|c| if c == '.' { ',' } else { c })),
            false => out.push_str(number),
        }
    }
}

/// Our words with a sign kept by the number behind it, and a degree by the one before.
fn together(text: &str, out: &mut String) {
    match text.contains('°') {
        true => out.push_str(&text.replace(" °C", "\u{a0}°C")),
        false => out.push_str(text),
    }
    if out.ends_with("± ") {
        out.pop();
        out.push(NO_BREAK);
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
