//! Codes of the Unified Code for Units of Measure (UCUM, its case-sensitive form), for programs that know no words
//! of ours. `tests/archive/ucum.mjs` holds the list against an independent library.

use super::unit::{Dimension, UnitWord, all};

/// Unit words whose code is not prefix and base put together, each with its dimension: `C` is a degree Celsius to us,
/// and what charges are kept in.
const OWN: &[(&str, Dimension, &str)] = &[
    ("arcmin", Dimension::Angle, "'"),
    ("C", Dimension::Temperature, "Cel"),
    ("degF", Dimension::Temperature, "[degF]"),
    ("ppm", Dimension::Percent, "[ppm]"),
    ("ft", Dimension::Length, "[ft_i]"),
];

/// Bases whose code is another word.
const BASES: &[(&str, &str)] = &[("ohm", "Ohm"), ("VA", "V.A")];

/// The code of a unit.
#[must_use]
pub fn of(unit: &UnitWord) -> String {
    code(&unit.canonical, unit.dimension)
}

/// The code of the unit that values of a dimension are kept in.
#[must_use]
pub fn si(dimension: Dimension) -> String {
    code(dimension.si(), dimension)
}

/// The codes of a unit by its plain word, and of what values in it are kept in; `1` for a number alone. `None` where
/// no unit is called so.
#[must_use]
pub fn by_word(word: &str) -> Option<(String, String)> {
    if word.is_empty() {
        return Some(("1".to_owned(), "1".to_owned()));
    }
    let unit = all().iter().find(|unit| unit.canonical == word)?;
    Some((of(unit), si(unit.dimension)))
}

fn code(word: &str, dimension: Dimension) -> String {
    let own = OWN
        .iter()
        .find(|(own, of, _)| *own == word && *of == dimension);
    if let Some((.., code)) = own {
        return (*code).to_owned();
    }
    // A part for each side of a stroke: `mohm/m`.
    let part = |part: &str| {
        let base = BASES.iter().find(|(base, _)| part.ends_with(base));
        match base {
            Some((base, code)) => part.strip_suffix(base).unwrap_or("").to_owned() + code,
            None => part.to_owned(),
        }
    };
    word.split('/').map(part).collect::<Vec<_>>().join("/")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_have_the_codes_that_the_standard_gives_them() {
        let code = |word| by_word(word).expect("a unit").0;
        let of = [
            ("kV", "kV"),
            ("mohm", "mOhm"),
            ("Gohm", "GOhm"),
            ("VA", "V.A"),
            ("kVA", "kV.A"),
            ("arcmin", "'"),
            ("crad", "crad"),
            ("C", "Cel"),
            ("ohm/km", "Ohm/km"),
            ("mohm/m", "mOhm/m"),
            ("pC", "pC"),
            ("pF", "pF"),
            ("uF", "uF"),
            ("ft", "[ft_i]"),
            ("min", "min"),
            ("", "1"),
        ];
        for (word, known) in of {
            assert_eq!(code(word), known, "{word}");
        }
        assert_eq!(
            (si(Dimension::Charge), si(Dimension::Temperature)),
            ("C".into(), "Cel".into())
        );
    }
}
