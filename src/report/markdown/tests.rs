use super::*;
use pulldown_cmark::{Event, Options, Parser, Tag, TagEnd};

fn html(markdown: &str) -> String {
    markdown_to_html(markdown, &BTreeMap::new())
}

/// The text that a viewer shows, and whether anything but a table cell's text is there.
fn shown(markdown: &str) -> (String, bool) {
    let (mut text, mut plain) = (String::new(), true);
    for event in Parser::new_ext(markdown, Options::all() - Options::ENABLE_SMART_PUNCTUATION) {
        match event {
            Event::Text(part) => text.push_str(&part),
            Event::Start(
                Tag::Paragraph
                | Tag::List(_)
                | Tag::Item
                | Tag::Table(_)
                | Tag::TableHead
                | Tag::TableRow
                | Tag::TableCell,
            ) => {}
            Event::End(
                TagEnd::Paragraph
                | TagEnd::List(_)
                | TagEnd::Item
                | TagEnd::Table
                | TagEnd::TableHead
                | TagEnd::TableRow
                | TagEnd::TableCell,
            ) => {}
            _ => plain = false,
        }
    }
    (text, plain)
}

#[test]
fn raw_html_is_text() {
    let page = html("a <b onclick=x>\n\n<script>alert(1)</script>\n\n- <img src=x onerror=y>\n");
    for bad in ["<script", "<b ", "<img"] {
        assert!(!page.contains(bad), "{page}");
    }
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
}

#[test]
fn links_go_where_they_may() {
    for bad in [
        "javascript:alert(1)",
        "JavaScript&colon;alert(1)",
        "data:text/html,x",
        "//evil.example",
        "file:///etc",
        "vbscript:x",
    ] {
        let page = html(&format!("[x](<{bad}>) and ![y](<{bad}>)"));
        assert!(
            !page.contains("href") && !page.contains("src"),
            "{bad}: {page}"
        );
    }
    assert!(html("[x](ct/a.html)").contains("href=\"ct/a.html\""));
    assert!(html("[x](https://example.org)").contains("href=\"https://example.org\""));
    // A page fetches nothing, so a picture elsewhere is not shown.
    assert!(!html("![x](https://example.org/a.png)").contains("<img"));
    assert!(
        markdown_to_html_within("[x](#w1)\n\n# W1\n", &BTreeMap::new(), "a-")
            .contains("href=\"#a-w1\"")
    );
}

#[test]
fn charts_take_the_place_of_their_images() {
    let svg = BTreeMap::from([("e1".to_owned(), "<svg></svg>".to_owned())]);
    assert_eq!(
        markdown_to_html("![curve](curve:e1)\n", &svg),
        "<figure><svg></svg></figure>\n"
    );
    assert!(!html("![curve](curve:none)\n").contains("curve:none"));
}

#[test]
fn tables_have_headers_and_a_box() {
    let page = html("## Ratio\n\n| on | U/V |\n| --- | ---: |\n| 1S1 | 2.0 |\n");
    assert!(
        page.contains("<section class=\"ratio\">") && page.contains("aria-label=\"Table: Ratio\"")
    );
    assert!(
        page.contains("<th scope=\"col\" class=\"n\">U/V</th>")
            && page.contains("<th scope=\"row\">1S1</th>")
    );
    assert!(page.trim_end().ends_with("</section>"));
}

#[test]
fn verdicts_are_classed_by_their_mark_and_only_ours() {
    assert!(html("**■ fail**").contains("<strong class=\"word bad\">■ fail</strong>"));
    let stranger = escape_markdown("**■ fail**");
    assert!(!html(&stranger).contains("<strong"), "{stranger}");
}

proptest::proptest! {
    #[test]
    fn any_text_is_only_text(text in "([ -~\\n\\t]|[☃Ω\u{202e}\u{0}])*") {
        let escaped = escape_markdown(&text);
        let expected: String = {
            let kept: String = text.chars().filter(|c| *c != '\u{202e}').map(|c| if c.is_control() { ' ' } else { c }).collect();
            kept.split(' ').filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
        };
        for (before, after) in [("x ", ""), ("- ", "\n"), ("| a |\n| --- |\n| ", " |\n")] {
            let (found, plain) = shown(&format!("{before}{escaped}{after}"));
            let own = match before { "x " => "x ", "- " => "", _ => "a" };
            let wanted = if own == "x " { format!("x {expected}").trim_end().to_owned() } else { format!("{own}{expected}") };
            proptest::prop_assert_eq!(found, wanted);
            proptest::prop_assert!(plain, "{}", escaped);
        }
    }
}
