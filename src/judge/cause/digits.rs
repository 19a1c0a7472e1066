//! What a number would be with two neighbouring digits in each other's place.

/// Each as text and as number, the number itself left out.
pub(super) fn exchanged(text: &str) -> Vec<(String, f64)> {
    let letters: Vec<char> = text.chars().collect();
    let places: Vec<usize> = letters
        .iter()
        .enumerate()
        .filter(|(_, letter)| letter.is_ascii_digit())
        .map(|(at, _)| at)
        .collect();
    let neighbours = places.iter().zip(places.iter().skip(1));
    let swapped = neighbours.filter_map(|(one, other)| {
        let mut letters = letters.clone();
        letters.swap(*one, *other);
        let new: String = letters.into_iter().collect();
        let value: f64 = new.parse().ok()?;
        (new != text && value > 0.0).then_some((new, value))
    });
    swapped.collect()
}

#[cfg(test)]
mod tests {
    #[test]
    fn neighbours_change_places_across_the_point() {
        let all = super::exchanged("2.410");
        let texts: Vec<&str> = all.iter().map(|(text, _)| text.as_str()).collect();
        assert_eq!(texts, ["4.210", "2.140", "2.401"]);
        assert!(super::exchanged("1.1").is_empty());
    }
}
