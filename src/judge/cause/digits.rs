//! What may have been meant by a number that was written wrongly: its point, its unit, two of its digits, or the
//! number of the column beside it.

use crate::document::{Part, Phrase, Quantity, say};
use crate::ground::quantity::{Quantity as Measured, Reading};
use crate::ground::span::Given;

/// What a choice among so many costs, in natural logarithms: where the point went, which unit, which digits, which
/// columns. Conventions of this project.
const OF_A_POINT: f64 = 1.0;
const OF_A_PREFIX: f64 = 2.0;
pub(super) const OF_DIGITS: f64 = 2.0;
pub(super) const OF_COLUMNS: f64 = 0.5;

/// What may have been meant by a reading.
pub(super) struct Meant {
    /// In the unit of its cell.
    pub number: f64,
    pub cost: f64,
    pub how: &'static str,
    /// Two digits in each other's place: of any number some two do for nearly anything.
    pub is_digits: bool,
}

impl Meant {
    /// As a share of what was written.
    pub fn times(&self, cell: &Reading) -> f64 {
        self.number / cell.value.number
    }

    /// `decimal point in line 12: 27.5 V, where 2.75 V agrees with all the others`
    pub fn told(&self, cell: &Reading) -> Phrase {
        self.told_by(cell, "all the others")
    }

    /// The same where something else agrees.
    pub fn told_by(&self, cell: &Reading, by: &'static str) -> Phrase {
        say!(
            "{} in {}: {}, where {} agrees with {}",
            self.how,
            Part::Line(cell.span),
            Quantity::new(
                cell.value.written_number(),
                cell.value.unit.canonical.as_str()
            ),
            written(cell, self.number),
            by
        )
    }
}

/// A reading that is a number and no bound.
pub(super) fn exact(given: &Given<Measured>) -> Option<&Reading> {
    given.get().filter(|one| one.value.is_exact())
}

/// All that may have been meant by a reading.
pub(super) fn alternatives(cell: &Reading) -> Vec<Meant> {
    let number = cell.value.number;
    let of = |number, cost, how| Meant {
        number,
        cost,
        how,
        is_digits: false,
    };
    let points = [0.1, 10.0, 0.01, 100.0];
    let points = points.map(|times| of(number * times, OF_A_POINT, "decimal point"));
    let prefixes = [0.001, 1000.0].map(|times| of(number * times, OF_A_PREFIX, "unit"));
    let text = cell.value.written_number();
    let digits = exchanged(text.trim_start_matches('-')).into_iter();
    let digits = digits.map(|(_, size)| Meant {
        is_digits: true,
        ..of(size.copysign(number), OF_DIGITS, "two digits exchanged")
    });
    points.into_iter().chain(prefixes).chain(digits).collect()
}

/// Two readings with their numbers in each other's column, in SI units.
pub(super) fn in_each_others_column(one: &Reading, other: &Reading) -> (f64, f64) {
    let unit = |one: &Reading| one.value.si / one.value.number;
    (
        other.value.number * unit(one),
        one.value.number * unit(other),
    )
}

/// `2.75 V`, as its cell would have it.
pub(super) fn written(cell: &Reading, number: f64) -> Quantity {
    // No more digits than were typed.
    let number = libm::round(number * 1e9) / 1e9;
    Quantity::new(number.to_string(), cell.value.unit.canonical.as_str())
}

/// A number with two neighbouring digits in each other's place: each as text and as number, the number itself left out.
pub(super) fn exchanged(text: &str) -> Vec<(String, f64)> {
    let letters: Vec<char> = text.chars().collect();
    let places: Vec<usize> = letters
        .iter()
        .enumerate()
        .filter(|(_, letter)| letter.is_ascii_digit())
        .map(|(at, _)| at)
        .collect();
    let neighbours = places.iter().zip(places.iter().skip(1));
    let swapped = neighbours.filter_map(|(one, other)| {
        let mut letters = letters.clone();
        letters.swap(*one, *other);
        let new: String = letters.into_iter().collect();
        let value: f64 = new.parse().ok()?;
        (new != text && value > 0.0).then_some((new, value))
    });
    swapped.collect()
}

#[cfg(test)]
mod tests {
    #[test]
    fn neighbours_change_places_across_the_point() {
        let all = super::exchanged("2.410");
        let texts: Vec<&str> = all.iter().map(|(text, _)| text.as_str()).collect();
        assert_eq!(texts, ["4.210", "2.140", "2.401"]);
        assert!(super::exchanged("1.1").is_empty());
    }
}
