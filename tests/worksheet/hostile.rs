//! Text of a record stays text, whatever it says.

use super::{demo, of_text, sheet, sheet_for, sheets};

const HOSTILE: &str = "format: 1\n[ct]\nid: <script>alert(1)</script>|*_`[x](y)&\nmaker: \"></style><img src=x onerror=y>\n\
standard: IEC 61869-2:2012\n[place since 2026-01-01]\nsite: {{ 7*7 }} {% raw %}\n[core 1S]\nmarks: <b>1 a|b* S\"3'\nclass: PX\n\
knee emf: 300 V\ntap  ratio/A\n<b>1-S\"3'  600/1\n";

#[test]
fn markup_in_a_record_is_shown_and_not_obeyed() {
    let unit = of_text(HOSTILE);
    let made = sheet(&unit);
    for tag in ["<script", "<img", "</style><", "<b>"] {
        assert_eq!(made.html.matches(tag).count(), 0, "{tag}");
        // A backslash makes the sign behind it a plain one (CommonMark 0.31, 2.4).
        let markup = made.markdown.replace("\\<", "");
        assert_eq!(markup.matches(tag).count(), 0, "{tag}");
    }
    assert!(made.html.contains("&lt;script&gt;alert(1)") && made.html.contains("{{ 7*7 }}"));
    assert!(
        made.markdown
            .contains("\\<script\\>alert(1)\\</script\\>\\|\\*\\_\\`\\[x\\]")
    );
    assert!(
        made.slug
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || b == b'-')
    );
}

#[test]
fn extreme_plates_give_no_number_that_is_none() {
    for (class, ratio, rest) in [
        ("5P20", "1/1000000000000", "burden: 0.000001 VA"),
        ("PX", "999999999999999/0.0000001", "knee emf: 1e300 V"),
        ("TPY", "8000/1", "kssc: 1e308\nktd: 1e308\nburden: 5 ohm"),
        ("C800", "1200:5", "resistance: 1e-300 ohm at 75 C"),
    ] {
        let unit = of_text(&format!(
            "format: 1\n[ct]\nid: A\n[core 1S]\nclass: {class}\nratio: {ratio}\n{rest}\n"
        ));
        let text = sheet(&unit).html;
        assert!(
            !text.contains("NaN") && !text.contains(">inf") && !text.contains(" inf"),
            "{class}"
        );
    }
}

#[test]
fn every_drawing_is_whole_and_named() {
    for unit in demo() {
        let html = sheet(&unit).html;
        let drawings = html.matches("<svg ").count();
        assert!(drawings >= 4, "{}", unit.source.name);
        for part in ["</svg>", "<title>", "</desc>", "<figcaption>"] {
            let whole = html.matches(part).count();
            // The page has a title of its own.
            assert_eq!(
                whole,
                if part == "<title>" {
                    drawings + 1
                } else {
                    drawings
                },
                "{}: {part}",
                unit.source.name
            );
        }
        assert!(
            !html.contains("NaN")
                && !html.contains("<script")
                && !html.contains("href")
                && !html.contains("url(")
        );
        // The namespace of SVG is a name, not an address that is fetched.
        assert_eq!(html.matches("http").count(), drawings);
        assert_eq!(html, sheet(&unit).html);
    }
}

#[test]
fn a_set_tells_plates_that_differ() {
    let (a, b) = (super::unit("h07-l1.ctr"), super::unit("h07-l2.ctr"));
    let units = [a, b];
    let like = sheets(&units, "commissioning");
    assert!(!like.markdown.contains("Plates differ"));
    let [a, _] = units;
    let unlike = sheets(&[a, super::unit("h12-line-l1.ctr")], "commissioning");
    assert!(
        unlike
            .markdown
            .contains("Plates differ: L1 HLV-26-5201 is not like L1 BRW-25-41301")
    );
    // One page a test, with the readings of both phases on it.
    assert!(like.markdown.contains("L1: voltage/V") && like.markdown.contains("L2: voltage/V"));
}

/// No word of a drawing lies outside its paper, above or below.
#[test]
fn every_word_of_a_drawing_is_on_its_paper() {
    let ring = "format: 1\n[ct]\nid: A\nstandard: IEC 61869-2:2012\npasses: 1\n[core S]\nclass: 0.5 FS5\nburden: 2.5 VA\nratio: 200/5 A\n";
    let all = demo().into_iter().chain([of_text(ring)]);
    let mut seen = 0;
    for unit in all {
        for purpose in ["commissioning", "factory"] {
            let html = sheet_for(&unit, purpose).html;
            for svg in html.split("<svg ").skip(1) {
                let svg = svg.split("</svg>").next().unwrap();
                let number = |text: &str| text.parse::<f64>().unwrap();
                let paper = svg.split("viewBox=\"").nth(1).unwrap();
                let paper = paper.split('"').next().unwrap();
                let paper: Vec<f64> = paper.split(' ').map(number).collect();
                for words in svg.split("<text ").skip(1) {
                    let y = words.split(" y=\"").nth(1).unwrap();
                    let y = number(y.split('"').next().unwrap());
                    // Letters of 13.5 stand some 11 above their line.
                    assert!(
                        y - 11.0 >= paper[1] && y <= paper[1] + paper[3],
                        "{}: {words:.80}",
                        unit.source.name
                    );
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 1000, "{seen}");
}
