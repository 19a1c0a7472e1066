//! The order that people expect of names with numbers in them: L1, L2, L10.

use std::cmp::Ordering;

/// Compares runs of digits by their number and everything else by its characters; names that read
/// equal so (`7`, `07`) are settled by their text, so that the order is total.
pub fn compare(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (pieces(a), pieces(b));
    loop {
        let order = match (left.next(), right.next()) {
            (None, None) => return a.cmp(b),
            (None, Some(_)) => return Ordering::Less,
            (Some(_), None) => return Ordering::Greater,
            (Some(x), Some(y)) => piece(x, y),
        };
        if order != Ordering::Equal {
            return order;
        }
    }
}

fn piece(x: &str, y: &str) -> Ordering {
    let number = |text: &str| text.starts_with(|c: char| c.is_ascii_digit());
    if number(x) && number(y) {
        let (x, y) = (x.trim_start_matches('0'), y.trim_start_matches('0'));
        // Without leading zeros the longer number is the larger one, however many digits it has.
        return x.len().cmp(&y.len()).then_with(|| x.cmp(y));
    }
    x.to_lowercase().cmp(&y.to_lowercase())
}

/// Runs of digits and runs of anything else.
fn pieces(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let digits = rest.chars().next()?.is_ascii_digit();
        let end = rest
            .find(|c: char| c.is_ascii_digit() != digits)
            .unwrap_or(rest.len());
        let (piece, after) = rest.split_at(end);
        rest = after;
        Some(piece)
    })
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
                "H07",
                "H7",
                "H12 line side",
                "L1",
                "L2",
                "l3",
                "L10"
            ]
        );
    }
}
