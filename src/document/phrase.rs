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

    /// Goes on with more words.
    #[must_use]
    pub fn then(mut self, more: impl Said) -> Self {
        more.say(&mut self);
        self
    }

    /// Puts words between phrases: `a, b and c` from `", "` and `" and "`.
    pub fn list(
        phrases: impl IntoIterator<Item = Self>,
        between: &'static str,
        last: &'static str,
    ) -> Self {
        let mut phrases = phrases.into_iter().peekable();
        let mut made = phrases.next().unwrap_or_default();
        while let Some(phrase) = phrases.next() {
            let words = phrases.peek().map_or(last, |_| between);
            made = made.then(words).then(phrase);
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

/// What can be said in a phrase.
pub trait Said {
    /// Puts its parts behind those of a phrase.
    fn say(self, phrase: &mut Phrase);
}

impl Said for Phrase {
    fn say(self, phrase: &mut Self) {
        phrase.0.extend(self.0);
    }
}

impl Said for Part {
    fn say(self, phrase: &mut Phrase) {
        phrase.0.push(self);
    }
}

impl Said for Quantity {
    fn say(self, phrase: &mut Phrase) {
        Part::Quantity(self).say(phrase);
    }
}

impl Said for &'static str {
    fn say(self, phrase: &mut Phrase) {
        if !self.is_empty() {
            Part::Text(self.into()).say(phrase);
        }
    }
}

impl Said for String {
    fn say(self, phrase: &mut Phrase) {
        if !self.is_empty() {
            Part::Text(self.into()).say(phrase);
        }
    }
}

macro_rules! phrase_of {
    ($($said:ty),*) => {
        $(impl From<$said> for Phrase {
            fn from(said: $said) -> Self {
                Self::default().then(said)
            }
        })*
    };
}

phrase_of!(Part, Quantity, &'static str, String);

/// The words of a sentence around its places `{}`, of which there have to be one less.
#[allow(
    clippy::indexing_slicing,
    reason = "say! has it evaluated by the compiler, where a wrong index is an error"
)]
pub(crate) const fn words<const N: usize>(sentence: &'static str) -> [&'static str; N] {
    let mut words = [""; N];
    let (mut rest, mut found, mut at) = (sentence, 0, 0);
    while at + 1 < rest.len() {
        if let (b'{', b'}') = (rest.as_bytes()[at], rest.as_bytes()[at + 1]) {
            (words[found], rest) = (rest.split_at(at).0, rest.split_at(at + 2).1);
            (found, at) = (found + 1, 0);
        } else {
            at += 1;
        }
    }
    words[found] = rest;
    assert!(found + 1 == N, "a value for each place");
    words
}

/// A sentence whose places are filled one after the other.
pub(crate) struct Sentence {
    said: Phrase,
    /// The words behind each place that is left.
    words: std::slice::Iter<'static, &'static str>,
}

impl Sentence {
    pub(crate) fn of(words: &'static [&'static str]) -> Self {
        let said = Phrase(Vec::with_capacity(2 * words.len()));
        Self {
            said,
            words: words.iter(),
        }
        .next()
    }

    fn next(mut self) -> Self {
        self.said = self.said.then(*self.words.next().unwrap_or(&""));
        self
    }

    pub(crate) fn with(mut self, value: impl Said) -> Self {
        self.said = self.said.then(value);
        self.next()
    }

    pub(crate) fn said(self) -> Phrase {
        self.said
    }
}

/// `say!("{} at {}", current, voltage)`: a sentence with phrases, or what becomes one, in its places.
/// Too few or too many do not compile.
macro_rules! say {
    ($sentence:literal $(, $value:expr)* $(,)?) => {
        $crate::document::phrase::Sentence::of(const {
            &$crate::document::phrase::words::<{ 1 + <[&str]>::len(&[$(stringify!($value)),*]) }>($sentence)
        })
        $(.with($value))*
        .said()
    };
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
