//! Text that wants to be more than text.

use super::{alone, report, text_of};

const EVIL: &str = "a | b * c _d_ `e` [f](javascript:alert(1)) <script>alert(2)</script> <img src=x onerror=y> &amp; \\ ■ **pass**";

fn with(from: &str, to: &str) -> kneemark::report::CtReport {
    let text = text_of("h07-l1.ctr");
    assert!(text.contains(from), "the demo record has no {from}");
    let gathered = alone(&text.replacen(from, to, 1));
    let made = report(&gathered, gathered.records.first().unwrap());
    for bad in ["<script>", "<img", "javascript:\"", "href=\"javascript"] {
        assert!(!made.html.contains(bad), "{bad}");
    }
    made
}

#[test]
fn in_notes_ids_and_makers_it_stays_text() {
    let long = "x| ".repeat(700);
    for (from, to) in [
        ("maker: Brandal Ring Works", format!("maker: {EVIL}")),
        ("id: BRW-25-41301", format!("id: {EVIL}")),
        (
            "[state]",
            format!("note: {EVIL}\nnote: {long}end\naction: A1 {EVIL}; {EVIL}; {EVIL}\n[state]"),
        ),
        ("bay: H07", format!("bay: {EVIL}")),
        ("tested by: R. Anvik", format!("tested by: {EVIL}")),
    ] {
        let made = with(from, &to);
        assert!(
            made.html.contains("&lt;script&gt;alert(2)&lt;/script&gt;"),
            "{from}"
        );
        assert!(
            made.slug
                .bytes()
                .all(|b| b.is_ascii_alphanumeric() || b == b'-')
                && made.slug.len() <= 60
        );
        assert!(!made.html.contains("<strong>pass"), "{from}");
        if to.contains("xend") || to.contains("x| end") {
            assert!(made.html.contains("x| x| end"));
        }
    }
}

#[test]
fn lines_that_are_not_understood_are_shown() {
    let made = with("[state]", "[state]\n<b>what is this line</b> | and that");
    assert!(made.markdown.contains("Not readable") && made.markdown.contains("not readable"));
    assert!(made.html.contains("&lt;b&gt;what is this line&lt;/b&gt;"));
    assert!(made.markdown.contains("Record: not readable"));
}

#[test]
fn an_amended_reading_shows_what_it_was() {
    let text = text_of("h07-l1.ctr");
    let line = text
        .lines()
        .find(|line| line.starts_with("1S1-1S2  0."))
        .unwrap();
    let made = with(
        line,
        &format!("{line}\namended: voltage was 9.8765; transcription; R. Anvik 2026-09-17"),
    );
    assert!(
        made.markdown
            .contains("voltage was 9.8765; transcription; R. Anvik 2026-09-17"),
        "{}",
        made.markdown
    );
    assert!(made.markdown.contains(" † |"));
}

#[test]
fn a_refused_file_and_an_empty_one_still_give_a_report() {
    for text in [
        "",
        "format: 1\n",
        "a\u{0}b",
        "[ct]\nid: X\n",
        "[visit 2026-01-01]\n",
    ] {
        let gathered = alone(text);
        let made = report(&gathered, gathered.records.first().unwrap());
        assert!(made.markdown.contains("never a clearance") && made.html.contains("</article>"));
        assert!(!made.markdown.contains("Transformer: pass"), "{text}");
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(48))]
    #[test]
    fn any_torn_record_gives_a_report(cut in 0usize..9000, junk in "[ -~]{0,40}") {
        let mut text = text_of("h12-line-l1.ctr");
        text.insert_str(cut.min(text.len()), &junk);
        let gathered = alone(&text);
        let made = report(&gathered, gathered.records.first().unwrap());
        proptest::prop_assert!(made.markdown.contains("never a clearance"));
    }
}
