//! Very long files of one kind of line: each is refused or answered, and the run ends.

use super::is_checked;
use kneemark::ground::source::{MAX_BYTES, MAX_LINES};

const HEAD: &str = "format: 1\n[ct]\nid: A\n[core S]\nratio: 600/1 A\n[visit 2026-03-14]\n";

#[test]
fn four_megabytes_of_brackets_are_refused() {
    is_checked("[\n".repeat(MAX_BYTES / 2).as_bytes());
}

#[test]
fn one_line_of_four_megabytes_is_answered() {
    is_checked("x".repeat(MAX_BYTES).as_bytes());
    is_checked(format!("{HEAD}note: {}\n", "é".repeat(MAX_BYTES / 4)).as_bytes());
    is_checked(format!("{HEAD}{}\n", "[".repeat(MAX_BYTES / 2)).as_bytes());
}

/// Enough lines that anything comparing each with each would be noticed; more are let in, and one
/// kind is tried with as many as that.
const CROWD: usize = 5_000;

#[test]
fn a_crowd_of_lines_is_answered() {
    let many = |line: &dyn Fn(usize) -> String, lines: usize| {
        let body: String = (0..lines).map(line).collect();
        is_checked(format!("{HEAD}{body}").as_bytes());
    };
    many(&|_| "what is this\n\n".to_owned(), (MAX_LINES - 20) / 2);
    many(&|_| "[x]\n".to_owned(), CROWD);
    many(&|n| format!("action: A{n} look again\n"), CROWD);
    many(&|n| format!("nonsense{n}: 1\n"), CROWD);
    many(&|_| "[excitation S1-S2]\n".to_owned(), CROWD);
    many(&|n| format!("[ratio S1-S2]\nburden: {n} VA\n"), CROWD / 2);
}

#[test]
fn a_crowd_of_cores_taps_and_visits_is_answered() {
    let lines = CROWD;
    let cores: String = (0..lines / 2)
        .map(|n| format!("[core C{n}]\nratio: 600/1 A\n"))
        .collect();
    is_checked(
        format!("format: 1\n[ct]\nid: A\n{cores}[visit 2026-03-14]\npurpose: maintenance\n")
            .as_bytes(),
    );
    let marks: String = (0..CROWD).map(|n| format!(" M{n}")).collect();
    let taps: String = (0..lines)
        .map(|n| format!("M0-M{n}  {}/1\n", n + 1))
        .collect();
    is_checked(
        format!("format: 1\n[ct]\nid: A\n[core S]\nmarks:{marks}\ntap  ratio/A\n{taps}").as_bytes(),
    );
    let visits: String = (0..lines)
        .map(|n| format!("[visit {:04}-01-01]\n", 1 + n % 9000))
        .collect();
    is_checked(format!("{HEAD}{visits}").as_bytes());
}
