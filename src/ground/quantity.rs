//! A number with its unit: an observation that keeps how finely it was read.

use super::number::{Bound, Number};
use super::span::Located;
use super::unit::{Scale, UnitWord};

/// A value in the coherent SI unit of its dimension (radian for angles, degree Celsius for
/// temperatures, per cent for percentages), with the way it was written.
#[derive(Clone, Copy, Debug)]
pub struct Quantity {
    pub si: f64,
    /// Weight of the last written digit, in the same unit as `si`.
    pub resolution: f64,
    pub bound: Bound,
    pub unit: &'static UnitWord,
    /// Digits after the point, as written.
    pub decimals: u8,
    /// The number as written, before its unit was applied.
    pub number: f64,
    /// A stated half-width (`18.5 +- 1 C`), same unit as `si`.
    pub half_width: Option<f64>,
}

/// A quantity and where it was written.
pub type Reading = Located<Quantity>;

impl Quantity {
    /// Applies a unit to a number. Decimal prefixes move the point in the text.
    pub fn new(number: &Number<'_>, unit: &'static UnitWord) -> Self {
        let (si, resolution) = match unit.scale {
            Scale::Decimal(shift) => (number.scaled(shift), number.last_digit(shift)),
            Scale::Factor(factor) => (number.value * factor, number.last_digit(0) * factor),
            Scale::Fahrenheit => ((number.value - 32.0) / 1.8, number.last_digit(0) / 1.8),
        };
        Self {
            si,
            resolution,
            bound: number.bound,
            unit,
            decimals: number.decimals,
            number: number.value,
            half_width: None,
        }
    }

    /// Whether it is a value and not only a bound.
    pub fn is_exact(&self) -> bool {
        self.bound == Bound::Exact
    }

    /// The number as it was written, without its unit.
    pub fn written_number(&self) -> String {
        let sign = match self.bound {
            Bound::Exact => "",
            Bound::MoreThan => ">",
            Bound::LessThan => "<",
        };
        format!("{sign}{:.*}", usize::from(self.decimals), self.number)
    }

    /// Number and unit as written, the unit in its plain spelling.
    pub fn written(&self) -> String {
        let width = self.written_half_width();
        let width = width.map_or_else(String::new, |width| format!(" ± {width}"));
        format!("{}{width} {}", self.written_number(), self.unit.canonical)
    }

    /// The stated half-width in the unit that was written.
    pub fn written_half_width(&self) -> Option<String> {
        let scale = match self.unit.scale {
            Scale::Decimal(shift) => libm::pow(10.0, f64::from(shift)),
            Scale::Factor(factor) => factor,
            Scale::Fahrenheit => 1.0 / 1.8,
        };
        let text = format!("{:.3}", self.half_width? / scale);
        Some(text.trim_end_matches('0').trim_end_matches('.').to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::super::unit::{Dimension, known};
    use super::*;
    use crate::ground::number;

    fn quantity(text: &str, word: &str, dimension: Dimension) -> Quantity {
        Quantity::new(
            &number::read(text).unwrap(),
            known(word, dimension).unwrap(),
        )
    }

    #[test]
    fn units_are_applied_and_digits_kept() {
        let q = quantity("2.870", "mV", Dimension::Voltage);
        assert_eq!(
            (q.si, q.resolution, q.written().as_str()),
            (0.002_87, 1e-6, "2.870 mV")
        );
        let q = quantity("48", "degF", Dimension::Temperature);
        assert!((q.si - 8.888_888_888).abs() < 1e-6);
        let q = quantity(">200", "Gohm", Dimension::Resistance);
        assert_eq!((q.si, q.written().as_str()), (2e11, ">200 Gohm"));
    }

    proptest::proptest! {
        #[test]
        fn another_prefix_is_the_same_value(whole in 0u32..100_000, decimals in 0usize..5) {
            let milli = format!("{:.*}", decimals, f64::from(whole) / 7.0);
            let (a, b) = (quantity(&milli, "mA", Dimension::Current), quantity(&format!("{milli}e-3"), "A", Dimension::Current));
            proptest::prop_assert_eq!(a.si.to_bits(), b.si.to_bits());
        }
    }
}
