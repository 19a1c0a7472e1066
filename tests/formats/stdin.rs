//! One record from standard input, as an editor hands it over.

use super::command::{FORMATS, check};
use std::path::Path;

const RECORD: &str = "records/skerrow/h08/h08-l1.ctr";

fn text(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    std::fs::read_to_string(path).expect("a record")
}

fn said(arguments: &[&str], input: impl Into<Vec<u8>>) -> (Option<i32>, String) {
    let output = check(arguments)
        .write_stdin(input)
        .output()
        .expect("it ran");
    (
        output.status.code(),
        String::from_utf8(output.stdout).expect("text"),
    )
}

/// With its file named, it is that file in every respect: settings, sisters, names.
#[test]
fn a_text_is_checked_as_the_file_it_is_of() {
    for format in FORMATS {
        let by_name = said(&["--format", format, RECORD], "");
        let by_text = said(&["--format", format, "-", "--as", RECORD], text(RECORD));
        assert!(by_name == by_text, "{format}");
        assert_eq!(by_text.0, Some(1));
    }
}

/// What holds is the text, not what the file holds; nor need there be a file.
#[test]
fn a_text_need_not_be_saved() {
    let (code, told) = said(&["--format", "short", "-", "--as", RECORD], "nonsense\n");
    assert!(told.contains("h08-l1.ctr:1:1: error stray-line"), "{told}");
    assert_eq!(code, Some(2));
    let new = text(RECORD)
        .replace("phase: L1", "phase: L4")
        .replace("id: BRW-25-41304", "id: X");
    let (_, told) = said(
        &[
            "--format",
            "json",
            "-",
            "--as",
            "records/skerrow/h08/new.ctr",
        ],
        new,
    );
    let told: serde_json::Value = serde_json::from_str(&told).expect("it is JSON");
    let basis = told["records"][0]["basis"]
        .as_array()
        .expect("what it stands on");
    let count = |what: &str| basis.iter().filter(|part| part["what"] == what).count();
    assert_eq!(count("sister"), 3);
    let criteria = basis
        .iter()
        .find(|part| part["what"] == "criteria")
        .expect("criteria");
    assert_ne!(criteria["sum"], "", "those of the job hold");
    // The file of the same id beside it is another record.
    let (code, told) = said(
        &[
            "--format",
            "short",
            "-",
            "--as",
            "records/skerrow/h08/new.ctr",
        ],
        text(RECORD),
    );
    assert!(told.contains("error id-duplicate"), "{told}");
    assert_eq!(code, Some(2));
}

/// Without a file it has the settings of the folder that one stands in, and no sisters there.
#[test]
fn a_text_alone_has_the_settings_of_its_folder() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("records/skerrow/h08");
    let there = check(&["--format", "json", "-"])
        .current_dir(folder)
        .write_stdin(text(RECORD))
        .output()
        .expect("it ran");
    let told: serde_json::Value = serde_json::from_slice(&there.stdout).expect("it is JSON");
    let record = &told["records"][0];
    assert_eq!(record["file"], "<stdin>");
    let basis = record["basis"].as_array().expect("what it stands on");
    let sum = |what: &str| {
        basis
            .iter()
            .filter(|part| part["what"] == what)
            .map(|part| &part["sum"])
            .collect::<Vec<_>>()
    };
    assert_eq!(sum("sister").len(), 0);
    assert!(sum("instruments").iter().all(|sum| **sum != ""));
    assert_eq!(record["readable"], true);
    let empty = tempfile::tempdir().expect("a folder");
    let alone = check(&["--format", "short", "-"])
        .current_dir(empty.path())
        .write_stdin(text(RECORD))
        .output()
        .expect("it ran");
    let told = String::from_utf8(alone.stdout).expect("text");
    assert!(
        told.contains("<stdin>:") && told.contains("instruments-missing"),
        "{told}"
    );
}

#[test]
fn what_is_too_long_or_no_text_is_told() {
    let (code, told) = said(&["--format", "short", "-"], vec![b' '; (64 << 20) + 1]);
    assert!(
        told.contains(
            "<stdin>:1:1: error file-unreadable: the file cannot be read: 67108865 bytes"
        ),
        "{told}"
    );
    assert_eq!(code, Some(2));
    let (code, told) = said(&["--format", "short", "-"], vec![b' '; (4 << 20) + 1]);
    assert!(told.contains("<stdin>:1:1: error too-long"), "{told}");
    assert_eq!(code, Some(2));
    let (code, told) = said(&["--format", "short", "-"], vec![0xff]);
    assert!(told.contains("<stdin>:1:1: error not-utf8"), "{told}");
    assert_eq!(code, Some(2));
    assert_eq!(said(&["-"], "").0, Some(2));
}

#[test]
fn standard_input_is_one_record_and_nothing_else() {
    for wrong in [
        &["-", RECORD][..],
        &[RECORD, "-"],
        &["-", "-"],
        &["--as", RECORD, RECORD],
    ] {
        let output = check(wrong).write_stdin("").output().expect("it ran");
        assert_eq!(output.status.code(), Some(64), "{wrong:?}");
        assert!(output.stdout.is_empty() && !output.stderr.is_empty());
    }
}
