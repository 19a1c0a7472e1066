//! Where a link may lead.

/// The target as it may stand in the page; `None` when it may not. A target within the page gets
/// the prefix of the page's part.
pub(super) fn allowed(target: &str, prefix: &str) -> Option<String> {
    if let Some(anchor) = target.strip_prefix('#') {
        return Some(format!("#{prefix}{anchor}"));
    }
    // A browser takes a backslash for a slash and passes over control characters and blanks in front.
    let odd = target.chars().any(|c| c.is_control() || c == '\\') || target.starts_with(' ');
    if odd || target.starts_with("//") {
        return None;
    }
    let front = target.split(['/', '?', '#']).next().unwrap_or("");
    let Some((scheme, _)) = front.split_once(':') else {
        return Some(target.to_owned());
    };
    let known = ["http", "https", "mailto"]
        .iter()
        .any(|known| scheme.eq_ignore_ascii_case(known));
    known.then(|| target.to_owned())
}

/// Whether a picture may be shown: only one that lies beside the page, since nothing is fetched.
pub(super) fn is_beside(target: &str) -> bool {
    allowed(target, "").is_some()
        && !target
            .split(['/', '?', '#'])
            .next()
            .unwrap_or("")
            .contains(':')
}

/// Text for element content and quoted attributes.
pub(super) fn escape_html(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}
