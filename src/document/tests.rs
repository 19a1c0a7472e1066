use super::escape::escape_markdown;
use super::*;
use pulldown_cmark::{Event, Options, Parser, Tag};

fn page_of(markdown: &str) -> String {
    html(markdown, &Pictures::new(), &Within::default())
}

fn made(blocks: &[Block]) -> (String, String) {
    let mut pictures = Pictures::new();
    let marked = print(blocks, &mut pictures);
    (plain(&marked), html(&marked, &pictures, &Within::default()))
}

/// The text that a viewer shows, and whether anything but a table cell's text is there.
fn shown(markdown: &str) -> (String, bool) {
    let (mut text, mut plain) = (String::new(), true);
    for event in Parser::new_ext(markdown, Options::all() - Options::ENABLE_SMART_PUNCTUATION) {
        match event {
            Event::Text(part) => text.push_str(&part),
            // Whatever begins is looked at; its end says no more.
            Event::Start(Tag::Paragraph | Tag::List(_) | Tag::Item | Tag::Table(_))
            | Event::Start(Tag::TableHead | Tag::TableRow | Tag::TableCell)
            | Event::End(_) => {}
            _ => plain = false,
        }
    }
    (text, plain)
}

#[test]
fn raw_html_is_text() {
    let page = page_of("a <b onclick=x>\n\n<script>alert(1)</script>\n\n- <img src=x onerror=y>\n");
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
        let page = page_of(&format!("[x](<{bad}>) and ![y](<{bad}>)"));
        assert!(
            !page.contains("href") && !page.contains("src"),
            "{bad}: {page}"
        );
    }
    assert!(page_of("[x](ct/a.html)").contains("href=\"ct/a.html\""));
    assert!(page_of("[x](https://example.org)").contains("href=\"https://example.org\""));
    // A page fetches nothing, so no picture is shown that is not part of it.
    assert!(!page_of("![x](https://example.org/a.png)").contains("<img"));
    let within = Within {
        prefix: "a-".to_owned(),
        lower: 1,
        links: Links::Within,
    };
    let page = html("[x](#w1)\n\n# W1\n", &Pictures::new(), &within);
    assert!(page.contains("href=\"#a-w1\"") && page.contains("<h2 id=\"a-w1\">"));
    let report = Inline::Page {
        path: "ct/u-1".to_owned(),
        text: "U 1".to_owned(),
    };
    let marked = print(
        &[Block::Paragraph(Text(vec![report]))],
        &mut Pictures::new(),
    );
    assert!(
        html(&marked, &Pictures::new(), &within).contains("<a href=\"#page--ct--u-1\">U 1</a>")
    );
    assert!(page_of(&marked).contains("<a href=\"ct/u-1.html\">U 1</a>"));
    assert_eq!(plain(&marked), "[U 1](ct/u-1.md)\n");
}

#[test]
fn pictures_take_their_places() {
    let figure = Figure {
        key: "e-1".to_owned(),
        picture: Picture {
            element: "<svg></svg>".to_owned(),
            caption: "a & b".to_owned(),
            ..Picture::default()
        },
        instead: "a curve".into(),
    };
    let (text, page) = made(&[Block::Figure(figure)]);
    assert_eq!(text, "a curve\n");
    assert_eq!(
        page,
        "<figure><svg></svg><figcaption>a &amp; b</figcaption></figure>\n"
    );
}

#[test]
fn tables_have_headers_captions_and_a_box() {
    let table = Table::grid(&["on", ">U/V"], vec![vec!["1S1".into(), "2.0".into()]]);
    let (text, page) = made(&[Block::chapter("Ratio"), Block::Table(table.clone())]);
    assert_eq!(
        text,
        "## Ratio\n\n| on | U/V |\n| --- | ---: |\n| 1S1 | 2.0 |\n"
    );
    assert!(
        page.contains("<section class=\"ratio\">") && page.contains("aria-label=\"Table: Ratio\"")
    );
    assert!(
        page.contains("<th scope=\"col\" class=\"n\">U/V</th>")
            && page.contains("<th scope=\"row\">1S1</th>")
    );
    assert!(page.trim_end().ends_with("</section>"));
    let (text, page) = made(&[Block::Table(table.captioned("read | here"))]);
    assert!(text.starts_with("**read \\| here**\n\n| on |"));
    assert!(page.contains("<caption>read | here</caption>") && !page.contains("<p>"));
    let (text, page) = made(&[Block::Table(Table::blank(&["a", "b"], ["x".to_owned()]))]);
    assert!(text.contains("| x |  |") && page.contains("<td class=\"pen\"></td>"));
    let (_, page) = made(&[Block::Table(Table::facts([("a", "b")]))]);
    assert!(page.contains("<table class=\"facts\"><tbody><tr><th scope=\"row\">a</th><td>b</td>"));
}

#[test]
fn grades_are_coloured_by_type_and_never_by_their_looks() {
    let (text, page) = made(&[Block::Paragraph(Text::graded(Grade::Fails, "not met"))]);
    assert_eq!(text, "**■ fails**, not met\n");
    assert_eq!(
        page,
        "<p><strong class=\"word fails\">■\u{a0}fails</strong>, not met</p>\n"
    );
    for imitation in ["**■ fails**", "\u{e000}\u{f067}\u{e001}■ fails"] {
        let (_, page) = made(&[Block::paragraph(imitation)]);
        assert!(!page.contains("class"), "{page}");
    }
    assert_eq!(page_of("**■ fails**"), "<p><strong>■ fails</strong></p>\n");
}

#[test]
fn folds_and_groups_hold_what_is_in_them() {
    let fold = Block::Folded {
        level: 3,
        summary: "More".into(),
        blocks: vec![Block::heading(4, "a"), Block::paragraph("b")],
    };
    let group = Block::Group("card", vec![fold, Block::paragraph("c")]);
    let (text, page) = made(&[Block::heading(2, "x"), group, Block::Caution("d".into())]);
    assert_eq!(
        text,
        "## x\n\n### More\n\n#### a\n\nb\n\nc\n\n**Caution.** d\n"
    );
    let flat: String = page.split('\n').collect();
    assert_eq!(
        flat,
        "<section><h2 id=\"x\">x</h2><div class=\"card\"><section><details><summary><h3 id=\"more\">More</h3></summary>\
         <section><h4 id=\"a\">a</h4><p>b</p></section></details><p>c</p></section></div>\
         <div class=\"caution\" role=\"note\"><p><strong>Caution.</strong> d</p></div></section>"
    );
}

#[test]
fn a_line_keeps_its_pieces_apart() {
    let line = Text::from("wow!").and(Inline::Link {
        anchor: "w1".to_owned(),
        text: "W1".to_owned(),
    });
    let (text, page) = made(&[Block::Paragraph(line.plain(": - 1. x"))]);
    assert_eq!(text, "wow\\![W1](#w1): - 1. x\n");
    assert!(page.contains("wow!<a href=\"#w1\">W1</a>: - 1. x"));
    let cell = Text::from("a").under("b");
    let (text, page) = made(&[Block::Paragraph(cell)]);
    assert_eq!(text, "a: b\n");
    assert_eq!(page, "<p>a<span class=\"value\">b</span></p>\n");
    let both = Text::sentences(["a", "b"].map(str::to_owned));
    let (text, page) = made(&[Block::Paragraph(both)]);
    assert_eq!(text, "a; b\n");
    assert_eq!(page, "<p>a<br>b</p>\n");
}

#[test]
fn no_line_begins_a_list_however_it_is_pieced() {
    let pieced = |first: &str, rest: &str| Text::from(first).plain(rest);
    for line in [
        pieced("1", ". x"),
        pieced("", "- x"),
        pieced(" ", "+ x"),
        Text::default().under("x").plain(""),
        Text(vec![Inline::Word(Grade::Info, "2)".to_owned())]).plain(" x"),
    ] {
        let (text, page) = made(&[Block::Paragraph(line.clone()), Block::Note(line)]);
        for marked in [page, html(&text, &Pictures::new(), &Within::default())] {
            assert_eq!(marked.matches("<p").count(), 2, "{marked}");
        }
    }
}

#[test]
fn headings_have_ids_of_their_own() {
    let page = page_of("# a\n\n# a\n\n# a-1\n\n# a\n");
    for id in ["a", "a-1", "a-1-1", "a-2"] {
        assert_eq!(page.matches(&format!("id=\"{id}\"")).count(), 1, "{page}");
    }
}

#[test]
fn no_sink_lets_a_text_turn_the_direction_of_writing() {
    let turned = "a\u{202e}b\u{2066}\u{200f}";
    let mut pictures = Pictures::new();
    let figure = Figure {
        key: "k".to_owned(),
        picture: Picture {
            element: String::new(),
            caption: turned.to_owned(),
            ..Picture::default()
        },
        instead: turned.into(),
    };
    let blocks = [
        Block::chapter(turned),
        Block::Figure(figure),
        Block::paragraph(turned),
    ];
    let marked = print(&blocks, &mut pictures);
    let page = Page {
        title: turned,
        head: [turned; 2],
        foot: turned,
        ..Page::default()
    };
    let body = html(&marked, &pictures, &Within::default());
    let page = page.html(&body, &Templates::built_in()).unwrap();
    for made in [page, plain(&marked)] {
        assert!(made.contains("ab") && !made.contains(['\u{202e}', '\u{2066}', '\u{200f}']));
    }
}

#[test]
fn names_are_safe_in_files() {
    assert_eq!(slug("  H07 / L1: Ω-x_y "), "h07-l1-x-y");
    assert_eq!(slug_or("Ω", "unit"), "unit");
    assert_eq!(slug(&"ab-".repeat(40)).len(), 59);
}

#[test]
fn a_header_cannot_leave_its_string() {
    let evil = "</style><script>\"}\\";
    let page = Page {
        title: evil,
        head: [evil, ""],
        foot: evil,
        styles: &["style.css"],
        ..Page::default()
    };
    let made = page.html("<p>x</p>", &Templates::built_in()).unwrap();
    assert_eq!(made.matches("</style>").count(), 1);
    assert!(!made.contains("<script"));
    assert!(is_ours(made.as_bytes()) && is_ours(finish("x", "").as_bytes()));
    assert!(!is_ours(b"<html>"));
}

proptest::proptest! {
    #[test]
    fn any_text_is_only_text(text in "([ -~\\n\\t]|[☃Ω\u{202e}\u{0}\u{e000}\u{f06e}\u{e001}])*") {
        let escaped = escape_markdown(&text);
        let expected: String = {
            let kept: String = text.chars().filter(|c| *c != '\u{202e}').map(|c| match c {
                c if c.is_control() => ' ',
                '\u{e000}'..='\u{f8ff}' => '\u{fffd}',
                c => c,
            }).collect();
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

#[test]
fn a_date_or_a_number_of_a_certificate_breaks_no_line() {
    let text = "certificate HC-2026-0113, 2S1-2S2, a low-voltage ring, 2026-09-16.";
    let marked = print(&[Block::paragraph(text)], &mut Pictures::new());
    let shown = page_of(&marked);
    for whole in ["HC-2026-0113,", "2S1-2S2,", "2026-09-16."] {
        let kept = format!("<span class=\"whole\">{whole}</span>");
        assert!(shown.contains(&kept), "{whole} in {shown}");
    }
    assert_eq!(shown.matches("whole").count(), 3, "{shown}");
    // Markdown is the text as it is, with the hyphens that people look for.
    assert_eq!(plain(&marked), format!("{text}\n"));
    let long = format!("{}-1", "x".repeat(40));
    let marked = print(&[Block::paragraph(long)], &mut Pictures::new());
    assert!(!page_of(&marked).contains("whole"));
}

#[test]
fn cells_that_a_narrow_page_stacks_say_their_column() {
    let table = || {
        Table::grid(
            &["Required", "Limit", "Sis & ters"],
            vec![vec!["a".into(), "b".into(), "c".into()]],
        )
    };
    let shown = |table: Table| page_of(&print(&[Block::Table(table)], &mut Pictures::new()));
    let stacked = shown(table().named("grid stack"));
    assert!(
        stacked.contains("<td data-of=\"Limit\">b</td><td data-of=\"Sis &amp; ters\">c</td>"),
        "{stacked}"
    );
    assert!(!shown(table()).contains("data-of"));
}

#[test]
fn a_sign_that_html_spells_out_ends_no_line() {
    let page = page_of("| a | b |\n| --- | --: |\n| x | < 5 V; R&D 6 A, 7 |\n");
    assert!(
        page.contains(">&lt;\u{a0}5\u{a0}V; R&amp;D\u{a0}6\u{a0}A, 7</td>"),
        "{page}"
    );
}
