//! Two written values: the same, finer, or another.

use super::{How, Size};
use crate::ground::quantity::Quantity;
use crate::ground::unit::{Dimension, Scale};
use crate::record::value::{At, Datum};

/// How a value differs from an earlier one; `None` where it is the same however it is written.
pub fn how(before: &Datum, after: &Datum, texts: [&str; 2]) -> Option<How> {
    let [one, other] = texts.map(bare);
    match (before, after) {
        (Datum::Quantity(one), Datum::Quantity(other)) => of_quantities(one, other),
        (Datum::At(one), Datum::At(other)) => {
            let each = [
                of_quantities(&one.value, &other.value),
                of_quantities(&one.at, &other.at),
            ];
            // Another value weighs more than another number of digits.
            let changed = each.contains(&Some(How::Changed));
            changed
                .then_some(How::Changed)
                .or(each.into_iter().flatten().next())
        }
        (Datum::Number(x), Datum::Number(y)) if x == y && one != other => {
            Some(finer(other.len() > one.len()))
        }
        (Datum::Choice(one), Datum::Choice(other)) => (one != other).then_some(How::Changed),
        (Datum::Ratio(_), Datum::Ratio(_)) | (Datum::Burden(_), Datum::Burden(_)) => {
            // Their units may be spelled in several ways.
            let same = format!("{before:?}") == format!("{after:?}") || one == other;
            (!same).then_some(How::Changed)
        }
        _ => (one != other).then_some(How::Changed),
    }
}

fn of_quantities(one: &Quantity, other: &Quantity) -> Option<How> {
    let same = one.si == other.si && one.bound == other.bound && one.half_width == other.half_width;
    match same {
        false => Some(How::Changed),
        // With another prefix zeros come and go that nobody read.
        true if one.unit.canonical != other.unit.canonical => None,
        true if one.resolution == other.resolution => None,
        true => Some(finer(other.resolution < one.resolution)),
    }
}

fn finer(is_finer: bool) -> How {
    match is_finer {
        true => How::WrittenFiner,
        false => How::WrittenCoarser,
    }
}

/// The quantity that a value is, or begins with.
pub fn quantity(datum: &Datum) -> Option<&Quantity> {
    match datum {
        Datum::Quantity(quantity)
        | Datum::At(At {
            value: quantity, ..
        }) => Some(quantity),
        _ => None,
    }
}

/// How far apart two quantities of one kind are; `u` is the expanded uncertainty of the later one, in SI.
pub fn size(before: &Quantity, after: &Quantity, u: Option<f64>) -> Option<Size> {
    if before.unit.dimension != after.unit.dimension || before.si == after.si {
        return None;
    }
    let per_si = match after.unit.scale {
        Scale::Decimal(shift) => libm::pow(10.0, f64::from(-shift)),
        Scale::Factor(factor) => 1.0 / factor,
        Scale::Fahrenheit => 1.8,
    };
    let change = exact(after.si - before.si);
    let is_scale = !matches!(
        before.unit.dimension,
        Dimension::Percent | Dimension::Temperature | Dimension::Angle
    );
    let is_share = is_scale && before.si != 0.0;
    Some(Size {
        change: exact(change * per_si),
        unit: after.unit.canonical.clone(),
        percent: is_share.then(|| 100.0 * change / before.si.abs()),
        expanded_uncertainty: u.map(|u| u * per_si),
    })
}

/// A difference of decimal numbers, without what binary ones leave of it: 2.88 less 2.87 is 0.01.
fn exact(x: f64) -> f64 {
    format!("{x:.11e}").parse().unwrap_or(x)
}

/// What a value is, whatever it is written as: rows are matched by it.
pub fn token(datum: &Datum, text: &str) -> String {
    match datum {
        Datum::Quantity(one) => format!("{:?} {} {:?}", one.si, one.resolution, one.bound),
        _ => bare(text),
    }
}

/// A text, its blanks one each.
pub fn bare(text: &str) -> String {
    let words = text.split([' ', '\t']).filter(|word| !word.is_empty());
    words.collect::<Vec<_>>().join(" ")
}
