//! Where a link may lead, and where it ends on a page that holds many.

use std::borrow::Cow;

/// The id of a page on the page that holds it with others, by its path. No id that is made of a heading
/// has two hyphens in a row, so that none can be taken for it.
pub fn page_id(path: &str) -> String {
    let path = path.trim_start_matches("../").replace('/', "--");
    format!("page--{path}")
}

/// The target as it may stand in the page; `None` when it may not. A target within the page gets
/// the prefix of the page's part.
pub(super) fn allowed<'t>(target: &'t str, prefix: &str) -> Option<Cow<'t, str>> {
    if let Some(anchor) = target.strip_prefix('#') {
        return Some(format!("#{prefix}{anchor}").into());
    }
    // A browser takes a backslash for a slash and passes over control characters and blanks in front.
    let odd = target.chars().any(|c| c.is_control() || c == '\\') || target.starts_with(' ');
    if odd || target.starts_with("//") {
        return None;
    }
    let front = target.split(['/', '?', '#']).next().unwrap_or("");
    let Some((scheme, _)) = front.split_once(':') else {
        return Some(target.into());
    };
    let known = ["http", "https", "mailto"]
        .iter()
        .any(|known| scheme.eq_ignore_ascii_case(known));
    known.then(|| target.into())
}
