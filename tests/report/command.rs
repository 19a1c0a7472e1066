//! `kneemark report` as a person runs it.

use assert_cmd::Command;
use std::path::Path;

fn run(arguments: &[&str]) -> assert_cmd::assert::Assert {
    Command::cargo_bin("kneemark")
        .unwrap()
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .arg("report")
        .args(arguments)
        .assert()
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn both_files_are_written_and_the_exit_code_tells_the_outcome() {
    let out = tempfile::tempdir().unwrap();
    let folder = out.path().to_str().unwrap();
    run(&["records/skerrow/k03/k03-l1.ctr", "-o", folder]).code(0);
    run(&[
        "records/skerrow/h08/h08-l1.ctr",
        "-o",
        folder,
        "--paper",
        "letter",
    ])
    .code(1);
    assert_eq!(
        names(out.path()),
        [
            "brw-24-01208.html",
            "brw-24-01208.md",
            "brw-25-41304.html",
            "brw-25-41304.md"
        ]
    );
    let page = std::fs::read_to_string(out.path().join("brw-25-41304.html")).unwrap();
    assert!(page.contains("size:letter") && page.contains("sisters, 2"));
    // Its own files it may replace.
    run(&["records/skerrow/k03/k03-l1.ctr", "-o", folder]).code(0);
}

#[test]
fn a_file_of_somebody_else_is_not_overwritten() {
    let out = tempfile::tempdir().unwrap();
    let stranger = out.path().join("brw-24-01208.html");
    std::fs::write(&stranger, "<p>mine</p>").unwrap();
    run(&[
        "records/skerrow/k03/k03-l1.ctr",
        "-o",
        out.path().to_str().unwrap(),
    ])
    .code(2);
    assert_eq!(std::fs::read_to_string(&stranger).unwrap(), "<p>mine</p>");
    assert_eq!(names(out.path()), ["brw-24-01208.html"]);
}

/// Neighbours are no reason to refuse; what somebody else wrote is.
#[test]
fn a_report_may_lie_beside_the_records_of_its_job() {
    let folder = tempfile::tempdir().unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("records");
    for name in ["instruments.toml", "criteria.toml", "pack.toml"] {
        std::fs::copy(root.join(name), folder.path().join(name)).unwrap();
    }
    let record = root.join("skerrow/k03/k03-l1.ctr");
    std::fs::copy(record, folder.path().join("k03-l1.ctr")).unwrap();
    for out in [".", "out"] {
        Command::cargo_bin("kneemark")
            .unwrap()
            .current_dir(folder.path())
            .args(["report", "k03-l1.ctr", "-o", out])
            .assert()
            .code(0);
        let html = folder.path().join(out).join("brw-24-01208.html");
        assert!(html.exists(), "{out}");
    }
}

#[test]
fn beside_a_record_of_no_job_its_report_is_written_and_its_errors_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let record = folder.path().join("a.ctr");
    let text = "format: 1\n[ct]\nid: A\ntype: cell 3 C\n[core 1S]\nburden: 15 kg\n";
    std::fs::write(&record, text).unwrap();
    let told = Command::cargo_bin("kneemark")
        .unwrap()
        .current_dir(folder.path())
        .args(["report", "a.ctr"])
        .assert()
        .code(2);
    let told = String::from_utf8_lossy(&told.get_output().stderr).into_owned();
    assert!(told.contains("15 kg"), "{told}");
    assert_eq!(names(folder.path()), ["a.ctr", "a.html", "a.md"]);
    let written = std::fs::read_to_string(folder.path().join("a.md")).unwrap();
    // A text that looks like a temperature stays a text.
    assert!(written.contains("type cell 3 C") && !written.contains("3 °C"));
    // A record that bears the name of its report, and kneemark's own mark, is left alone.
    let record = folder.path().join("b.md");
    let mark = written.lines().last().unwrap();
    let text = format!("format: 1\n[ct]\nid: B\n# x\n{mark}\n");
    assert!(kneemark::document::is_ours(text.as_bytes()));
    std::fs::write(&record, &text).unwrap();
    run(&[
        record.to_str().unwrap(),
        "-o",
        folder.path().to_str().unwrap(),
    ])
    .code(2);
    assert_eq!(std::fs::read_to_string(&record).unwrap(), text);
}

/// Verdicts by the defaults are none that the job asked for.
#[test]
fn criteria_that_cannot_be_read_are_told() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::copy(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("records/skerrow/k03/k03-l1.ctr"),
        folder.path().join("a.ctr"),
    )
    .unwrap();
    let criteria = folder.path().join("criteria.toml");
    for (text, code) in [("[decision]\n", 0), ("[decision\n", 2), ("\u{0}", 2)] {
        std::fs::write(&criteria, text).unwrap();
        let told = Command::cargo_bin("kneemark")
            .unwrap()
            .current_dir(folder.path())
            .args(["report", "a.ctr"])
            .assert()
            .code(code);
        let said = String::from_utf8_lossy(&told.get_output().stderr).into_owned();
        assert_eq!(said.contains("criteria.toml"), code == 2, "{said}");
        let page = std::fs::read_to_string(folder.path().join("brw-24-01208.md")).unwrap();
        let broken = page.contains("criteria.toml could not be read");
        assert_eq!(broken, code == 2, "{text:?}");
    }
}

/// What a report leaves out it says, so that it can be made again.
#[test]
fn annexes_are_asked_for_by_name_and_the_report_can_be_verified() {
    let out = tempfile::tempdir().unwrap();
    let folder = out.path().to_str().unwrap();
    let record = "records/skerrow/k03/k03-l1.ctr";
    for (annexes, chapters) in [
        (&[][..], &[][..]),
        (
            &["--annex", "readings,sources"][..],
            &["## Readings as written", "## Where the limits come from"][..],
        ),
        (
            &["--annex", "all"][..],
            &["## All values", "## Readings as written", "## Workings"][..],
        ),
    ] {
        run(&[&[record, "-o", folder], annexes].concat()).code(0);
        let page = out.path().join("brw-24-01208.md");
        let text = std::fs::read_to_string(&page).unwrap();
        let all = ["All values", "Readings as written", "Workings"];
        for chapter in all.map(|name| format!("## {name}")) {
            let wanted = chapters.contains(&chapter.as_str());
            assert_eq!(
                text.contains(&format!("\n{chapter}\n")),
                wanted,
                "{chapter}"
            );
        }
        Command::cargo_bin("kneemark")
            .unwrap()
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .args(["verify", page.to_str().unwrap(), record])
            .assert()
            .code(0);
    }
}

#[test]
fn what_is_no_record_is_told() {
    run(&["records/skerrow"]).code(2);
    run(&["nowhere.ctr"]).code(2);
}

/// Two ids may give one name of a file, and two jobs one id.
#[test]
fn a_file_of_another_ct_is_not_overwritten() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    let record = |name: &str, id: &str, place: &str| {
        let text = format!(
            "format: 1\n[ct]\nid: {id}\n{place}[core 1S]\nratio: 600/1 A\nclass: 5P20\nburden: 15 VA\n"
        );
        std::fs::write(at(name), text).unwrap();
    };
    std::fs::create_dir(at("other")).unwrap();
    record("a.ctr", "X 1", "");
    record("b.ctr", "x-1", "");
    record("other/c.ctr", "X 1", "");
    let out = at("out");
    let made = |command: &str, name: &str| {
        let output = Command::cargo_bin("kneemark")
            .unwrap()
            .arg(command)
            .arg(at(name))
            .arg("-o")
            .arg(&out)
            .output()
            .unwrap();
        let mut said = String::from_utf8_lossy(&output.stdout).into_owned();
        said += &String::from_utf8_lossy(&output.stderr);
        (output.status.code(), said)
    };
    for (command, file) in [("report", "x-1.html"), ("worksheet", "x-1-worksheet.html")] {
        assert_eq!(made(command, "a.ctr").0, Some(0));
        let before = std::fs::read(out.join(file)).unwrap();
        let (code, said) = made(command, "b.ctr");
        assert_eq!(code, Some(2), "{said}");
        assert!(
            said.contains(file.trim_end_matches(".html")) && said.contains("is there already, of "),
            "{said}"
        );
        assert!(said.contains("X 1") && said.contains("x-1"), "{said}");
        assert_eq!(std::fs::read(out.join(file)).unwrap(), before);
    }
    let (code, said) = made("report", "other/c.ctr");
    assert_eq!(code, Some(2), "{said}");
    assert!(
        said.contains("(a.ctr)") && said.contains("(c.ctr)"),
        "{said}"
    );
    // Its own it may replace, also from another place.
    record("a.ctr", "X 1", "[place since 2026-01-01]\nsite: Skerrow\n");
    assert_eq!(made("report", "a.ctr").0, Some(0));
    assert_eq!(names(&out).len(), 4, "no litter");
}
