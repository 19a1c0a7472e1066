//! What the report states, after ISO/IEC 17025:2017, 7.8.2.1 a to p and 7.8.6 (items and wording after
//! the published text, see `pack::items`), and what the pack adds to a visit.

use super::{ONE_BAY, bay, built, demo_text, text};
use kneemark::pack::items::{ITEMS, excusable};

/// Clauses of the warnings of a pack.
fn missing(pack: &str) -> Vec<String> {
    let built = built(&bay("h07", pack));
    let clause = |warning: &String| {
        warning
            .strip_prefix("not stated: ISO/IEC 17025:2017, ")
            .and_then(|rest| rest.split(',').next())
            .map(str::to_owned)
    };
    built.warnings.iter().filter_map(clause).collect()
}

const FULL: &str = r#"records = ["skerrow/**/*.ctr"]
[report]
number = "T-1"
revision = "B"
issued = 2026-11-20
title = "one bay"
methods = ["IEC 61869-2:2012"]
received = "2026-09-01"
[report.reasons]
k = "every CT was tested"
[[report.history]]
revision = "A"
date = 2026-11-01
what = "first issue"
[[report.history]]
revision = "B"
date = 2026-11-20
what = "name of the client corrected"
[client]
name = "Client"
contact = "Somebody"
[contractor]
name = "Tester"
address = "Street 1"
[job]
site = "Skerrow"
[authorised]
name = "S. Hollen"
"#;

#[test]
fn every_item_is_in_the_list_once() {
    let letters: Vec<&str> = ITEMS
        .iter()
        .filter_map(|item| item.clause.strip_prefix("7.8.2.1 "))
        .filter(|letter| letter.len() == 1)
        .collect();
    let expected: Vec<String> = ('a'..='p').map(String::from).collect();
    assert_eq!(letters, expected);
    assert!(
        ITEMS.iter().any(|item| item.clause == "7.8.6.1")
            && ITEMS.iter().any(|item| item.clause == "7.8.6.2")
    );
}

#[test]
fn a_full_pack_misses_nothing() {
    assert_eq!(missing(FULL), Vec::<String>::new());
}

/// Taking one line out makes exactly its item missing.
#[test]
fn each_line_carries_its_item() {
    let lines = [
        ("title = \"one bay\"\n", "7.8.2.1 a"),
        ("address = \"Street 1\"\n", "7.8.2.1 b"),
        ("number = \"T-1\"\n", "7.8.2.1 d"),
        ("contact = \"Somebody\"\n", "7.8.2.1 e"),
        ("methods = [\"IEC 61869-2:2012\"]\n", "7.8.2.1 f"),
        ("received = \"2026-09-01\"\n", "7.8.2.1 h"),
        ("issued = 2026-11-20\n", "7.8.2.1 j"),
        ("k = \"every CT was tested\"\n", "7.8.2.1 k"),
        ("name = \"S. Hollen\"\n", "7.8.2.1 o"),
        ("what = \"name of the client corrected\"\n", "7.8.8"),
    ];
    for (line, clause) in lines {
        assert!(FULL.contains(line));
        assert_eq!(
            missing(&FULL.replacen(line, "", 1)),
            [clause],
            "without {line}"
        );
    }
}

#[test]
fn what_is_missing_stands_in_the_report() {
    let built = built(&bay("h07", ONE_BAY));
    assert!(text(&built, "index.md").contains("| 7.8.2.1 f | method used | **○ not stated** |"));
    assert!(text(&built, "index.html").contains("class=\"not-stated\">not stated<"));
}

#[test]
fn a_due_test_without_a_reason_is_told() {
    let files = bay("h07", FULL);
    let text_of = demo_text("skerrow/h07/h07-l2.ctr");
    let from = text_of.rfind("[burden]").expect("a burden test");
    let to = from + text_of[from + 1..].find("\n[").expect("a next section") + 1;
    files.put(
        "job/skerrow/h07/h07-l2.ctr",
        format!("{}{}", &text_of[..from], &text_of[to..]),
    );
    let built = built(&files);
    assert!(
        built
            .warnings
            .iter()
            .any(|warning| warning.contains("7.8.2.1 n") && warning.contains("BRW-25-41302")),
        "{:?}",
        built.warnings
    );
    // Both cores lack it for one reason: one row.
    let index = text(&built, "index.md");
    let of_it = |line: &&str| line.starts_with("| burden of the circuit of 1S; ");
    let row = index.lines().find(of_it).expect("a row");
    let ends = "burden of the circuit of 3S | **due, no reason given** | 1: BRW-25-41302 |";
    assert!(row.ends_with(ends), "{row}");
}

#[test]
fn reasons_only_where_they_can_be_given() {
    assert_eq!(
        ["h", "l", "z", "note"].map(excusable),
        [Some("7.8.2.1 h"), None, None, None]
    );
    let built = built(&bay("h07", &FULL.replace("k = \"every", "z = \"every")));
    assert!(
        built
            .others
            .iter()
            .flat_map(|told| &told.diagnostics)
            .any(|one| one.title.contains("`z`"))
    );
}

#[test]
fn a_visit_after_the_day_of_issue() {
    let built = built(&bay("h07", &ONE_BAY.replace("2026-11-20", "2026-01-15")));
    let mut told = built.told.iter().flat_map(|told| &told.diagnostics);
    assert!(told.any(|told| told.code.name() == "visit-future"));
    assert!(
        built.matrix.blocks[0].visits.is_empty(),
        "the report cannot speak of it"
    );
    assert!(
        built
            .warnings
            .iter()
            .any(|warning| warning.contains("7.8.2.1 i"))
    );
}

#[test]
fn a_visit_takes_over_from_its_job_what_it_leaves_unsaid() {
    let pack = format!(
        "{ONE_BAY}[jobs.\"September outage\"]\nwitnessed_by = \"E. Lund\"\ntested_by = \"not this one\"\n"
    );
    let files = bay("h07", &pack);
    let named = demo_text("skerrow/h07/h07-l1.ctr").replacen(
        "purpose: commissioning\n",
        "purpose: commissioning\njob: September outage\n",
        1,
    );
    files.put("job/skerrow/h07/h07-l1.ctr", named);
    let built = built(&files);
    assert!(text(&built, "index.md").contains("| Witnessed by | E. Lund |"));
    let page = text(&built, "ct/brw-25-41301.md");
    assert!(page.contains("E. Lund") && page.contains("R. Anvik"));
    assert!(!page.contains("not this one"), "what the record says stays");
}

#[test]
fn texts_of_the_pack_are_texts() {
    let evil = "<script>alert(1)</script> | **b** [x](javascript:x)";
    let built = built(&bay(
        "h07",
        &FULL
            .replace("one bay", evil)
            .replace("\"Client\"", &format!("\"{evil}\"")),
    ));
    for name in ["index.html", "pack.html"] {
        let page = text(&built, name);
        assert!(
            !page.contains("<script") && page.contains("&lt;script"),
            "{name}"
        );
    }
    // A backslash makes the sign behind it a plain one (CommonMark 0.31, 2.4).
    let markdown = text(&built, "index.md")
        .replace("\\<", "")
        .replace("\\*", "")
        .replace("\\[", "");
    assert!(
        !markdown.contains("<script") && !markdown.contains("[x](") && !markdown.contains("**b**"),
        "{}",
        &markdown[..400]
    );
}
