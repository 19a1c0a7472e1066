//! Page numbers in the contents of a page that is printed. A browser cannot say on which page an anchor
//! lies before it has printed, so that a link of the contents gets its number when all parts were laid out.

use std::collections::BTreeMap;

/// The chapter whose links are numbered.
const CHAPTER: &str = "<section class=\"contents\"";
const LINK: &str = "<a href=\"#";
/// Room for a number is kept before it is known, so that filling it in moves nothing.
pub const STYLE: &str = "a>.printed-on{display:inline-block;min-width:3.1em;padding-left:.5em;font-weight:400;\
font-variant-numeric:tabular-nums}";

/// The page with the number of its anchor's page, or room for it, at each link of its contents.
pub fn numbered(page: &str, pages: &BTreeMap<String, usize>) -> String {
    let Some((before, chapter, behind)) = chapter(page) else {
        return page.to_owned();
    };
    let mut links = chapter.split(LINK);
    let mut out = format!("{before}{}", links.next().unwrap_or_default());
    for link in links {
        let anchor = link.split('"').next().unwrap_or_default();
        let number = pages.get(anchor).map(|page| format!("p. {page}"));
        let (words, rest) = link.split_once("</a>").unwrap_or((link, ""));
        out.push_str(&format!(
            "{LINK}{words}<span class=\"printed-on\">{}</span></a>{rest}",
            number.unwrap_or_default()
        ));
    }
    out.push_str(behind);
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
        let page = "<a href=\"#z\">no</a><section class=\"contents\"><a href=\"#a\">A</a>\
                    <a href=\"#b\">B</a><a href=\"x.html\">X</a></section><a href=\"#a\">no</a>";
        let pages = [("a".to_owned(), 3), ("z".to_owned(), 9)].into();
        assert_eq!(
            numbered(page, &pages),
            "<a href=\"#z\">no</a><section class=\"contents\">\
             <a href=\"#a\">A<span class=\"printed-on\">p. 3</span></a>\
             <a href=\"#b\">B<span class=\"printed-on\"></span></a><a href=\"x.html\">X</a></section><a href=\"#a\">no</a>"
        );
        assert_eq!(numbered("<p>no contents</p>", &pages), "<p>no contents</p>");
    }
}
