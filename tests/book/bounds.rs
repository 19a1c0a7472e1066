//! The table of bounds names those of the program.

use super::page;
use kneemark::cli::lsp::LONGEST_MESSAGE;
use kneemark::document::template::{DEEPEST, MOST_BYTES, MOST_TAGS, MOST_TIMES, MOST_WORDS};
use kneemark::ground::shelf::MOST_SHELVES;
use kneemark::ground::source::{MAX_BYTES, MAX_LINES};
use kneemark::job::MOST_SISTERS;
use kneemark::pack::{LONGEST_PATTERN, MOST_PATTERNS, MOST_STARS};
use kneemark::record::like::MOST_LENDERS;

/// 4194304 as 4,194,304.
fn grouped(number: usize) -> String {
    let digits = number.to_string();
    let group = |(at, digit): (usize, char)| {
        let ends = at > 0 && (digits.len() - at).is_multiple_of(3);
        ends.then_some(',').into_iter().chain([digit])
    };
    digits.chars().enumerate().flat_map(group).collect()
}

#[test]
fn the_table_names_the_bounds_of_the_program() {
    let text = std::fs::read_to_string(page("bounds.md")).unwrap();
    for (what, bounds) in [
        (
            "a record or a configuration file",
            vec![MAX_BYTES, MAX_LINES],
        ),
        (
            "records that a plate comes through by `like:`",
            vec![MOST_LENDERS],
        ),
        ("a message to `lsp`", vec![LONGEST_MESSAGE]),
        ("sisters that a CT is held against", vec![MOST_SISTERS]),
        (
            "packs whose parts are put by for their next build",
            vec![MOST_SHELVES],
        ),
        ("patterns in `records`", vec![MOST_PATTERNS]),
        ("one pattern", vec![LONGEST_PATTERN, MOST_STARS]),
        ("a template", vec![MOST_BYTES, MOST_TAGS]),
        ("conditions within each other", vec![DEEPEST]),
        ("words of a condition", vec![MOST_WORDS]),
        ("how often a template puts one value", vec![MOST_TIMES]),
    ] {
        let row = text
            .lines()
            .find(|line| line.starts_with(&format!("| {what} |")));
        let row = row.unwrap_or_else(|| panic!("no row {what}"));
        for bound in bounds {
            let bound = grouped(bound);
            let mut words = row.split([' ', '|']).map(|word| word.trim_end_matches(','));
            assert!(words.any(|word| word == bound), "{bound} in {row}");
        }
    }
}
