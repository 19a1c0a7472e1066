//! Values with their units by the one spelling that each has: `25kA` is `25 kA`, `Ω` is `ohm`, a minute of angle `arcmin`.

use crate::ground::number;
use crate::ground::unit::{Dimension, UnitWord, known};
use crate::record::schema::Kind;

/// The value of a key, a blank between its words. What holds no unit comes back as it is.
pub fn value(text: &str, kind: Kind) -> String {
    let Some(dimensions) = dimensions(kind) else {
        return text.to_owned();
    };
    let words = text.split([' ', '\t']).filter(|word| !word.is_empty());
    let words = words.map(
        |word| match (unit(word, &dimensions), glued(word, &dimensions)) {
            (Some(unit), _) => unit.canonical.clone(),
            (None, Some((number, unit))) => format!("{number} {}", unit.canonical),
            (None, None) => word.to_owned(),
        },
    );
    words.collect::<Vec<_>>().join(" ")
}

/// `voltage/V`, as a heading has it.
pub fn heading(cell: &str, kind: Kind) -> String {
    let parted = || {
        let (word, written) = cell.split_once('/')?;
        let unit = unit(written, &dimensions(kind)?)?;
        Some(format!("{word}/{}", unit.canonical))
    };
    parted().unwrap_or_else(|| cell.to_owned())
}

fn dimensions(kind: Kind) -> Option<Vec<Dimension>> {
    match kind {
        Kind::Quantity(one) => Some(vec![one]),
        Kind::Either(one, other) | Kind::QuantityAt(one, other) => Some(vec![one, other]),
        Kind::Burden => Some(vec![Dimension::ApparentPower, Dimension::Resistance]),
        Kind::Ratio => Some(vec![Dimension::Current]),
        Kind::Text
        | Kind::Number
        | Kind::Count
        | Kind::Pair
        | Kind::Terminals
        | Kind::Class
        | Kind::Between
        | Kind::Choice(_)
        | Kind::Core
        | Kind::Moment => None,
    }
}

fn unit(word: &str, dimensions: &[Dimension]) -> Option<&'static UnitWord> {
    dimensions
        .iter()
        .find_map(|dimension| known(word, *dimension))
}

/// A number with its unit behind it and no blank between.
fn glued<'t>(word: &'t str, dimensions: &[Dimension]) -> Option<(&'t str, &'static UnitWord)> {
    let ends = word.char_indices().map(|(at, _)| at).skip(1);
    let parts = ends.filter_map(|at| word.split_at_checked(at));
    let mut read = parts.filter(|(number, _)| number::read(number).is_ok());
    read.find_map(|(number, rest)| Some((number, unit(rest, dimensions)?)))
}
