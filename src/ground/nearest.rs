//! The nearest known word, for "did you mean".

/// Longest text that can be a slip of a known word, in bytes.
const LONGEST: usize = 60;

/// The candidate closest to `word`, when it is close enough to be a slip of the fingers.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // No known word is nearly as long; comparing would take its time for nothing.
    if word.len() > LONGEST {
        return None;
    }
    let lower = word.to_lowercase();
    let allowed = match lower.chars().count() {
        0..=3 => 1,
        4..=5 => 2,
        _ => 3,
    };
    let mut best: Option<(usize, &'a str)> = None;
    for candidate in candidates {
        let distance = strsim::damerau_levenshtein(&lower, &candidate.to_lowercase());
        let close = distance <= allowed && distance < candidate.chars().count();
        if close && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, word)| word)
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn finds_slips_and_refuses_strangers() {
        let words = ["burden", "ratio", "resistance", "excitation"];
        assert_eq!(nearest("exitation", words), Some("excitation"));
        assert_eq!(nearest("Ratio", words), Some("ratio"));
        assert_eq!(nearest("weather", words), None);
        // Two slips in three letters leave too little of a word.
        assert_eq!(nearest("bei", ["bay", "bil"]), None);
    }
}
