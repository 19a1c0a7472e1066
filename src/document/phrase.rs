//! Words made of typed parts. A stage says what it has to say as a [`Phrase`]; a printer at the end
//! decides on unit signs, decimal mark and escapes, and nothing takes the text apart again.

use super::grade::Grade;
use crate::ground::span::Span;
use std::borrow::Cow;
use std::fmt;

/// One part of a phrase.
#[derive(Clone, Debug, PartialEq)]
pub enum Part {
    /// Words, printed as they are (escaped where the page needs it).
    Text(Cow<'static, str>),
    /// A number with its unit.
    Quantity(Quantity),
    /// Names of terminals, `1S1-1S2`.
    Terminals(String),
    /// The line of the record at which something was written.
    Line(Span),
    /// A source, and the name of the row that an annex tells more of.
    Cited { row: String, source: String },
    /// A grade's word or a decision's, with the grade that colours it.
    Verdict(Grade, Cow<'static, str>),
}

/// A number rounded for people, with its expanded uncertainty and unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Quantity {
    /// `317.3`; with a decimal point.
    pub number: String,
    /// Expanded uncertainty to the same place; `None` where it is not known or not said.
    pub u: Option<String>,
    /// The unit word as a record writes it: `ohm`, `mA`, `%`; empty for a pure number.
    pub unit: &'static str,
}

impl Quantity {
    /// A number without uncertainty.
    pub fn new(number: impl Into<String>, unit: &'static str) -> Self {
        Self {
            number: number.into(),
            u: None,
            unit,
        }
    }

    /// Another number of this unit, to as many places; `None` where this one has an exponent, or the
    /// other is too large to be written without.
    pub fn as_finely(&self, x: f64) -> Option<Self> {
        if self.number.contains('e') || x.abs() >= 1e9 {
            return None;
        }
        let places = match self.number.split_once('.') {
            Some((_, behind)) => behind.len(),
            None => 0,
        };
        let text = format!("{x:.places$}");
        // Rounded to nothing it has no sign.
        let nothing = text.bytes().all(|b| matches!(b, b'-' | b'.' | b'0'));
        let text = text.trim_start_matches(|c| nothing && c == '-');
        Some(Self::new(text, self.unit))
    }
}

/// `317.3 ± 0.7 V`
impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.number)?;
        if let Some(u) = &self.u {
            write!(f, " ± {u}")?;
        }
        if self.unit.is_empty() {
            return Ok(());
        }
        write!(f, " {}", self.unit)
    }
}

/// Words with quantities, terminals, lines and verdicts among them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Phrase(Vec<Part>);

impl Phrase {
    /// Its parts in order.
    pub fn parts(&self) -> &[Part] {
        &self.0
    }

    /// Whether it says nothing.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Names of terminals: `1S1-1S2`.
    pub fn terminals(names: String) -> Self {
        Part::Terminals(names).into()
    }

    /// Puts phrases into the places `{}` of a sentence, one into each; [`say!`] sees to that.
    pub fn filled(sentence: &'static str, values: impl IntoIterator<Item = Self>) -> Self {
        // No brace of a sentence is anything else than a place, see `places`.
        let words = sentence.split('{');
        let mut words = words.map(|words| words.strip_prefix('}').unwrap_or(words));
        let values = values.into_iter();
        let mut made = Self(Vec::with_capacity(1 + 2 * values.size_hint().0));
        made.push(words.next().unwrap_or(""));
        for (value, words) in values.zip(words) {
            made.0.extend(value.0);
            made.push(words);
        }
        made
    }

    fn push(&mut self, words: &'static str) {
        if !words.is_empty() {
            self.0.push(Part::Text(Cow::Borrowed(words)));
        }
    }

    /// Goes on with more words.
    #[must_use]
    pub fn then(mut self, more: impl Into<Self>) -> Self {
        self.0.extend(more.into().0);
        self
    }

    /// Puts words between phrases: `a, b and c` from `", "` and `" and "`.
    pub fn list(
        phrases: impl IntoIterator<Item = Self>,
        between: &'static str,
        last: &'static str,
    ) -> Self {
        let all: Vec<Self> = phrases.into_iter().collect();
        let count = all.len();
        let mut made = Self::default();
        for (index, phrase) in all.into_iter().enumerate() {
            if index > 0 {
                made = made.then(if index + 1 == count { last } else { between });
            }
            made = made.then(phrase);
        }
        made
    }

    /// The same words between all phrases.
    pub fn join(phrases: impl IntoIterator<Item = Self>, between: &'static str) -> Self {
        Self::list(phrases, between, between)
    }

    /// Plain text with unit words as a record writes them; a line is `line 31`.
    pub fn plain(&self, line: impl Fn(Span) -> usize) -> String {
        let mut out = String::new();
        for part in &self.0 {
            match part {
                Part::Text(text) | Part::Verdict(_, text) => out.push_str(text),
                Part::Quantity(quantity) => out.push_str(&quantity.to_string()),
                Part::Terminals(text) | Part::Cited { source: text, .. } => out.push_str(text),
                Part::Line(span) => out.push_str(&format!("line {}", line(*span))),
            }
        }
        out
    }
}

/// For messages of tests and where no source is at hand: a line is `line 0`.
impl fmt::Display for Phrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.plain(|_| 0))
    }
}

impl From<&'static str> for Phrase {
    fn from(text: &'static str) -> Self {
        if text.is_empty() {
            return Self::default();
        }
        Self(vec![Part::Text(Cow::Borrowed(text))])
    }
}

impl From<String> for Phrase {
    fn from(text: String) -> Self {
        if text.is_empty() {
            return Self::default();
        }
        Self(vec![Part::Text(Cow::Owned(text))])
    }
}

impl From<Part> for Phrase {
    fn from(part: Part) -> Self {
        Self(vec![part])
    }
}

impl From<Quantity> for Phrase {
    fn from(quantity: Quantity) -> Self {
        Part::Quantity(quantity).into()
    }
}

/// How many places `{}` a sentence has.
pub(crate) const fn places(sentence: &str) -> usize {
    let (mut left, mut found) = (sentence.as_bytes(), 0);
    while let [first, rest @ ..] = left {
        if let b'{' = *first {
            assert!(matches!(rest, [b'}', ..]), "a brace that is no place");
            found += 1;
        }
        left = rest;
    }
    found
}

/// `say!("{} at {}", current, voltage)`: a sentence with phrases, or what becomes one, in its places.
/// Too few or too many do not compile.
macro_rules! say {
    ($sentence:literal $(, $value:expr)* $(,)?) => {{
        const {
            let values: &[&str] = &[$(stringify!($value)),*];
            assert!($crate::document::phrase::places($sentence) == values.len());
        }
        $crate::document::phrase::Phrase::filled(
            $sentence,
            [$($crate::document::phrase::Phrase::from($value)),*],
        )
    }};
}
pub(crate) use say;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_keeps_its_parts() {
        let volt = Quantity::new("300", "V");
        let told = say!(
            "{} at {}, {}",
            Quantity::new("7.40", "mA"),
            volt,
            "10 VA".to_owned()
        );
        assert_eq!(told.plain(|_| 0), "7.40 mA at 300 V, 10 VA");
        assert_eq!(told.parts().len(), 5);
        assert!(say!("").is_empty());
    }

    #[test]
    fn lists_are_joined_as_people_write_them() {
        let list = |n: usize| {
            let names = ["a", "b", "c"].map(Phrase::from).into_iter().take(n);
            Phrase::list(names, ", ", " and ").plain(|_| 0)
        };
        assert_eq!([list(1), list(2), list(3)], ["a", "a and b", "a, b and c"]);
    }
}
