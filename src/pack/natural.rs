//! The order that people expect of names with numbers in them: L1, L2, L10.

use alphanumeric_sort::compare_str;
use std::cmp::Ordering;

/// Compares runs of digits by their number and everything else by its letters, whatever their case;
/// of names that read equal so the one with fewer zeros (`7`, `07`), then its text, comes first, so
/// that the order is total.
pub fn compare(a: &str, b: &str) -> Ordering {
    compare_str(a.to_lowercase(), b.to_lowercase()).then_with(|| a.cmp(b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_count_as_numbers() {
        let mut names = vec![
            "L10",
            "L2",
            "L1",
            "l3",
            "H12 line side",
            "H7",
            "H07",
            "",
            "99999999999999999999999",
            "1e9",
        ];
        names.sort_by(|a, b| compare(a, b));
        assert_eq!(
            names,
            [
                "",
                "1e9",
                "99999999999999999999999",
                "H7",
                "H07",
                "H12 line side",
                "L1",
                "L2",
                "l3",
                "L10"
            ]
        );
    }
}
