//! The command: what it writes, prints and answers.

use assert_cmd::Command;
use std::fs;
use std::path::Path;

const UNEVEN: &str = "format: 1\n[ct]\nid:   A1\n";
const EVEN: &str = "format: 1\n[ct]\nid: A1\n";

fn run(folder: &Path, arguments: &[&str], typed: &str) -> (i32, String, String) {
    let mut command = Command::cargo_bin("kneemark").expect("built");
    let output = command
        .current_dir(folder)
        .arg("fmt")
        .args(arguments)
        .write_stdin(typed)
        .output()
        .expect("run");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("text");
    (
        output.status.code().expect("ended"),
        text(output.stdout),
        text(output.stderr),
    )
}

#[test]
fn it_writes_what_changes_and_names_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    fs::create_dir(at("r")).expect("a folder");
    fs::write(at("r/a.ctr"), UNEVEN).expect("a record");
    fs::write(at("r/b.ctr"), EVEN).expect("a record");
    fs::write(at("r/c.txt"), UNEVEN).expect("a text");
    let (code, out, _) = run(folder.path(), &["--check", "r"], "");
    assert_eq!((code, out.as_str()), (1, "r/a.ctr\n"));
    let (code, out, _) = run(folder.path(), &["--diff", "r"], "");
    assert_eq!(code, 1);
    assert_eq!(
        out,
        "--- r/a.ctr\n+++ r/a.ctr\n@@ -1,3 +1,3 @@\n format: 1\n [ct]\n-id:   A1\n+id: A1\n"
    );
    assert_eq!(fs::read_to_string(at("r/a.ctr")).expect("there"), UNEVEN);
    let (code, out, _) = run(folder.path(), &["r"], "");
    assert_eq!((code, out.as_str()), (0, "r/a.ctr\n"));
    assert_eq!(fs::read_to_string(at("r/a.ctr")).expect("there"), EVEN);
    assert_eq!(fs::read_to_string(at("r/c.txt")).expect("there"), UNEVEN);
    let (code, out, _) = run(folder.path(), &["--check", "r"], "");
    assert_eq!((code, out.as_str()), (0, ""));
}

#[test]
fn an_editor_gets_back_what_it_gave() {
    let folder = tempfile::tempdir().expect("a folder");
    let piped = |typed: &str| run(folder.path(), &["-"], typed);
    assert_eq!(piped(UNEVEN), (0, EVEN.to_owned(), String::new()));
    assert_eq!(piped("").1, "");
    assert_eq!(piped("\u{feff}[ct]\nid:  A1\n").1, "\u{feff}[ct]\nid: A1\n");
    // Refused, and not lost.
    let (code, out, told) = piped("[ct]\rid:  A1\n");
    assert_eq!((code, out.as_str()), (2, "[ct]\rid:  A1\n"));
    assert!(told.contains("carriage return"), "{told}");
    assert_eq!(run(folder.path(), &["-", "--check"], UNEVEN).0, 1);
    assert_eq!(run(folder.path(), &["-", "-"], UNEVEN).0, 64);
}

#[test]
fn what_cannot_be_read_is_told_and_the_rest_is_laid_out() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    fs::write(at("a.ctr"), UNEVEN).expect("a record");
    fs::write(at("b.ctr"), b"[ct]\nid: \xff\n").expect("bytes");
    fs::create_dir(at("c.ctr")).expect("a folder");
    let (code, out, told) = run(folder.path(), &["."], "");
    assert_eq!((code, out.as_str()), (2, "a.ctr\n"));
    assert!(told.contains("not UTF-8"), "{told}");
    fs::write(at("pack.toml"), "[ a ]\n").expect("settings");
    let (code, _, told) = run(folder.path(), &["pack.toml"], "");
    assert!(code == 2 && told.contains("ends in .ctr"), "{told}");
    assert_eq!(fs::read(at("pack.toml")).expect("there"), b"[ a ]\n");
    let (code, _, told) = run(folder.path(), &["none.ctr"], "");
    assert_eq!(code, 2);
    assert!(told.contains("no such file"), "{told}");
}

#[test]
fn what_new_writes_is_laid_out() {
    let folder = tempfile::tempdir().expect("a folder");
    let made = |arguments: &[&str]| {
        let mut command = Command::cargo_bin("kneemark").expect("built");
        command
            .current_dir(folder.path())
            .arg("new")
            .args(arguments)
            .assert()
            .success();
    };
    made(&["-o", "blank.ctr"]);
    let cores = [
        "1S 0.5 FS10 15 VA 600/1 A",
        "2S PX 600/1 A knee 300 V exciting 30 mA at 300 V resistance 3.40 ohm at 75 C",
        "3S 5P20 15 VA 600/1 A, 3S1-3S2 300/1, 3S1-3S3 600/1",
    ];
    let mut arguments = vec!["-o", "a.ctr", "--standard", "IEC 61869-2:2012"];
    arguments.extend(cores.iter().flat_map(|core| ["--core", core]));
    made(&arguments);
    for purpose in ["factory", "commissioning", "maintenance", "retest"] {
        made(&[
            "--from",
            "a.ctr",
            "--append",
            "--purpose",
            purpose,
            "--date",
            "2026-11-02",
        ]);
    }
    assert_eq!(
        run(folder.path(), &["--diff", "."], ""),
        (0, String::new(), String::new())
    );
}
