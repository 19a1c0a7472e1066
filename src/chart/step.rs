//! Round steps, round stops, and their numbers in words. Numbers are built from a whole number and
//! a power of ten, so no binary fraction ever shows in them.

use super::text::push_digits;

pub(super) const SLACK: f64 = 1e-9;

/// A step of 1, 2 or 5 times a power of ten.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    pub digit: i64,
    exponent: i32,
}

impl Step {
    /// The smallest step not below `wish`; steps stay within 1e-305 and 1e305.
    pub(super) fn at_least(wish: f64) -> Self {
        let log = libm::log10(wish.max(1e-305)).min(304.0);
        let stop = stop_above(log);
        let exponent = (stop + SLACK).floor();
        Self {
            digit: libm::exp10(stop - exponent).round() as i64,
            exponent: exponent as i32,
        }
    }

    pub(super) fn size(self) -> f64 {
        self.digit as f64 * libm::exp10(f64::from(self.exponent))
    }

    /// The smallest range on whole steps that holds `lo` and `hi`.
    pub(super) fn round_out(self, lo: f64, hi: f64) -> (f64, f64) {
        let size = self.size();
        let (first, last) = ((lo / size + SLACK).floor(), (hi / size - SLACK).ceil());
        (first * size, last * size)
    }

    /// So many steps.
    pub(super) fn times(self, count: i64) -> Decimal {
        Decimal {
            mantissa: count.saturating_mul(self.digit),
            exponent: self.exponent,
        }
    }
}

/// The largest 1, 2 or 5 times a power of ten not above the value, both as log10.
pub(super) fn stop_below(log: f64) -> f64 {
    let whole = log.floor();
    let stops = [5.0, 2.0].map(libm::log10);
    let stop = stops.into_iter().find(|stop| whole + stop <= log + SLACK);
    whole + stop.unwrap_or(0.0)
}

/// The smallest 1, 2 or 5 times a power of ten not below the value, both as log10.
pub(super) fn stop_above(log: f64) -> f64 {
    let whole = log.floor();
    let stops = [1.0, 2.0, 5.0].map(libm::log10);
    let stop = stops.into_iter().find(|stop| whole + stop >= log - SLACK);
    whole + stop.unwrap_or(1.0)
}

/// `mantissa` times ten to the `exponent`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Decimal {
    pub mantissa: i64,
    pub exponent: i32,
}

impl Decimal {
    /// Appends the number in plain decimals below a million and down to 0.00001, else as a product with
    /// a power of ten. The minus sign is U+2212.
    pub(super) fn push(self, text: &mut String) {
        let Self { mantissa, exponent } = self;
        if mantissa < 0 {
            text.push('\u{2212}');
        }
        let start = text.len();
        push_digits(text, mantissa.unsigned_abs());
        if mantissa == 0 {
            return;
        }
        // Digits before the decimal mark; below zero, zeros behind it.
        let size = (text.len() - start) as i32 + exponent;
        if size > 6 || exponent < -12 || size < -4 {
            raise(text, start, exponent);
        } else if size < 1 {
            let zeros = "0.0000".get(..(2 - size) as usize);
            text.insert_str(start, zeros.unwrap_or_default());
        } else if exponent < 0 {
            text.insert(start + size as usize, '.');
        } else {
            text.extend((0..exponent).map(|_| '0'));
        }
    }
}

/// Makes of the digits from `start` on a product with a power of ten.
fn raise(text: &mut String, start: usize, mut exponent: i32) {
    while text.len() > start + 1 && text.ends_with('0') {
        text.pop();
        exponent += 1;
    }
    match text.get(start..) {
        Some("1") => text.truncate(start),
        _ => text.push('·'),
    }
    text.push_str("10");
    text.extend(exponent.to_string().chars().map(raised));
}

fn raised(c: char) -> char {
    let place = "-0123456789".chars().position(|plain| plain == c);
    place
        .and_then(|at| "⁻⁰¹²³⁴⁵⁶⁷⁸⁹".chars().nth(at))
        .unwrap_or(c)
}
