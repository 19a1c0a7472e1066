//! Page numbers in the contents of a page that is printed. A browser cannot say on which page an anchor
//! lies before it has printed, so a link of the contents carries its number as an attribute, which a rule
//! of the style shows.

use std::collections::BTreeMap;

/// The chapter whose links are numbered.
const CHAPTER: &str = "<section class=\"contents\"";
const ATTRIBUTE: &str = " data-page=\"";
/// Room for a number is kept before it is known, so that filling it in moves nothing.
const STYLE: &str = "<style>@media print{a[data-page]::after{content:\"p. \" attr(data-page);\
display:inline-block;min-width:3.1em;padding-left:.5em;font-weight:400;font-variant-numeric:tabular-nums}}</style>\n</head>";

/// The page with room for a number at each link of its contents.
pub fn prepared(page: &str) -> String {
    let Some((before, chapter, behind)) = chapter(page) else {
        return page.to_owned();
    };
    let chapter = chapter.replace("<a href=\"#", &format!("<a{ATTRIBUTE}\" href=\"#"));
    let before = before.replacen("</head>", STYLE, 1);
    format!("{before}{chapter}{behind}")
}

/// Whether there are links to be numbered.
pub fn is_numbered(page: &str) -> bool {
    page.contains(ATTRIBUTE)
}

/// The page with the numbers of the pages on which the anchors lie.
pub fn numbered(page: &str, pages: &BTreeMap<String, u32>) -> String {
    let mut out = String::with_capacity(page.len());
    let mut rest = page;
    while let Some((before, behind)) = rest.split_once(ATTRIBUTE) {
        out.push_str(before);
        out.push_str(ATTRIBUTE);
        let (_, behind) = behind.split_once('"').unwrap_or(("", behind));
        let anchor = behind
            .split_once("href=\"#")
            .and_then(|(_, anchor)| anchor.split_once('"'));
        if let Some(number) = anchor.and_then(|(anchor, _)| pages.get(anchor)) {
            out.push_str(&number.to_string());
        }
        out.push('"');
        rest = behind;
    }
    out.push_str(rest);
    out
}

/// The page before its contents, the contents, and what comes behind.
fn chapter(page: &str) -> Option<(&str, &str, &str)> {
    let from = page.find(CHAPTER)?;
    let until = from + page.get(from..)?.find("</section>")?;
    Some((
        page.get(..from)?,
        page.get(from..until)?,
        page.get(until..)?,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn links_of_the_contents_get_the_page_of_their_anchor() {
        let page = "<head></head><a href=\"#z\">no</a><section class=\"contents\"><a href=\"#a\">A</a>\
                    <a href=\"#b\">B</a><a href=\"x.html\">X</a></section><a href=\"#a\">no</a>";
        let ready = prepared(page);
        assert!(is_numbered(&ready) && ready.contains("@media print"));
        let pages = [("a".to_owned(), 3), ("z".to_owned(), 9)].into();
        let filled = numbered(&ready, &pages);
        assert!(
            filled.contains("<a data-page=\"3\" href=\"#a\">A</a><a data-page=\"\" href=\"#b\">B")
        );
        assert_eq!(filled.matches("data-page=\"").count(), 2);
        assert_eq!(numbered(&filled, &pages), filled);
        let other = [("a".to_owned(), 12)].into();
        assert!(numbered(&filled, &other).contains("data-page=\"12\" href=\"#a\""));
        assert_eq!(prepared("<p>no contents</p>"), "<p>no contents</p>");
    }
}
