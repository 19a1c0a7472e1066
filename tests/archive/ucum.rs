//! The code of each unit: `ucum.csv` has them all, and `ucum.mjs` holds that file to an independent library.

use kneemark::ground::ucum;
use kneemark::ground::unit::{Scale, all};
use kneemark::judge::finding::unit as shown;
use std::collections::BTreeSet;
use std::path::Path;

/// Each unit with its code, that of the unit its values are kept in, and how many of these it is.
fn list() -> String {
    let lines = all().iter().map(|unit| {
        let factor = match unit.scale {
            Scale::Decimal(power) => format!("1e{power}"),
            Scale::Factor(factor) => format!("{factor:e}"),
            // Not by a factor alone.
            Scale::Fahrenheit => String::new(),
        };
        let (code, si) = (ucum::of(unit), ucum::si(unit.dimension));
        format!("{},{code},{si},{factor}\n", unit.canonical)
    });
    let lines: BTreeSet<String> = lines.collect();
    "unit,code,kept in,factor\n".to_owned() + &lines.into_iter().collect::<String>()
}

#[test]
fn the_list_of_codes_is_that_of_the_units() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/archive/ucum.csv");
    if std::env::var_os("UCUM_REFRESH").is_some() && std::env::var_os("CI").is_none() {
        std::fs::write(&path, list()).expect("written");
    }
    let kept = std::fs::read_to_string(path).unwrap_or_default();
    assert!(
        kept == list(),
        "tests/archive/ucum.csv is stale: UCUM_REFRESH=1 cargo test archive"
    );
}

#[test]
fn what_findings_are_shown_in_has_a_code() {
    for unit in [
        shown::VOLT,
        shown::MILLIVOLT,
        shown::AMPERE,
        shown::MILLIAMPERE,
        shown::OHM,
        shown::MILLIOHM,
        shown::MEGOHM,
        shown::GIGAOHM,
        shown::PERCENT,
        shown::MINUTE_OF_ARC,
        shown::CENTIRADIAN,
        shown::DEGREE,
        shown::VOLT_AMPERE,
        shown::SECOND,
        shown::MILLISECOND,
        shown::HERTZ,
        shown::PICOCOULOMB,
        shown::ONE,
    ] {
        assert!(ucum::by_word(unit.word).is_some(), "{}", unit.word);
    }
    assert_eq!(ucum::by_word("furlong"), None);
}
