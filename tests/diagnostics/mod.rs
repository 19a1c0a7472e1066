//! One slip of the fingers each, made in a sound record: one message, in the right place, and no
//! other. The 23 variants are those that the format was first tried on, and some more.

mod fenced;
mod mended;

use crate::design_records::{self, gathered_with, sample};

/// What is done to `sample.ctr`: a name, the text that is found once, and what takes its place.
const SLIPS: &[(&str, &str, &str)] = &[
    (
        "decimal comma, two cells",
        "100.3       2.84",
        "100,3       2,84",
    ),
    (
        "wrong dimension in a heading",
        "voltage/V  current/mA\n 25.0",
        "voltage/V  current/mV\n 25.0",
    ),
    (
        "closing bracket lost",
        "[excitation 1S1-1S2]",
        "[excitation 1S1-1S2",
    ),
    (
        "opening bracket lost",
        "[excitation 1S1-1S2]",
        "excitation 1S1-1S2]",
    ),
    (
        "unknown section",
        "[excitation 1S1-1S2]",
        "[exitation 1S1-1S2]",
    ),
    (
        "letter O in the first cell",
        "100.3       2.84",
        "1O0.3       2.84",
    ),
    (
        "letter O in the second cell",
        "440.2     171",
        "440.2     17O",
    ),
    (
        "capital prefix",
        "fault current: 25 kA",
        "fault current: 25 KA",
    ),
    ("colon lost in a field", "x/r: 14", "x/r 14"),
    (
        "blank behind the colon lost",
        "ambient: 18.5 C",
        "ambient:18.5 C",
    ),
    (
        "no blank before the units",
        "fault current: 25 kA",
        "fault current: 25kA",
    ),
    ("hash in a value", "bay: H07", "bay: #7"),
    (
        "missing cell in a labelled row",
        "1S to primary, cores and earth  1000       60      12.4",
        "1S to primary, cores and earth  1000       12.4",
    ),
    ("missing cell in a numeric row", "350.2      13.1", "350.2"),
    (
        "NBSP between two cells",
        "400.1      41.8",
        "400.1\u{A0}41.8",
    ),
    (
        "NBSP before a unit",
        "ambient: 18.5 C",
        "ambient: 18.5\u{A0}C",
    ),
    (
        "typographic minus",
        "temperature: 18.5 C\n",
        "temperature: \u{2212}18.5 C\n",
    ),
    ("blank in a bound", ">200\n", "> 200\n"),
    (
        "field without colon below a table",
        "checked by: S. Hollen",
        "checked by: S. Hollen\ntemperature 18.5 C",
    ),
    (
        "words below a table with bars",
        "checked by: S. Hollen",
        "checked by: S. Hollen\nboth looked at twice",
    ),
    (
        "heading without units",
        "voltage/V  current/mA\n 25.0",
        "voltage  current\n 25.0",
    ),
    (
        "heading with units in round brackets",
        "voltage/V  current/mA\n 25.0",
        "voltage (V)  current (mA)\n 25.0",
    ),
    (
        "en dash in a section's pair",
        "[excitation 1S1-1S2]",
        "[excitation 1S1\u{2013}1S2]",
    ),
    (
        "en dash in a cell",
        "1S1-1S2  1.000      2.789",
        "1S1\u{2013}1S2  1.000      2.789",
    ),
    (
        "remark on a line of its own",
        "[self-check]\n",
        "[see photo 3]\n[self-check]\n",
    ),
    (
        "capital in not done",
        "not done 2S: marshalling",
        "Not done 2S: marshalling",
    ),
    (
        "not done without a reason",
        "not done 2S: marshalling not yet cleared by the owner",
        "not done 2S",
    ),
    (
        "two headings run together",
        "[demagnetisation 1S1-1S2]\n",
        "",
    ),
    ("unit in a cell", "350.2      13.1", "350.2V     13.1mA"),
    (
        "unknown terminal",
        "2S1-2S3  0.500      1.221",
        "2S1-2S4  0.500      1.221",
    ),
    (
        "row of words below a table",
        "460.1     352\n",
        "460.1     352\nthe source tripped\nand was reset\n",
    ),
    ("visit's date lost", "[visit 2026-03-14]", "[visit]"),
    ("class without its factor", "class: 5P20", "class: 5P"),
];

fn told(text: &str) -> String {
    design_records::told(&gathered_with("sample.ctr", text.as_bytes()))
}

#[test]
fn one_slip_gives_one_message_in_its_place() {
    let sample = sample();
    assert_eq!(told(&sample), "");
    let mut all = String::new();
    for (name, from, to) in SLIPS {
        assert_eq!(
            sample.matches(from).count(),
            1,
            "{name}: `{from}` must stand once"
        );
        all.push_str(&format!("{name}\n{}\n", told(&sample.replace(from, to))));
    }
    insta::assert_snapshot!(all);
}

#[test]
fn line_ends_and_byte_order_marks_are_no_matter() {
    let sample = sample();
    let crlf = sample.replace('\n', "\r\n");
    for text in [
        format!("\u{FEFF}{sample}"),
        crlf.clone(),
        crlf.trim_end().to_owned(),
        sample.trim_end().to_owned(),
    ] {
        assert_eq!(told(&text), "");
    }
}

#[test]
fn a_pasted_table_may_leave_a_cell_empty() {
    let table = "loop           current/A  voltage/V  angle/deg\nphase-neutral  1.000      1.079      8.0\n";
    let sample = sample();
    assert_eq!(sample.matches(table).count(), 1);
    let pasted = "loop\tcurrent/A\tvoltage/V\tangle/deg\nphase-neutral\t1.000\t1.079\t\n";
    assert_eq!(told(&sample.replace(table, pasted)), "");
    let hole = "loop\tcurrent/A\tvoltage/V\tangle/deg\nphase-neutral\t\t1.079\t8.0\n";
    assert_eq!(
        told(&sample.replace(table, hole))
            .matches("cell-missing")
            .count(),
        1
    );
    let markdown = "| loop | current/A | voltage/V | angle/deg |\n|---|---:|---:|---:|\n| phase-neutral | 1.000 | 1.079 | 8.0 |\n";
    assert_eq!(told(&sample.replace(table, markdown)), "");
}

/// A record that only leads into a circle of `like:` is not the one that has to state its plate.
#[test]
fn a_circle_of_like_is_told_once_at_a_member_of_it() {
    let folder = tempfile::tempdir().expect("a folder");
    for (id, like) in [("A1", "B1"), ("B1", "C1"), ("C1", "B1"), ("D1", "A1")] {
        let text = format!("format: 1\n[ct]\nid: {id}\n[core S]\nlike: {like}\n");
        std::fs::write(folder.path().join(format!("{id}.ctr")), text).expect("a record");
    }
    let mut command = assert_cmd::Command::cargo_bin("kneemark").expect("the program");
    let arguments = ["check", "--format", "short", "."];
    let output = command.current_dir(folder.path()).args(arguments).output();
    let said = String::from_utf8(output.expect("it ran").stdout).expect("text");
    let told: Vec<&str> = said
        .lines()
        .filter(|line| line.contains("like-unknown"))
        .collect();
    assert_eq!(told.len(), 1, "{said}");
    let member = told[0].starts_with("B1.ctr:5:") || told[0].starts_with("C1.ctr:5:");
    assert!(member && told[0].contains("leads back"), "{said}");
}
