//! Marks of places, relays and links: people write one mark as `F21`, `f21` and `F 21`. Whoever compares two of them
//! does it here.

use std::cmp::Ordering;

/// Whether two are one mark: letter case and blanks tell none from another.
#[must_use]
pub fn is_one(one: &str, other: &str) -> bool {
    one == other || order(one, other) == Ordering::Equal
}

/// An order in which one mark stands beside itself, however it is written.
#[must_use]
pub fn order(one: &str, other: &str) -> Ordering {
    letters(one).cmp(letters(other))
}

fn letters(text: &str) -> impl Iterator<Item = char> {
    let black = text.chars().filter(|letter| !letter.is_whitespace());
    black.flat_map(char::to_lowercase)
}

#[cfg(test)]
mod tests {
    use super::is_one;

    #[test]
    fn letter_case_and_blanks_tell_no_mark_from_another() {
        for (one, other, same) in [
            ("panel", "PANEL", true),
            ("F21", "F 21", true),
            ("terminal box", "Terminalbox ", true),
            ("X3 1-4", "X3 1-4", true),
            ("F21", "F2", false),
            ("F21", "F21N", false),
            ("X3 1-4", "X3 14", false),
        ] {
            assert_eq!(is_one(one, other), same, "{one}, {other}");
        }
    }
}
