//! Decimal numbers as written: value, last digit, bound. A prefix is applied to the decimal text,
//! so `1.31 mA` and `0.00131 A` are the same bits.

/// Whether a reading is a value or only one side of it is known.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Bound {
    #[default]
    Exact,
    /// `>200`: beyond the range of the instrument.
    MoreThan,
    /// `<0.5`.
    LessThan,
}

/// A number read from text, not yet scaled by a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Number<'a> {
    pub bound: Bound,
    /// Sign and digits with the point, without exponent.
    mantissa: &'a str,
    exponent: i32,
    /// Digits after the point.
    pub decimals: u8,
    /// The value as written, without a unit.
    pub value: f64,
    /// The mantissa as if it had no point, where a double holds it exactly.
    whole: Option<f64>,
}

/// Why a text is no number.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NumberFault {
    /// A comma where a point belongs. `Some` holds the only possible reading.
    Comma {
        only: Option<String>,
    },
    /// `1 450`, `1'450`, `1.450,0`: marks between thousands, with the text that was meant.
    Thousands {
        meant: String,
    },
    /// A character that an editor put in, with the text that was meant.
    EditorCharacter {
        found: char,
        meant: String,
    },
    /// A letter that looks like a digit, with the text that was meant.
    LookAlike {
        found: char,
        meant: String,
    },
    /// `> 200` or a word such as OL: a bound written in another way.
    BoundForm,
    NotANumber,
    /// Digits all right, but larger than anything that is measured.
    TooLarge,
    /// The same, and closer to zero.
    TooSmall,
}

/// What no reading, rating or limit of this trade comes near, in any unit: between these, sums of squares and
/// products of several values stay numbers (common practice, no source).
const SMALLEST: f64 = 1e-30;
const LARGEST: f64 = 1e30;

impl Number<'_> {
    /// Whether no digit but 0 is written.
    fn is_zero(&self) -> bool {
        let mut digits = self.mantissa.bytes();
        !digits.any(|byte| matches!(byte, b'1'..=b'9'))
    }

    /// The value times ten to the power `shift`, rounded once.
    pub fn scaled(&self, shift: i32) -> f64 {
        if shift == 0 {
            return self.value;
        }
        let shift = self.exponent + shift;
        let exactly = times_ten_to(self.whole, shift - i32::from(self.decimals));
        exactly.unwrap_or_else(|| parsed(self.mantissa, shift))
    }

    /// The weight of the last written digit times ten to the power `shift`.
    pub fn last_digit(&self, shift: i32) -> f64 {
        let shift = self.exponent + shift - i32::from(self.decimals);
        times_ten_to(Some(1.0), shift).unwrap_or_else(|| parsed("1", shift))
    }
}

/// The powers of ten that a double holds exactly.
const EXACT: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16,
    1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
];

/// A whole number times ten to a power where both are exact, so that their product or quotient is rounded
/// once: most readings are such.
fn times_ten_to(whole: Option<f64>, exponent: i32) -> Option<f64> {
    let power = *EXACT.get(usize::try_from(exponent.unsigned_abs()).ok()?)?;
    Some(if exponent < 0 {
        whole? / power
    } else {
        whole? * power
    })
}

/// Any other: as the decimal text that digits and exponent make together.
fn parsed(digits: &str, exponent: i32) -> f64 {
    let text = format!("{digits}e{exponent}");
    text.parse().unwrap_or(0.0)
}

/// Reads a number, with a leading `>`, `<`, `≥` or `≤` as a bound.
pub fn read(text: &str) -> Result<Number<'_>, NumberFault> {
    let (bound, digits) = if let Some(digits) = text.strip_prefix(['>', '≥']) {
        (Bound::MoreThan, digits)
    } else if let Some(digits) = text.strip_prefix(['<', '≤']) {
        (Bound::LessThan, digits)
    } else {
        (Bound::Exact, text)
    };
    match plain(digits) {
        Some(number) => match number.value.abs() {
            value if (SMALLEST..=LARGEST).contains(&value) || number.is_zero() => {
                Ok(Number { bound, ..number })
            }
            value if value < SMALLEST => Err(NumberFault::TooSmall),
            _ => Err(NumberFault::TooLarge),
        },
        None => Err(fault(text, digits)),
    }
}

fn plain(text: &str) -> Option<Number<'_>> {
    let (mut digits, mut point, mut end) = (0, None, text.len());
    let mut whole = Some(0_u64);
    for (at, byte) in text.bytes().enumerate() {
        match byte {
            b'0'..=b'9' => {
                digits += 1;
                let tenfold = whole.and_then(|whole| whole.checked_mul(10));
                whole = tenfold.and_then(|whole| whole.checked_add(u64::from(byte - b'0')));
            }
            b'.' if point.is_none() => point = Some(digits),
            b'+' | b'-' if at == 0 => {}
            b'e' | b'E' => {
                end = at;
                break;
            }
            _ => return None,
        }
    }
    let (mantissa, exponent) = text.split_at_checked(end)?;
    let exponent = match exponent.get(1..) {
        Some(exponent) => exponent
            .parse::<i32>()
            .ok()
            .filter(|e| e.unsigned_abs() <= 400)?,
        None => 0,
    };
    let behind = digits - point.unwrap_or(digits);
    if digits == 0 || point.is_some() && behind == 0 || mantissa.len() > 40 {
        return None;
    }
    let decimals = u8::try_from(behind).ok()?;
    let whole = whole.filter(|whole| *whole < 1 << 53);
    let sign = if text.starts_with('-') { -1.0 } else { 1.0 };
    let whole = whole.map(|whole| sign * whole as f64);
    let value = times_ten_to(whole, exponent - i32::from(decimals));
    Some(Number {
        bound: Bound::Exact,
        mantissa,
        exponent,
        decimals,
        value: value.unwrap_or_else(|| parsed(mantissa, exponent)),
        whole,
    })
}

fn fault(text: &str, digits: &str) -> NumberFault {
    if let Some((found, plain)) = edited(text) {
        let meant = plain.trim_matches([' ', '"', '\'']);
        if read(meant).is_ok() {
            return NumberFault::EditorCharacter {
                found,
                meant: meant.to_owned(),
            };
        }
    }
    if let Some(meant) = without_thousands(text) {
        return NumberFault::Thousands { meant };
    }
    if digits.contains(',') {
        return NumberFault::Comma {
            only: only_reading(text, digits),
        };
    }
    if let Some(found) = digits.chars().find(|&c| look_alike(c).is_some()) {
        let meant: String = text.chars().map(|c| look_alike(c).unwrap_or(c)).collect();
        if digits.chars().any(|c| c.is_ascii_digit()) && read(&meant).is_ok() {
            return NumberFault::LookAlike { found, meant };
        }
    }
    let word = text.to_ascii_lowercase();
    let parted =
        text.len() > digits.len() && plain(digits.trim_start_matches([' ', '\t'])).is_some();
    if parted
        || digits.is_empty()
        || matches!(
            word.as_str(),
            "ol" | "o.l." | "over" | "overrange" | "inf" | "infinity" | "∞"
        )
    {
        return NumberFault::BoundForm;
    }
    NumberFault::NotANumber
}

/// `1'450.5` as `1450.5`. A single mark that may as well be a decimal one leaves it open.
fn without_thousands(text: &str) -> Option<String> {
    let text = edited(text).map_or_else(|| text.to_owned(), |(_, plain)| plain);
    let bound = text.len()
        - text
            .trim_start_matches(['>', '<', '≥', '≤', '+', '-'])
            .len();
    let (sign, digits) = text.split_at_checked(bound)?;
    let groups = |whole: &str, mark: char| {
        let mut groups = whole.split(mark);
        let number = |group: &str| group.bytes().all(|b| b.is_ascii_digit());
        let first = groups
            .next()
            .is_some_and(|group| (1..=3).contains(&group.len()) && number(group));
        let rest: Vec<&str> = groups.collect();
        let fit = rest.iter().all(|group| group.len() == 3 && number(group));
        (first && fit)
            .then_some(rest.len())
            .filter(|count| *count > 0)
    };
    [
        (' ', '.'),
        ('\'', '.'),
        (' ', ','),
        ('\'', ','),
        (',', '.'),
        ('.', ','),
    ]
    .into_iter()
    .find_map(|(mark, point)| {
        let (whole, rest) = match digits.split_once(point) {
            Some((whole, rest)) => (whole, Some(rest)),
            None => (digits, None),
        };
        let count = groups(whole, mark)?;
        let is_open = matches!(mark, ',' | '.') && rest.is_none() && count == 1;
        let behind = rest.map(|rest| format!(".{rest}")).unwrap_or_default();
        let meant = format!("{sign}{}{behind}", whole.replace(mark, ""));
        (!is_open && read(&meant).is_ok()).then_some(meant)
    })
}

/// One comma can be a decimal comma or a thousands mark; only three digits behind it leave it open.
fn only_reading(text: &str, digits: &str) -> Option<String> {
    let (before, after) = digits.split_once(',')?;
    let whole = before.trim_start_matches(['+', '-']);
    let open = after.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0');
    let point = text.replace(',', ".");
    (!open && !after.contains(',') && !before.contains('.') && read(&point).is_ok())
        .then_some(point)
}

/// The plain character for one that editors put in; `Some(None)` means "leave it out".
pub fn editor_character(c: char) -> Option<Option<char>> {
    match c {
        '\u{2212}' | '\u{2013}' | '\u{2014}' | '\u{2010}' | '\u{2011}' => Some(Some('-')),
        '\u{00A0}' | '\u{202F}' | '\u{2009}' | '\u{2007}' => Some(Some(' ')),
        '\u{200B}' | '\u{FEFF}' | '\u{00AD}' => Some(None),
        '\u{00BA}' => Some(Some('°')),
        '\u{2018}' | '\u{2019}' | '\u{02BC}' => Some(Some('\'')),
        '\u{201C}' | '\u{201D}' => Some(Some('"')),
        '\u{FF1A}' => Some(Some(':')),
        _ => None,
    }
}

/// The first such character of a text, and the text with plain ones.
pub fn edited(text: &str) -> Option<(char, String)> {
    if text.is_ascii() {
        return None;
    }
    let found = text.chars().find(|&c| editor_character(c).is_some())?;
    let plain = text
        .chars()
        .filter_map(|c| editor_character(c).unwrap_or(Some(c)));
    Some((found, plain.collect()))
}

/// How such a character is called in a message.
pub fn character_name(c: char) -> String {
    let name = match c {
        '\u{2212}' => "a minus sign",
        '\u{2013}' | '\u{2014}' => "a dash",
        '\u{2010}' | '\u{2011}' => "a typographic hyphen",
        '\u{00A0}' | '\u{202F}' | '\u{2009}' | '\u{2007}' => "a no-break space",
        '\u{200B}' | '\u{FEFF}' | '\u{00AD}' => "an invisible character",
        '\u{00BA}' => "an ordinal sign",
        '\u{2018}' | '\u{2019}' | '\u{02BC}' | '\u{201C}' | '\u{201D}' => "a curly quote",
        '\u{FF1A}' => "a wide colon",
        _ => "this character",
    };
    format!("{name} (U+{:04X})", u32::from(c))
}

fn look_alike(c: char) -> Option<char> {
    match c {
        'O' | 'o' => Some('0'),
        'l' | 'I' => Some('1'),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_prefix_changes_no_bits() {
        assert_eq!(
            read("1.31").unwrap().scaled(-3).to_bits(),
            read("0.00131").unwrap().scaled(0).to_bits()
        );
        assert_eq!(read("2.870").unwrap().last_digit(-3), 1e-6);
        assert_eq!(read(">200").unwrap().bound, Bound::MoreThan);
        assert_eq!(read("-0.05").unwrap().scaled(0), -0.05);
        assert_eq!(read(".5").unwrap().scaled(0), 0.5);
    }

    proptest::proptest! {
        #[test]
        fn a_number_is_the_double_nearest_to_its_text(
            text in r"[+-]?[0-9]{1,18}(\.[0-9]{1,16})?(e[+-]?[0-9]{1,2})?", shift in -30..30i32,
        ) {
            let number = plain(&text).unwrap();
            let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
            let moved = format!("{mantissa}e{}", exponent.parse::<i32>().unwrap() + shift);
            let nearest = |text: &str| text.parse::<f64>().unwrap().to_bits();
            proptest::prop_assert_eq!(number.value.to_bits(), nearest(&text));
            proptest::prop_assert_eq!(number.scaled(shift).to_bits(), nearest(&moved));
        }
    }

    #[test]
    fn faults_say_what_was_meant() {
        assert_eq!(
            read("100,3"),
            Err(NumberFault::Comma {
                only: Some("100.3".into())
            })
        );
        assert_eq!(read("1,000"), Err(NumberFault::Comma { only: None }));
        assert_eq!(
            read("0,125"),
            Err(NumberFault::Comma {
                only: Some("0.125".into())
            })
        );
        assert_eq!(
            read("1O0"),
            Err(NumberFault::LookAlike {
                found: 'O',
                meant: "100".into()
            })
        );
        assert!(matches!(
            read("\u{2212}5"),
            Err(NumberFault::EditorCharacter { .. })
        ));
        assert_eq!(read("OL"), Err(NumberFault::BoundForm));
        for (text, meant) in [
            ("1 450", "1450"),
            ("1'450.5", "1450.5"),
            ("1\u{2019}450", "1450"),
            ("1.450,0", "1450.0"),
            ("1,450.0", "1450.0"),
            ("12,345,678", "12345678"),
            (">1 000", ">1000"),
            ("1 450,5", "1450.5"),
        ] {
            let meant = meant.to_owned();
            assert_eq!(read(text), Err(NumberFault::Thousands { meant }), "{text}");
        }
        for text in ["14 50", "1'45", "1,45,0", "145 kV"] {
            assert!(
                !matches!(read(text), Err(NumberFault::Thousands { .. })),
                "{text}"
            );
        }
        assert_eq!(read("1e999"), Err(NumberFault::NotANumber));
        for (text, fault) in [
            ("1e399", NumberFault::TooLarge),
            ("1.01e30", NumberFault::TooLarge),
            ("-1e308", NumberFault::TooLarge),
            ("1e-200", NumberFault::TooSmall),
            ("9.9e-31", NumberFault::TooSmall),
            ("-1e-400", NumberFault::TooSmall),
            // No exponent of a number at all.
            ("1e401", NumberFault::NotANumber),
            ("1e-2147483648", NumberFault::NotANumber),
            ("1e2147483647", NumberFault::NotANumber),
        ] {
            assert_eq!(read(text), Err(fault), "{text}");
        }
        for text in [
            "1e30", "-1e30", "1e-30", "0", "-0", "0.000", "0e-400", "0e400",
        ] {
            assert!(
                read(text).is_ok_and(|number| number.value.is_finite()),
                "{text}"
            );
        }
        assert_eq!(read("12..3"), Err(NumberFault::NotANumber));
        assert_eq!(read(""), Err(NumberFault::BoundForm));
    }
}
