//! Text of others made calm: nothing in it can steer a terminal, turn the direction of writing, or
//! break out of a page. Every page, style sheet, drawing and message takes such text through here.

use std::borrow::Cow;

/// Whether a character turns the direction of writing.
pub fn turns(c: char) -> bool {
    matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Whether a character ends a line or moves a cursor.
fn breaks(c: char) -> bool {
    c.is_control() || matches!(c, '\u{2028}' | '\u{2029}')
}

/// Whether a character does more than show itself.
pub fn steers(c: char) -> bool {
    breaks(c) || turns(c)
}

/// The text on one line: line ends and control characters become blanks; what turns the direction of
/// writing, byte-order marks and what no XML holds (U+FFFE, U+FFFF) are dropped.
pub fn calm(text: &str) -> Cow<'_, str> {
    if text.bytes().all(|byte| (b' '..=b'~').contains(&byte)) {
        return Cow::Borrowed(text);
    }
    let kept = |c: char| match c {
        ' '..='~' => Some(c),
        c if breaks(c) => Some(' '),
        '\u{feff}' | '\u{fffe}' | '\u{ffff}' => None,
        c => (!turns(c)).then_some(c),
    };
    if text.chars().all(|c| kept(c) == Some(c)) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.chars().filter_map(kept).collect())
}

/// Calm text for elements and quoted attributes of HTML and SVG.
pub fn escape_html(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    put_html(text, &mut out);
    out
}

/// The same, put behind what is there.
pub fn put_html(text: &str, out: &mut String) {
    // Writing to a string cannot fail.
    let _ = pulldown_cmark_escape::escape_html(out, &calm(text));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_steers_and_nothing_breaks_out() {
        let text = "a\u{202e}b\u{2066}\n\u{1b}[c\u{2028}<d \"&\">\u{feff}\u{61c}e";
        assert!(calm(text).chars().all(|c| !steers(c)));
        assert_eq!(calm(text), "ab  [c <d \"&\">e");
        assert_eq!(escape_html(text), "ab  [c &lt;d &quot;&amp;&quot;&gt;e");
    }
}
