//! Whole reports, to be read by people: a healthy CT, a sick one, a broken record.

use super::{alone, demo, report, short, text_of};

fn named(ending: &str) -> String {
    let gathered = demo();
    let unit = gathered
        .records
        .iter()
        .find(|unit| unit.source.name.ends_with(ending))
        .unwrap();
    short(gathered, unit).markdown
}

/// Fingerprints change with every byte of a file and say nothing to a reader here.
fn kept(markdown: String) -> String {
    let pieces = markdown.split_inclusive(|c: char| !c.is_ascii_hexdigit());
    let masked = pieces.map(|piece| match piece.get(..64) {
        Some(sum) if sum.bytes().all(|byte| byte.is_ascii_hexdigit()) => {
            piece.replacen(sum, "(hash)", 1)
        }
        _ => piece.to_owned(),
    });
    masked.collect()
}

#[test]
fn a_healthy_ct() {
    insta::assert_snapshot!(kept(named("k03-l1.ctr")));
}

#[test]
fn a_sick_ct() {
    insta::assert_snapshot!(kept(named("h08-l1.ctr")));
}

#[test]
fn a_broken_record() {
    let text = text_of("k04-l1.ctr");
    let torn = text
        .replacen("ambient: ", "ambient: about ", 1)
        .replacen("[resistance]", "[resistence]", 1)
        .replacen(
            "note: ",
            "what stands here is no line of a record\nnote: ",
            1,
        );
    assert_ne!(text, torn);
    let gathered = alone(&torn);
    insta::assert_snapshot!(kept(
        report(&gathered, gathered.records.first().unwrap()).markdown
    ));
}
