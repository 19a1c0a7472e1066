//! One value of one kind out of one piece of text.
#![allow(
    clippy::result_large_err,
    reason = "a diagnostic is the rare case, and boxing it would only move it"
)]

use super::schema::Kind;
use super::value::{At, Datum};
use super::words;
use crate::ground::date::{self, DateFault, MomentFault};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::number::{self, Bound, Number};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Given, Located, Span};
use crate::ground::unit::{Dimension, Lookup, UnitWord, lookup};
use crate::syntax::line::{trim_end, trim_start};
use crate::trade::{Burden, Class, PairName, between, designation, ratio};

/// A piece of text and where it stands.
#[derive(Clone, Copy, Debug)]
pub struct Piece<'a> {
    pub text: &'a str,
    pub at: usize,
}

impl<'a> Piece<'a> {
    pub fn new(text: &'a str, at: usize) -> Self {
        Self { text, at }.trimmed()
    }

    pub fn span(self) -> Span {
        Span::new(self.at, self.at + self.text.len())
    }

    fn trimmed(self) -> Self {
        let start = trim_start(self.text);
        Self {
            at: self.at + (self.text.len() - start.len()),
            text: trim_end(start),
        }
    }

    /// Its words, parted by blanks and tabs.
    pub fn words(self) -> impl Iterator<Item = Self> {
        let mut rest = self;
        std::iter::from_fn(move || {
            let blank = |byte: u8| matches!(byte, b' ' | b'\t');
            let start = rest.text.bytes().position(|byte| !blank(byte))?;
            let (_, behind) = rest.text.split_at_checked(start)?;
            let end = behind.bytes().position(blank).unwrap_or(behind.len());
            let (text, behind) = behind.split_at_checked(end)?;
            let at = rest.at + start;
            rest = Self {
                text: behind,
                at: at + end,
            };
            Some(Self { text, at })
        })
    }

    /// The pieces before and behind the first `mark`.
    pub fn split(self, mark: &str) -> Option<(Self, Self)> {
        let found = self.text.find(mark)?;
        let (before, behind) = (
            self.text.get(..found)?,
            self.text.get(found + mark.len()..)?,
        );
        Some((
            Self::new(before, self.at),
            Self::new(behind, self.at + found + mark.len()),
        ))
    }
}

/// Reads a value of `kind`; `of` is the key or column for messages, `ieee` the family of the plate.
pub fn datum(piece: Piece<'_>, kind: Kind, of: &str, ieee: bool) -> Result<Datum, Diagnostic> {
    match kind {
        Kind::Text => Ok(Datum::Text(piece.text.to_owned())),
        Kind::Quantity(dimension) => quantity(piece, dimension, of).map(Datum::Quantity),
        Kind::Either(first, second) => {
            let (_, unit) = digits_and_unit(piece);
            let dimension = if matches!(lookup(unit.text, second), Lookup::Found(_)) {
                second
            } else {
                first
            };
            quantity(piece, dimension, of).map(Datum::Quantity)
        }
        Kind::Number => plain_number(piece, of).map(Datum::Number),
        Kind::Count => count(piece, of).map(Datum::Number),
        Kind::Pair => pair(piece).map(Datum::Pair),
        Kind::Terminals => Ok(Datum::Terminals(terminals(piece))),
        Kind::Ratio => ratio::ratio(piece.text)
            .map(Datum::Ratio)
            .map_err(|fault| words::ratio(piece.text, piece.span(), fault)),
        Kind::Class => Ok(Datum::Class(Class::read(piece.text, ieee))),
        Kind::Burden => burden(piece, of).map(Datum::Burden),
        Kind::QuantityAt(value, at) => quantity_at(piece, value, at, of).map(Datum::At),
        Kind::Between => between::between(piece.text)
            .map(Datum::Between)
            .ok_or_else(|| words::group(piece.text, piece.span())),
        Kind::Choice(choices) => choice(piece, choices, of),
        Kind::Core => Ok(Datum::Core(piece.text.to_owned())),
        Kind::Moment => moment(piece).map(Datum::Moment),
    }
}

/// What was read, or where something stands that could not be; that is told.
pub fn given<T>(
    read: Result<T, Diagnostic>,
    piece: Piece<'_>,
    found: &mut Vec<Diagnostic>,
) -> Given<T> {
    match read {
        Ok(value) => Given::Written(Located::new(value, piece.span())),
        Err(told) => {
            found.push(told);
            Given::Unreadable(piece.span())
        }
    }
}

/// A day.
pub fn day(piece: Piece<'_>) -> Result<date::Date, Diagnostic> {
    date::read(piece.text)
        .map_err(|fault| words::date(piece.text, piece.span(), fault == DateFault::Impossible))
}

/// A day, with or without its time.
fn moment(piece: Piece<'_>) -> Result<date::Moment, Diagnostic> {
    date::moment(piece.text).map_err(|fault| match fault {
        MomentFault::Day(fault) => {
            let first = piece.words().next().unwrap_or(piece);
            let is_time = date::moment(&format!("2026-03-14 {}", first.text)).is_ok();
            if is_time && first.text.contains(':') {
                return words::time_alone(first.text, first.span());
            }
            words::date(first.text, first.span(), fault == DateFault::Impossible)
        }
        MomentFault::Time => {
            let time = piece.words().nth(1).unwrap_or(piece);
            let rest = time.at - piece.at;
            let text = piece.text.get(rest..).unwrap_or(time.text);
            let time = Piece::new(text, time.at);
            words::time_unreadable(time.text, time.span())
        }
    })
}

fn choice(
    piece: Piece<'_>,
    choices: &'static [&'static str],
    of: &str,
) -> Result<Datum, Diagnostic> {
    let same = |word: &&&'static str| **word == piece.text || spelling(piece.text) == Some(**word);
    choices
        .iter()
        .find(same)
        .map(|word| Datum::Choice(word))
        .ok_or_else(|| match of {
            "loop" if is_phases(piece.text) => words::loop_phases(piece.text, piece.span()).mend(
                "write phase-phase",
                piece.span(),
                "phase-phase",
                false,
            ),
            _ => words::word_unknown(piece.text, piece.span(), choices, (of, true)),
        })
}

/// `L1-L2`, `A-B`, `R-Y`: names of two phases, where words of a loop are expected.
fn is_phases(text: &str) -> bool {
    let name = |text: &str| (1..=2).contains(&text.len()) && text.starts_with(char::is_alphabetic);
    text.split_once('-')
        .is_some_and(|(one, other)| name(one) && name(other))
}

/// The other spelling of a trade word.
fn spelling(word: &str) -> Option<&'static str> {
    match word {
        "aluminum" => Some("aluminium"),
        "average" => Some("mean"),
        _ => None,
    }
}

fn terminals(piece: Piece<'_>) -> Vec<Located<String>> {
    let mark = |word: Piece<'_>| {
        let text = word.text.trim_end_matches(',');
        Located::new(text.to_owned(), word.span())
    };
    piece.words().map(mark).collect()
}

/// Two terminals with a hyphen between them.
pub fn pair(piece: Piece<'_>) -> Result<PairName, Diagnostic> {
    if let Some((found, meant)) = number::edited(piece.text) {
        return Err(words::editor_character(found, &meant, piece.span()));
    }
    let good = |s: &str| {
        !s.is_empty()
            && s.bytes()
                .all(|b| b.is_ascii_alphanumeric() || b == b'.' || b == b'\'')
    };
    match piece.text.split_once('-') {
        Some((from, to)) if good(from) && good(to) => Ok(PairName {
            from: from.to_owned(),
            to: to.to_owned(),
        }),
        _ => Err(words::pair(piece.text, piece.span())),
    }
}

fn digits(piece: Piece<'_>) -> Result<Number<'_>, Diagnostic> {
    number::read(piece.text).map_err(|fault| words::number(piece.text, piece.span(), &fault))
}

/// A number without a unit.
pub fn plain_number(piece: Piece<'_>, of: &str) -> Result<f64, Diagnostic> {
    let number = digits(piece)?;
    if number.bound != Bound::Exact {
        return Err(words::bound_here(piece.text, piece.span(), of));
    }
    Ok(number.scaled(0))
}

/// A whole number, not less than none.
fn count(piece: Piece<'_>, of: &str) -> Result<f64, Diagnostic> {
    let number = plain_number(piece, of)?;
    match number {
        _ if number < 0.0 => Err(words::key_sign(piece.text, piece.span(), of)),
        _ if number.fract() != 0.0 => Err(words::count(piece.text, piece.span(), of)),
        _ => Ok(number),
    }
}

/// A number under a heading that gave the unit. Bounds are allowed.
pub fn cell(piece: Piece<'_>, unit: &'static UnitWord) -> Result<Quantity, Diagnostic> {
    let number = digits(piece)?;
    Ok(Quantity::new(&number, unit))
}

/// A number and its unit, with `+- half-width` between them if stated.
pub fn quantity(piece: Piece<'_>, dimension: Dimension, of: &str) -> Result<Quantity, Diagnostic> {
    let (written, unit) = digits_and_unit(piece);
    let (value, width) = match written.split("+-").or_else(|| written.split("±")) {
        Some((value, width)) => (value, Some(width)),
        None => (written, None),
    };
    digits(value).map_err(|told| {
        let meant = edited(piece, dimension, of);
        let meant = meant.or_else(|| parted(piece, dimension));
        let meant = meant.or_else(|| twice(piece, dimension));
        meant
            .or_else(|| half_width(piece, dimension, of))
            .unwrap_or(told)
    })?;
    if unit.text.is_empty() {
        return Err(words::unit_missing(piece.text, piece.span(), dimension));
    }
    let word = unit_word(unit, dimension, of)?;
    let mut found = cell(value, word)?;
    if let Some(width) = width {
        let half = cell(width, word)?;
        let zero = cell(Piece { text: "0", ..width }, word)?;
        found.half_width = Some((half.si - zero.si).abs());
    }
    Ok(found)
}

/// A quantity that would be read if an editor had not put a special blank or the like into it.
fn edited(piece: Piece<'_>, dimension: Dimension, of: &str) -> Option<Diagnostic> {
    let (found, plain) = number::edited(piece.text)?;
    quantity(Piece::new(&plain, piece.at), dimension, of).ok()?;
    Some(words::editor_character(found, &plain, piece.span()))
}

/// `12.0 deg C`: a unit that is written in one word.
fn parted(piece: Piece<'_>, dimension: Dimension) -> Option<Diagnostic> {
    let (number, unit) = piece.split(" ")?;
    number::read(number.text).ok()?;
    let joined = unit.text.replace([' ', '\t'], "");
    match lookup(&joined, dimension) {
        Lookup::Found(known) if joined != unit.text => {
            Some(words::unit_parted(unit.text, unit.span(), &known.canonical))
        }
        _ => None,
    }
}

/// `145 kV kV`.
fn twice(piece: Piece<'_>, dimension: Dimension) -> Option<Diagnostic> {
    let words: Vec<Piece<'_>> = piece.words().collect();
    let (number, first, again) = match words.as_slice() {
        [number, first, again] => (number, first, again),
        _ => return None,
    };
    let is_unit = matches!(lookup(first.text, dimension), Lookup::Found(_));
    if number::read(number.text).is_err() || !is_unit || first.text != again.text {
        return None;
    }
    let surplus = Span::new(first.span().range().end, again.span().range().end);
    Some(words::unit_twice(first.text, again.span()).mend("write it once", surplus, "", true))
}

/// `18.0 +/- 1 C`.
fn half_width(piece: Piece<'_>, dimension: Dimension, of: &str) -> Option<Diagnostic> {
    let meant = piece.text.replace("+/-", "+-");
    if meant == piece.text {
        return None;
    }
    quantity(Piece::new(&meant, piece.at), dimension, of).ok()?;
    Some(words::half_width(piece.text, piece.span(), &meant))
}

/// Splits `18.5 +- 1 C` or `25kA` where the unit begins.
fn digits_and_unit(piece: Piece<'_>) -> (Piece<'_>, Piece<'_>) {
    let bytes = piece.text.as_bytes();
    let exponent = |at: usize| {
        let digit = |i: usize| bytes.get(i).is_some_and(u8::is_ascii_digit);
        matches!(bytes.get(at), Some(b'e' | b'E'))
            && at > 0
            && digit(at - 1)
            && (digit(at + 1) || (matches!(bytes.get(at + 1), Some(b'-' | b'+')) && digit(at + 2)))
    };
    // Letters glued to digits (1O0) belong to the number when a blank and more text follow.
    let last_word = piece.text.rfind([' ', '\t']).map_or(0, |at| at + 1);
    let starts_unit = |(at, c): (usize, char)| {
        let letter =
            c.is_alphabetic() || matches!(c, '%' | '°' | '′' | 'Ω' | '\u{2126}' | '\u{00BA}');
        letter && !exponent(at) && (at >= last_word || last_word == 0)
    };
    let cut = piece
        .text
        .char_indices()
        .find(|&(at, c)| starts_unit((at, c)))
        .map_or(piece.text.len(), |(at, _)| at);
    let (digits, unit) = piece.text.split_at_checked(cut).unwrap_or((piece.text, ""));
    (
        Piece::new(digits, piece.at),
        Piece::new(unit, piece.at + cut),
    )
}

/// The unit of a word, where `dimension` is expected.
pub fn unit_word(
    piece: Piece<'_>,
    dimension: Dimension,
    of: &str,
) -> Result<&'static UnitWord, Diagnostic> {
    let (text, span) = (piece.text, piece.span());
    Err(match lookup(text, dimension) {
        Lookup::Found(unit) => return Ok(unit),
        Lookup::OtherDimension(other) => {
            words::unit_dimension(text, span, dimension, other.dimension, of)
        }
        Lookup::Case(readings) => words::unit_case(text, span, &readings),
        Lookup::Unknown(near) => match number::edited(text) {
            Some((found, plain)) if matches!(lookup(&plain, dimension), Lookup::Found(_)) => {
                words::editor_character(found, &plain, span)
            }
            _ => words::unit_unknown(text, span, dimension, near),
        },
    })
}

fn quantity_at(
    piece: Piece<'_>,
    value: Dimension,
    at: Dimension,
    of: &str,
) -> Result<At, Diagnostic> {
    let Some((first, second)) = piece.split(" at ") else {
        let reads = |mark: &str| {
            let (first, second) = piece.split(mark)?;
            let second = Piece::new(second.text.trim_end_matches([')', ']']), second.at);
            quantity(first, value, of).ok()?;
            quantity(second, at, of).ok()?;
            Some(format!("{} at {}", first.text, second.text))
        };
        if let Some(meant) = ["@", "(", "[", ",", ";", "/"].into_iter().find_map(reads) {
            return Err(words::at_word(piece.text, piece.span(), &meant));
        }
        quantity(piece, value, of)?;
        return Err(words::at_missing(piece.text, piece.span(), at));
    };
    Ok(At {
        value: quantity(first, value, of)?,
        at: quantity(second, at, of)?,
    })
}

fn burden(piece: Piece<'_>, of: &str) -> Result<Burden, Diagnostic> {
    match piece.text {
        "connected" => return Ok(Burden::Connected),
        "shorted" => return Ok(Burden::Shorted),
        _ => {}
    }
    if let Some(name) = designation(piece.text) {
        return Ok(Burden::Designation(name));
    }
    let (amount, power_factor) = match piece.split(" at ") {
        Some((amount, factor)) => (amount, Some(power_factor(factor, of)?)),
        None => (piece, None),
    };
    let (digits, unit) = digits_and_unit(amount);
    if digits.text.is_empty() {
        return Err(words::burden(piece.text, piece.span()));
    }
    let apart = |mark: &str| {
        let (amount, factor) = piece.split(mark)?;
        let meant = format!(
            "{} at {}",
            amount.text,
            factor.text.trim_end_matches([')', ']'])
        );
        let reads = burden(Piece::new(&meant, piece.at), of).is_ok();
        (power_factor.is_none() && reads).then_some(meant)
    };
    if let Some(meant) = ["@", "(", "[", ",", ";", "/"].into_iter().find_map(apart) {
        return Err(words::at_word(piece.text, piece.span(), &meant));
    }
    if unit.text.is_empty() {
        let bare = number::read(amount.text).is_ok();
        return Err(if bare {
            words::unit_missing(piece.text, piece.span(), Dimension::ApparentPower)
                .help("write VA or ohm after the number")
        } else {
            words::burden(piece.text, piece.span())
        });
    }
    if matches!(lookup(unit.text, Dimension::Resistance), Lookup::Found(_)) {
        return quantity(amount, Dimension::Resistance, of)
            .map(|ohm| Burden::Impedance { ohm, power_factor });
    }
    if let Some((least, rest)) = amount
        .split("-")
        .filter(|(least, _)| !least.text.is_empty())
    {
        let least = plain_number(least, of)?;
        return quantity(rest, Dimension::ApparentPower, of).map(|va| Burden::Range { least, va });
    }
    quantity(amount, Dimension::ApparentPower, of).map(|va| Burden::Power { va, power_factor })
}

fn power_factor(piece: Piece<'_>, of: &str) -> Result<f64, Diagnostic> {
    let value = plain_number(piece, of)?;
    if (0.0..=1.0).contains(&value) {
        Ok(value)
    } else {
        Err(words::power_factor(piece.text, piece.span()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, kind: Kind) -> Result<Datum, Diagnostic> {
        datum(Piece::new(text, 0), kind, "value", false)
    }

    #[test]
    fn quantities_with_and_without_blank() {
        let si = |text: &str, d| match read(text, Kind::Quantity(d)) {
            Ok(Datum::Quantity(q)) => q.si,
            other => panic!("{other:?}"),
        };
        assert_eq!(si("18.5 C", Dimension::Temperature), 18.5);
        assert_eq!(si("25kA", Dimension::Current), 25e3);
        assert_eq!(si("61 %", Dimension::Percent), 61.0);
        assert_eq!(si("1e3 V", Dimension::Voltage), 1000.0);
        let Ok(Datum::Quantity(q)) = read("18.5 +- 1 C", Kind::Quantity(Dimension::Temperature))
        else {
            panic!()
        };
        assert_eq!((q.si, q.half_width), (18.5, Some(1.0)));
        let Ok(Datum::Quantity(q)) = read("50 +- 2 degF", Kind::Quantity(Dimension::Temperature))
        else {
            panic!()
        };
        assert!((q.half_width.unwrap() - 2.0 / 1.8).abs() < 1e-9);
    }

    #[test]
    fn faults_have_their_own_codes() {
        let code = |text: &str, d| read(text, Kind::Quantity(d)).unwrap_err().code.name();
        assert_eq!(code("18.5", Dimension::Temperature), "unit-missing");
        assert_eq!(code("25 KA", Dimension::Current), "unit-case");
        assert_eq!(code("25 kV", Dimension::Current), "unit-dimension");
        assert_eq!(code("1O0 V", Dimension::Voltage), "number-unreadable");
        assert_eq!(code("18,5 C", Dimension::Temperature), "decimal-comma");
        assert_eq!(code("18.5 grad", Dimension::Temperature), "unit-unknown");
        assert_eq!(code("5 V V", Dimension::Voltage), "unit-unknown");
        assert_eq!(
            code("18 +/- 1 C", Dimension::Temperature),
            "number-unreadable"
        );
        for sign in ['\u{2126}', 'Ω'] {
            let ohm = read(&format!("5 M{sign}"), Kind::Quantity(Dimension::Resistance));
            assert!(
                matches!(ohm, Ok(Datum::Quantity(q)) if q.si == 5e6),
                "{sign}"
            );
        }
        assert_eq!(
            read("1S1\u{2013}1S2", Kind::Pair).unwrap_err().code.name(),
            "editor-character"
        );
    }

    #[test]
    fn burdens_in_every_form() {
        let text = |t: &str| format!("{:?}", read(t, Kind::Burden));
        assert!(text("15 VA at 0.80").contains("Some(0.8)"));
        assert!(text("1-10 VA").contains("least: 1.0"));
        assert!(text("2.4 ohm").contains("Impedance") && text("B-0.5").contains("Designation"));
        assert!(text("connected").contains("Connected"));
        assert!(text("15").contains("UnitMissing") && text("heavy").contains("BurdenUnreadable"));
    }
}
