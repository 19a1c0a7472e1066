//! Whole reports, to be read by people: a healthy CT, a sick one, a broken record.

use super::{alone, demo, report, text_of};

fn named(ending: &str) -> String {
    let gathered = demo();
    let unit = gathered
        .records
        .iter()
        .find(|unit| unit.source.name.ends_with(ending))
        .unwrap();
    report(gathered, unit).markdown
}

/// The fingerprint changes with every byte of the record and says nothing to a reader here.
fn kept(markdown: String) -> String {
    let from = markdown.find("SHA-256 ").unwrap() + "SHA-256 ".len();
    format!("{}(hash){}", &markdown[..from], &markdown[from + 64..])
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
