//! Packs that are not made: one clear message, and nothing to write.

use super::{ONE_BAY, bay, codes, made};
use kneemark::ground::seam::Memory;
use kneemark::pack::build::NoPack;

fn none(pack: &str) -> NoPack {
    match made(&bay("h07", pack)) {
        Err(none) => none,
        Ok(built) => panic!("{} files were made", built.files.len()),
    }
}

#[test]
fn no_pack_toml() {
    let Err(none) = made(&Memory::default()) else {
        panic!("made out of nothing")
    };
    assert_eq!(codes(&none), ["file-unreadable"]);
}

#[test]
fn a_toml_error_names_its_line() {
    let none = none("records = [\"**/*.ctr\"]\n[report]\nnumber = = 3\n");
    assert_eq!(codes(&none), ["config-unreadable"]);
    assert_eq!(
        none.0[0].source.line(none.0[0].diagnostics[0].span.start),
        3
    );
}

#[test]
fn an_unknown_key_is_told() {
    let none = none("records = [\"**/*.ctr\"]\n[report]\nnummer = \"3\"\n");
    assert!(
        none.0[0].diagnostics[0].title.contains("nummer"),
        "{:?}",
        none.0[0].diagnostics
    );
}

#[test]
fn no_match_no_pack() {
    assert_eq!(
        codes(&none("records = [\"elsewhere/*.ctr\"]\n")),
        ["pack-empty"]
    );
    assert_eq!(codes(&none("records = []\n")), ["config-unreadable"]);
    assert_eq!(
        codes(&none("[report]\nnumber = \"3\"\n")),
        ["config-unreadable"]
    );
}

#[test]
fn one_pattern_without_a_match_is_told_and_the_rest_is_made() {
    let pack = ONE_BAY.replace(
        "[\"skerrow/**/*.ctr\"]",
        "[\"skerrow/**/*.ctr\", \"skerow/h99/*.ctr\"]",
    );
    let Ok(built) = made(&bay("h07", &pack)) else {
        panic!("nothing was made")
    };
    let told: Vec<&str> = built
        .others
        .iter()
        .flat_map(|told| &told.diagnostics)
        .map(|one| one.code.name())
        .collect();
    assert_eq!((told, built.cards.len()), (vec!["pack-empty"], 3));
}

#[test]
fn patterns_stay_below_the_pack() {
    for outward in [
        "../other/*.ctr",
        "/job/**/*.ctr",
        "skerrow/../../x.ctr",
        "C:/x/*.ctr",
        "skerrow\\\\h07\\\\*.ctr",
        "",
    ] {
        let none = none(&format!("records = [\"{outward}\"]\n"));
        assert_eq!(codes(&none), ["config-unreadable"], "{outward}");
        assert!(
            none.0[0].diagnostics[0].title.contains("outside"),
            "{outward}: {}",
            none.0[0].diagnostics[0].title
        );
    }
}

#[test]
fn a_star_stays_in_its_folder() {
    let files = bay("h07", &ONE_BAY.replace("skerrow/**/*.ctr", "skerrow/*.ctr"));
    let Err(none) = made(&files) else {
        panic!("`*` went into a folder")
    };
    assert_eq!(codes(&none), ["pack-empty"]);
}

#[test]
fn a_pattern_that_is_none() {
    assert!(
        none("records = [\"[a\"]\n").0[0].diagnostics[0]
            .title
            .contains("cannot be read")
    );
}

/// Each bound of a pattern: at it, and one beyond.
#[test]
fn patterns_have_bounds() {
    let told = |records: &str| {
        let pack = ONE_BAY.replace("[\"skerrow/**/*.ctr\"]", records);
        let others = match made(&bay("h07", &pack)) {
            Ok(built) => built.others,
            Err(none) => none.0,
        };
        let told = others.iter().flat_map(|told| &told.diagnostics);
        told.map(|one| one.title.clone()).collect::<Vec<_>>()
    };
    let one = |pattern: &str| told(&format!("[\"skerrow/**/*.ctr\", \"{pattern}\"]"));
    let bound = "a pattern has 1000 bytes and 16 stars at most";
    let none = |pattern: &str| format!("the pattern `{pattern}` matches no record");
    for (at, beyond) in [
        ("x".repeat(1000), "x".repeat(1001)),
        ("*a".repeat(16), "*a".repeat(17)),
        ("**/".repeat(16) + "none", "**/".repeat(17) + "none"),
    ] {
        assert_eq!(one(&at), [none(&at)]);
        assert_eq!(one(&beyond), [bound]);
    }
    // A run of stars is one, and no pattern.
    assert!(one(&"*".repeat(1000))[0].contains("cannot be read"));
    assert_eq!(one(&"*".repeat(100_000)), [bound]);
    let many = |count: usize| {
        let all = vec!["\"skerrow/h07/*.ctr\""; count].join(",");
        told(&format!("[{all}]"))
    };
    assert_eq!(many(1000), [""; 0]);
    assert_eq!(
        many(1001),
        ["1001 patterns; a pack takes 1000, and the rest is not read"]
    );
}

/// What matching costs: many stars against a long name that fits but for its end.
#[test]
fn stars_do_not_run_away() {
    let files = bay(
        "h07",
        &ONE_BAY.replace("skerrow/**/*.ctr", &("*a".repeat(15) + "b*.ctr")),
    );
    for at in 0..20 {
        files.put(format!("job/{}{at}.ctr", "a".repeat(230)), "format: 1\n");
    }
    let Err(none) = made(&files) else {
        panic!("made")
    };
    assert_eq!(codes(&none), ["pack-empty"]);
}
