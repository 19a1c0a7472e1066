//! The nearest known word, for "did you mean".

/// Longest text that can be a slip of a known word, in bytes.
const LONGEST: usize = 60;

/// Shortest beginning that stands for a whole word, in letters.
const BEGINNING: usize = 3;

/// The one candidate that begins with `word`; else the closest to it, when it is close enough to be a slip of the
/// fingers: a third of the letters at most, and three.
pub fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // No known word is nearly as long; comparing would take its time for nothing.
    if word.len() > LONGEST {
        return None;
    }
    let lower = word.to_lowercase();
    let letters = lower.chars().count();
    let allowed = (letters / 3).clamp(1, 3);
    let mut best: Option<(usize, &'a str)> = None;
    let mut begins: Vec<&'a str> = Vec::new();
    for candidate in candidates {
        let known = candidate.to_lowercase();
        if known.starts_with(&lower) && !begins.contains(&candidate) {
            begins.push(candidate);
        }
        let distance = strsim::damerau_levenshtein(&lower, &known);
        let close = distance <= allowed && distance < candidate.chars().count();
        if close && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, candidate));
        }
    }
    match begins.as_slice() {
        [whole] if letters >= BEGINNING => Some(whole),
        _ => best.map(|(_, word)| word),
    }
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
        // A word that is begun is that word, however much of it is left out.
        assert_eq!(nearest("resist", words), Some("resistance"));
        let purposes = ["investigation", "inspection", "maintenance", "fat", "sat"];
        assert_eq!(nearest("invest", purposes), Some("investigation"));
        assert_eq!(nearest("in", purposes), None);
        // What has little in common is a guess.
        assert_eq!(nearest("fest", ["test run", "fat", "rated"]), None);
        // Two slips in three letters leave too little of a word.
        assert_eq!(nearest("bei", ["bay", "bil"]), None);
    }
}
