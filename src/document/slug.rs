//! Names that are safe in files and addresses.

/// Longest name, in letters.
const LONGEST: usize = 60;

/// A text as small letters, digits and single hyphens; two texts may give one name, and some give
/// an empty one.
pub fn slug(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        if c.is_ascii_alphanumeric() {
            out.push(c.to_ascii_lowercase());
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    out.truncate(LONGEST);
    let kept = out.trim_end_matches('-').len();
    out.truncate(kept);
    out
}

/// The same, with a name for texts that give none.
pub fn slug_or(text: &str, none: &str) -> String {
    Some(slug(text))
        .filter(|name| !name.is_empty())
        .unwrap_or_else(|| none.to_owned())
}

/// The name if it is free, else the first free one with a number behind it, from `first` on.
pub fn free(wanted: &str, first: usize, is_taken: impl Fn(&str) -> bool) -> String {
    let numbered = (first..).map(|n| format!("{wanted}-{n}"));
    let mut names = std::iter::once(wanted.to_owned()).chain(numbered);
    names.find(|name| !is_taken(name)).unwrap_or_default()
}
