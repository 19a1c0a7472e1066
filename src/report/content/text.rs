//! Words and numbers as the report prints them: unit signs, decimal mark, dashes, all escaped.

use crate::ground::date::Date;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::Record;
use crate::record::kinds::TestKind;
use crate::record::value::{At, Burden, Ratio};
use crate::report::markdown::escape_markdown;

/// Stands where nothing was written.
pub(super) const NONE: &str = "–";

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

/// The sign of a unit word.
pub(super) fn sign(word: &str) -> &str {
    SIGNS
        .iter()
        .find(|(known, _)| *known == word)
        .map_or(word, |(_, sign)| sign)
}

/// How numbers are written.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pen {
    pub comma: bool,
}

impl Pen {
    /// A sentence of ours with numbers and units in it: signs for unit words behind a number, the
    /// reader's decimal mark; escaped.
    pub(super) fn say(self, text: &str) -> String {
        let mut words: Vec<String> = Vec::new();
        let mut after_number = false;
        for word in text.split(' ') {
            let bare = word.trim_end_matches([',', ';', ':', ')']);
            let behind = word.get(bare.len()..).unwrap_or("");
            let printed = if after_number { sign(bare) } else { bare };
            let glued = after_number && matches!(printed, "°" | "′");
            let number = is_number(bare.trim_start_matches(['(', '>', '<', '±']));
            let printed = if number && self.comma {
                printed.replace('.', ",")
            } else {
                printed.to_owned()
            };
            let printed = if number { minus(&printed) } else { printed };
            match words.last_mut() {
                Some(last) if glued => last.push_str(&format!("{printed}{behind}")),
                _ => words.push(format!("{printed}{behind}")),
            }
            after_number = number;
        }
        escape_markdown(&words.join(" "))
    }

    /// A number as written in the record.
    pub(super) fn written(self, text: &str) -> String {
        let plain = text.trim_start_matches(['>', '<', '≥', '≤', '+', '-']);
        if self.comma && is_number(plain) {
            escape_markdown(&text.replace('.', ","))
        } else {
            escape_markdown(text)
        }
    }

    /// A quantity as written, with its unit.
    pub(super) fn quantity(self, quantity: &Quantity) -> String {
        self.say(&quantity.written())
    }

    pub(super) fn given(self, quantity: &Given<Quantity>) -> String {
        quantity
            .value()
            .map_or_else(|| NONE.to_owned(), |quantity| self.quantity(quantity))
    }

    /// `30 mA at 1000 V`.
    pub(super) fn at(self, at: &At) -> String {
        format!("{} at {}", self.quantity(&at.value), self.quantity(&at.at))
    }

    /// `15 VA at 0.80`, `B-0.5`, `connected`.
    pub(super) fn burden(self, burden: &Burden) -> String {
        let factor = |factor: &Option<f64>| {
            factor
                .map(|factor| format!(" at {factor:.2}"))
                .unwrap_or_default()
        };
        match burden {
            Burden::Power { va, power_factor } => {
                self.say(&format!("{}{}", va.written(), factor(power_factor)))
            }
            Burden::Range { least, va } => self.say(&format!("{least} to {}", va.written())),
            Burden::Impedance { ohm, power_factor } => {
                self.say(&format!("{}{}", ohm.written(), factor(power_factor)))
            }
            Burden::Designation(text) => escape_markdown(text),
            Burden::Connected => "connected".to_owned(),
            Burden::Shorted => "shorted".to_owned(),
        }
    }
}

/// The sign of a negative number as a minus, not as a hyphen that a line may end at.
fn minus(number: &str) -> String {
    match number.strip_prefix('-') {
        Some(digits) => format!("−{digits}"),
        None => number.to_owned(),
    }
}

/// `600/1 A`, or `1200:5 A` where the plate is of the IEEE family.
pub(super) fn ratio(record: &Record, ratio: Ratio) -> String {
    let mark = if record.plate.family() == crate::standards::Family::Ieee {
        ':'
    } else {
        '/'
    };
    format!("{}{mark}{} A", ratio.primary, ratio.secondary)
}

fn is_number(word: &str) -> bool {
    let digits = word.trim_start_matches(['+', '-']);
    digits.starts_with(|c: char| c.is_ascii_digit())
        && digits.bytes().filter(|b| *b == b'.').count() <= 1
        && digits
            .bytes()
            .all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'e' | b'-' | b'+'))
}

/// A text of the record, escaped; a dash where there is none.
pub(super) fn text(given: &Given<String>) -> String {
    given
        .value()
        .map_or_else(|| NONE.to_owned(), |text| escape_markdown(text))
}

pub(super) fn day(date: Option<Date>) -> String {
    date.map_or_else(|| NONE.to_owned(), |date| date.to_string())
}

/// The heading of a test.
pub(super) fn title(kind: TestKind) -> &'static str {
    kind.title()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_and_marks_follow_numbers_only() {
        let (point, comma) = (Pen { comma: false }, Pen { comma: true });
        assert_eq!(
            point.say("2.87 ohm at 75 C, 21 arcmin"),
            "2.87 Ω at 75 °C, 21′"
        );
        assert_eq!(
            comma.say("2.87 ohm (IEC 61869-2:2012, 3.4.215)"),
            "2,87 Ω (IEC 61869-2:2012, 3.4.215)"
        );
        assert_eq!(point.say("class C 800"), "class C 800");
        assert_eq!(comma.written(">200.5"), "\\>200,5");
    }
}
