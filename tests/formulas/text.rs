//! Evaluates the printed text of a formula, so that text and code can be proven equal.
//!
//! Numbers, names, `pi`, `+ - * / ^`, parentheses and the functions `sqrt ln exp sin cos abs`
//! (one argument) and `hypot atan2 max min` (two). `^` binds tighter than a sign before it and
//! groups to the right, as in print. The formulas are written in the crate, but the reader is total:
//! anything else is a [`TextError`], and nesting is bounded.

use std::fmt;

/// Why a text could not be evaluated.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TextError {
    /// A name that is neither a symbol, nor `pi`, nor a function.
    UnknownName(String),
    /// Something else than was expected at this character (counted from 0).
    Unexpected(usize),
    /// More nesting than any formula needs.
    TooDeep,
}

impl fmt::Display for TextError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownName(name) => write!(f, "unknown name {name}"),
            Self::Unexpected(at) => write!(f, "not understood at character {at}"),
            Self::TooDeep => write!(f, "nested too deeply"),
        }
    }
}

const DEEPEST: usize = 64;

/// Evaluates `text` with the symbols `names` at `values`.
///
/// # Errors
/// A [`TextError`] when the text is not a formula in these names. The value itself may be
/// infinite or undefined where the formula is.
pub fn evaluate(text: &str, names: &[&str], values: &[f64]) -> Result<f64, TextError> {
    let symbols: Vec<(&str, f64)> = names.iter().copied().zip(values.iter().copied()).collect();
    let mut reader = Reader {
        text: text.chars().collect(),
        at: 0,
        depth: 0,
        symbols,
    };
    let value = reader.sum()?;
    match reader.peek() {
        None => Ok(value),
        Some(_) => Err(TextError::Unexpected(reader.at)),
    }
}

struct Reader<'a> {
    text: Vec<char>,
    at: usize,
    depth: usize,
    symbols: Vec<(&'a str, f64)>,
}

impl Reader<'_> {
    fn peek(&mut self) -> Option<char> {
        while self.text.get(self.at) == Some(&' ') {
            self.at += 1;
        }
        self.text.get(self.at).copied()
    }

    fn take(&mut self, wanted: char) -> bool {
        let found = self.peek() == Some(wanted);
        if found {
            self.at += 1;
        }
        found
    }

    fn expect(&mut self, wanted: char) -> Result<(), TextError> {
        if self.take(wanted) {
            Ok(())
        } else {
            Err(TextError::Unexpected(self.at))
        }
    }

    fn sum(&mut self) -> Result<f64, TextError> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(TextError::TooDeep);
        }
        let mut value = self.product()?;
        loop {
            if self.take('+') {
                value += self.product()?;
            } else if self.take('-') {
                value -= self.product()?;
            } else {
                self.depth -= 1;
                return Ok(value);
            }
        }
    }

    fn product(&mut self) -> Result<f64, TextError> {
        let mut value = self.signed()?;
        loop {
            if self.take('*') {
                value *= self.signed()?;
            } else if self.take('/') {
                value /= self.signed()?;
            } else {
                return Ok(value);
            }
        }
    }

    fn signed(&mut self) -> Result<f64, TextError> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(TextError::TooDeep);
        }
        let value = if self.take('-') {
            -self.signed()?
        } else {
            let base = self.atom()?;
            if self.take('^') {
                libm::pow(base, self.signed()?)
            } else {
                base
            }
        };
        self.depth -= 1;
        Ok(value)
    }

    fn atom(&mut self) -> Result<f64, TextError> {
        match self.peek() {
            Some('(') => {
                self.at += 1;
                let value = self.sum()?;
                self.expect(')')?;
                Ok(value)
            }
            Some(c) if c.is_ascii_digit() => self.number(),
            Some(c) if c.is_alphabetic() => self.name(),
            _ => Err(TextError::Unexpected(self.at)),
        }
    }

    fn word(&mut self, fits: fn(char) -> bool) -> String {
        let start = self.at;
        while self.text.get(self.at).is_some_and(|c| fits(*c)) {
            self.at += 1;
        }
        self.text
            .get(start..self.at)
            .unwrap_or(&[])
            .iter()
            .collect()
    }

    fn number(&mut self) -> Result<f64, TextError> {
        let start = self.at;
        let word = self.word(|c| c.is_ascii_digit() || c == '.');
        word.parse().map_err(|_| TextError::Unexpected(start))
    }

    fn name(&mut self) -> Result<f64, TextError> {
        let name = self.word(|c| c.is_alphanumeric() || c == '_');
        if let Some((_, value)) = self.symbols.iter().find(|(symbol, _)| *symbol == name) {
            return Ok(*value);
        }
        if name == "pi" {
            return Ok(std::f64::consts::PI);
        }
        if !self.take('(') {
            return Err(TextError::UnknownName(name));
        }
        let first = self.sum()?;
        let value = if let Some(one) = one_argument(&name) {
            one(first)
        } else if let Some(two) = two_arguments(&name) {
            self.expect(',')?;
            two(first, self.sum()?)
        } else {
            return Err(TextError::UnknownName(name));
        };
        self.expect(')')?;
        Ok(value)
    }
}

fn one_argument(name: &str) -> Option<fn(f64) -> f64> {
    Some(match name {
        "sqrt" => f64::sqrt,
        "ln" => libm::log,
        "exp" => libm::exp,
        "sin" => libm::sin,
        "cos" => libm::cos,
        "abs" => f64::abs,
        _ => return None,
    })
}

fn two_arguments(name: &str) -> Option<fn(f64, f64) -> f64> {
    Some(match name {
        "hypot" => libm::hypot,
        "atan2" => libm::atan2,
        "max" => f64::max,
        "min" => f64::min,
        _ => return None,
    })
}

#[test]
fn reads_as_in_print() {
    let cases = [
        ("1 + 2*3 - 4/2", 5.0),
        ("-2^2", -4.0),
        ("2^3^2", 512.0),
        ("2^-1", 0.5),
        ("(1 + 2)*3", 9.0),
        ("10 - 3 - 2", 5.0),
        ("12/3/2", 2.0),
        ("hypot(3, 4) + max(1, 2) - min(1, 2)", 6.0),
        ("sqrt(abs(-16)) + ln(exp(1)) + cos(0) + sin(0)", 6.0),
        ("atan2(1, 1)*4/pi", 1.0),
        ("a*b_2", 6.0),
    ];
    for (text, expected) in cases {
        let value = evaluate(text, &["a", "b_2"], &[2.0, 3.0]);
        assert!((value.unwrap() - expected).abs() < 1e-12, "{text}");
    }
}

#[test]
fn refuses_what_it_does_not_know() {
    for text in [
        "", "1 +", "(1", "1)", "q", "tan(1)", "max(1)", "1.2.3", "2 $ 3", "hypot",
    ] {
        assert!(evaluate(text, &[], &[]).is_err(), "{text}");
    }
    let deep = "(".repeat(10_000);
    assert_eq!(evaluate(&deep, &[], &[]), Err(TextError::TooDeep));
    assert_eq!(
        evaluate(&"-".repeat(10_000), &[], &[]),
        Err(TextError::TooDeep)
    );
}
