//! `kneemark import` and `kneemark sheet` by the real program.

use kneemark::cli::examples;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use tempfile::TempDir;

fn run(folder: &Path, arguments: &[&str]) -> (Output, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_kneemark"));
    let done = command
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("a program");
    let said = [done.stdout.clone(), done.stderr.clone()].concat();
    (done, String::from_utf8(said).expect("text"))
}

/// Two phases of a bay with a visit each, and what stands in their folder.
fn bay() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fs::create_dir(folder.path().join("records")).expect("a folder");
    for phase in ["l1", "l2"] {
        let text = format!(
            "format: 1\n[ct]\nid: {}\nstandard: IEC 61869-2:2012\nsite: S\nbay: H01\nphase: {phase}\n[core 1S]\nratio: 600/1 A\nclass: 5P20\nburden: 15 VA\n\n\
             [visit 2026-01-10]\npurpose: commissioning\n\n[resistance]\non       resistance/ohm\n1S1-1S2  2.80\n\n# the next one\n[visit 2026-02-10]\npurpose: retest\n",
            phase.to_uppercase()
        );
        fs::write(folder.path().join(format!("records/{phase}.ctr")), text).expect("a file");
    }
    folder
}

fn all(folder: &Path) -> Vec<(String, String)> {
    let mut files: Vec<(String, String)> = fs::read_dir(folder.join("records"))
        .expect("a folder")
        .map(|entry| {
            let path = entry.expect("an entry").path();
            (
                path.display().to_string(),
                fs::read_to_string(&path).expect("a file"),
            )
        })
        .collect();
    files.sort();
    files
}

/// A curve as a table, brought into the first record.
const INTO_L1: [&str; 9] = [
    "import",
    "readings",
    "curve.csv",
    "--as",
    "excitation",
    "--on",
    "1S1-1S2",
    "--into",
    "records/l1.ctr",
];

fn put_curve(bay: &TempDir) {
    let path = bay.path().join("curve.csv");
    fs::write(path, "voltage/V,current/mA\n100.3,2.84\n").expect("a file");
}

const SHEET: &str = "id,core,on,resistance resistance/ohm,resistance temperature/C,burden current/A,burden voltage/V,burden angle/deg,visit tested by\n\
                     L1,1S,1S1-1S2,2.81,14.5,1.000,1.09,8.2,R. Anvik\nL2,1S,1S1-1S2,2.83,14.5,1.001,1.10,8.0,R. Anvik\n";

#[test]
fn a_sheet_becomes_a_visit_of_each_unit() {
    let bay = bay();
    fs::write(bay.path().join("bay.csv"), SHEET).expect("a file");
    let words = [
        "import",
        "sheet",
        "bay.csv",
        "records",
        "--day",
        "2026-09-14",
        "--purpose",
        "maintenance",
    ];
    let before = all(bay.path());
    let (done, said) = run(bay.path(), &[&words[..], &["--dry-run"]].concat());
    assert_eq!(done.status.code(), Some(0), "{said}");
    assert_eq!(all(bay.path()), before);
    assert!(
        said.contains("[visit 2026-09-14]\npurpose: maintenance\n"),
        "{said}"
    );
    let (done, said) = run(bay.path(), &words);
    assert_eq!(done.status.code(), Some(0), "{said}");
    let after = all(bay.path());
    for ((_, before), (path, after)) in before.iter().zip(&after) {
        assert!(after.starts_with(before), "{path}: {after}");
        assert!(after.ends_with("\n[burden]\non       current/A  voltage/V  angle/deg\n1S1-1S2  1.000      1.09       8.2\n")
            || after.ends_with("\n1S1-1S2  1.001      1.10       8.0\n"), "{after}");
    }
    // The same again is no new visit: a run that was stopped goes on where it ended.
    let (done, said) = run(bay.path(), &words);
    assert_eq!(done.status.code(), Some(0), "{said}");
    assert_eq!(
        said.matches("ends with these lines already").count(),
        2,
        "{said}"
    );
    assert_eq!(all(bay.path()), after);
    // Another sheet of that day is none of it, and nothing is written over.
    fs::write(bay.path().join("bay.csv"), SHEET.replace("2.81", "2.82")).expect("a file");
    let (done, said) = run(bay.path(), &words);
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(said.contains("nothing was written"), "{said}");
    assert_eq!(all(bay.path()), after);
}

#[test]
fn a_sheet_is_brought_in_as_a_whole_or_not_at_all() {
    for (old, new, told) in [
        ("L2,1S,1S1-1S2,2.83", "L2,1S,1S1-1S2,2.8x3", "row 3: "),
        ("L2,1S,1S1-1S2,2.83", "L2,1S,1S1-1S9,2.83", "row 3: "),
        (
            "L2,1S,1S1-1S2,2.83",
            "L2,1S,,2.83",
            "row 3: a row of [resistance] is of a pair, and `on` is empty",
        ),
        ("\nL2,", "\nL3,", "row 3: no record has the id `L3`"),
        (
            "burden current/A",
            "burden current",
            "column F: the heading has no unit",
        ),
        (",visit tested by", ",maker", "no columns of a plate"),
        ("id,", "unit,", "no column `id`"),
    ] {
        let bay = bay();
        assert!(SHEET.contains(old), "{old}");
        fs::write(bay.path().join("bay.csv"), SHEET.replacen(old, new, 1)).expect("a file");
        let before = all(bay.path());
        let (done, said) = run(
            bay.path(),
            &[
                "import",
                "sheet",
                "bay.csv",
                "records",
                "--day",
                "2026-09-14",
            ],
        );
        assert_eq!(done.status.code(), Some(2), "{new}: {said}");
        assert!(said.contains(told), "{new}: {said}");
        assert_eq!(all(bay.path()), before, "{new}");
    }
}

#[test]
fn readings_go_behind_what_stands_in_a_visit() {
    let bay = bay();
    fs::write(
        bay.path().join("curve.csv"),
        "voltage/V,current/mA\n100.3,2.84\n200.2,4.53\n",
    )
    .expect("a file");
    let words = INTO_L1;
    let before = all(bay.path());
    let (done, said) = run(
        bay.path(),
        &[&words[..], &["--visit", "2026-01-10"]].concat(),
    );
    assert_eq!(done.status.code(), Some(0), "{said}");
    let after = all(bay.path());
    let new = "\n[excitation 1S1-1S2]\nvoltage/V  current/mA\n100.3      2.84\n200.2      4.53\n";
    assert_eq!(
        after[0].1,
        before[0]
            .1
            .replacen("\n\n# the next", &format!("\n{new}\n# the next"), 1)
    );
    // It is there now.
    let (done, said) = run(
        bay.path(),
        &[&words[..], &["--visit", "2026-01-10"]].concat(),
    );
    assert_eq!(done.status.code(), Some(2), "{said}");
    let (done, said) = run(
        bay.path(),
        &[&words[..], &["--visit", "2026-01-11"]].concat(),
    );
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert_eq!(all(bay.path()), after);
    // Without a visit named it goes to the last.
    let (done, said) = run(bay.path(), &words);
    assert_eq!(done.status.code(), Some(0), "{said}");
    assert!(all(bay.path())[0].1.ends_with(new));
    // A pair that no core has.
    let (done, said) = run(
        bay.path(),
        &[&words[..6], &["7S1-7S2", "--into", "records/l2.ctr"]].concat(),
    );
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert_eq!(all(bay.path())[1], before[1]);
}

#[test]
fn it_is_known_which_visit_is_meant() {
    let bay = bay();
    put_curve(&bay);
    let path = bay.path().join("records/l1.ctr");
    let text = fs::read_to_string(&path).expect("a file");
    fs::write(&path, text + "\n[visit 2026-13-05]\npurpose: retest\n").expect("a file");
    let before = all(bay.path());
    let words = INTO_L1;
    let (done, said) = run(bay.path(), &words);
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(said.contains("has no date that can be read"), "{said}");
    assert_eq!(all(bay.path()), before);
    let (done, said) = run(
        bay.path(),
        &[&words[..], &["--visit", "2026-02-10"]].concat(),
    );
    assert_eq!(done.status.code(), Some(0), "{said}");
    assert!(said.contains("[visit 2026-02-10], lines"), "{said}");
    assert!(
        all(bay.path())[0].1.contains("2.84\n\n[visit 2026-13-05]"),
        "{:?}",
        all(bay.path())[0]
    );
}

#[test]
fn a_second_visit_of_a_day_has_a_letter() {
    let bay = bay();
    fs::write(bay.path().join("bay.csv"), SHEET).expect("a file");
    let words = ["import", "sheet", "bay.csv", "records", "--day"];
    for day in ["2026-09-14", "2026-09-14 b"] {
        let (done, said) = run(bay.path(), &[&words[..], &[day]].concat());
        assert_eq!(done.status.code(), Some(0), "{day}: {said}");
    }
    for day in ["2026-09-14 B", "2026-09-14 bb", "b", "2026-09-31"] {
        let (done, said) = run(bay.path(), &[&words[..], &[day]].concat());
        assert_eq!(done.status.code(), Some(2), "{day}: {said}");
    }
}

#[test]
fn lines_of_options_are_lines() {
    let bay = bay();
    put_curve(&bay);
    fs::write(bay.path().join("bay.csv"), SHEET).expect("a file");
    let before = all(bay.path());
    let readings = [
        "import",
        "readings",
        "curve.csv",
        "--as",
        "excitation",
        "--into",
        "records/l1.ctr",
    ];
    let sheet = [
        "import",
        "sheet",
        "bay.csv",
        "records",
        "--day",
        "2026-09-14",
    ];
    for (words, more) in [
        (
            &readings[..],
            ["--key", "voltmeter: mean\n\n[visit 2030-01-01]"],
        ),
        (&readings[..], ["--key", "voltmeter"]),
        (&readings[..], ["--on", "1S1-1S2]\n[visit 2030-01-01"]),
        (&sheet[..], ["--purpose", "retest\nnote: x"]),
    ] {
        let (done, said) = run(bay.path(), &[words, &more].concat());
        assert_eq!(done.status.code(), Some(2), "{more:?}: {said}");
        assert!(said.contains("cannot hold this"), "{more:?}: {said}");
        assert_eq!(all(bay.path()), before, "{more:?}");
    }
}

#[cfg(unix)]
#[test]
fn what_was_written_before_a_fault_is_named() {
    let bay = bay();
    fs::write(bay.path().join("bay.csv"), SHEET).expect("a file");
    // Nothing can be put beside the second record: its folder is closed.
    let closed = bay.path().join("records/closed");
    fs::create_dir(&closed).expect("a folder");
    fs::rename(bay.path().join("records/l2.ctr"), closed.join("l2.ctr")).expect("moved");
    let mode = |mode| std::os::unix::fs::PermissionsExt::from_mode(mode);
    fs::set_permissions(&closed, mode(0o555)).expect("closed");
    if fs::write(closed.join("probe"), "").is_ok() {
        // Nothing is closed to this user.
        fs::set_permissions(&closed, mode(0o755)).expect("open");
        return;
    }
    let (done, said) = run(
        bay.path(),
        &[
            "import",
            "sheet",
            "bay.csv",
            "records",
            "--day",
            "2026-09-14",
        ],
    );
    fs::set_permissions(&closed, mode(0o755)).expect("open");
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(
        said.contains("written before that: records/l1.ctr")
            && !said.contains("nothing was written"),
        "{said}"
    );
}

#[test]
fn the_mark_of_a_text_stays() {
    let bay = bay();
    put_curve(&bay);
    let path = bay.path().join("records/l1.ctr");
    let text = fs::read(&path).expect("a file");
    fs::write(&path, [b"\xef\xbb\xbf".as_slice(), &text].concat()).expect("a file");
    let (done, said) = run(bay.path(), &INTO_L1);
    assert_eq!(done.status.code(), Some(0), "{said}");
    assert!(
        fs::read(&path)
            .expect("a file")
            .starts_with(b"\xef\xbb\xbfformat")
    );
}

#[test]
fn units_of_one_sheet_may_differ_from_record_to_record() {
    let bay = bay();
    for (name, unit) in [("l1", "A"), ("l2", "mA")] {
        let path = bay.path().join(format!("records/{name}.ctr"));
        let text = fs::read_to_string(&path).expect("a file");
        fs::write(
            &path,
            format!("{text}\n[burden]\non  current/{unit}  voltage/V\n1S1-1S2  1.01  1.20\n"),
        )
        .expect("a file");
    }
    let (_, said) = run(bay.path(), &["sheet", "records", "-o", "out.csv"]);
    let sheet = fs::read_to_string(bay.path().join("out.csv")).expect("a file");
    assert!(
        sheet.contains("burden current/A") && sheet.contains("burden current/mA"),
        "{said}{sheet}"
    );
    let words = [
        "import",
        "sheet",
        "out.csv",
        "records",
        "--day",
        "2026-09-14",
    ];
    let (done, said) = run(bay.path(), &words);
    assert_eq!(done.status.code(), Some(0), "{said}");
    assert!(
        all(bay.path())[1]
            .1
            .ends_with("\n[burden]\non       voltage/V  current/mA\n1S1-1S2  1.20       1.01\n"),
        "{:?}",
        all(bay.path())[1]
    );
    // Both in one row.
    fs::write(
        bay.path().join("out.csv"),
        sheet.replace(",1.01,1.20,", ",1.01,1.20,2"),
    )
    .expect("a file");
    let (done, said) = run(bay.path(), &[&words[..5], &["2026-09-15"]].concat());
    assert_eq!(done.status.code(), Some(2), "{said}");
}

#[test]
fn line_ends_of_the_record_are_kept() {
    let bay = bay();
    let path = bay.path().join("records/l1.ctr");
    let text = fs::read_to_string(&path)
        .expect("a file")
        .replace('\n', "\r\n");
    fs::write(&path, text.trim_end()).expect("a file");
    put_curve(&bay);
    let (done, said) = run(bay.path(), &INTO_L1);
    assert_eq!(done.status.code(), Some(0), "{said}");
    let after = fs::read_to_string(&path).expect("a file");
    assert!(
        after.starts_with(text.trim_end()) && after.ends_with("2.84\r\n"),
        "{after:?}"
    );
    assert_eq!(after.matches('\n').count(), after.matches("\r\n").count());
}

#[test]
fn no_record_is_written_over_by_a_list_of_plates() {
    let bay = bay();
    let list = "id,core,core ratio\nN-1,1S,600/1 A\nN 1,1S,600/1 A\n";
    fs::write(bay.path().join("plates.csv"), list).expect("a file");
    let words = ["import", "plates", "plates.csv", "-o", "records"];
    let (done, said) = run(bay.path(), &words);
    assert_eq!(done.status.code(), Some(0), "{said}");
    let names: Vec<String> = all(bay.path()).into_iter().map(|(path, _)| path).collect();
    assert!(
        names.iter().any(|name| name.ends_with("n-1.ctr"))
            && names.iter().any(|name| name.ends_with("n-1-2.ctr")),
        "{names:?}"
    );
    let before = all(bay.path());
    let (done, said) = run(bay.path(), &words);
    assert_eq!(done.status.code(), Some(2), "{said}");
    assert!(said.contains("n-1.ctr is there already"), "{said}");
    assert_eq!(all(bay.path()), before);
}

#[test]
fn a_blank_sheet_asks_for_what_is_due() {
    let bay = bay();
    let (done, said) = run(
        bay.path(),
        &[
            "sheet",
            "records",
            "--blank",
            "commissioning",
            "--tests",
            "resistance,burden",
        ],
    );
    assert_eq!(done.status.code(), Some(0), "{said}");
    let lines: Vec<&str> = said.lines().collect();
    for head in [
        "id,bay,phase,day,core,on,",
        "visit tested by",
        "visit ambient/C",
        "resistance current/A",
        "resistance temperature/C",
        "burden current/A",
    ] {
        assert!(lines[0].contains(head), "{head}: {}", lines[0]);
    }
    assert!(
        lines
            .iter()
            .any(|line| line.starts_with("L2,H01,l2,,1S,1S1-1S2,")),
        "{said}"
    );
    assert!(!said.contains("2.80"), "{said}");
}

#[test]
fn a_text_is_no_formula_in_the_sheet_and_comes_back_as_it_was() {
    let bay = bay();
    let path = bay.path().join("records/l1.ctr");
    let text = fs::read_to_string(&path).expect("a file");
    fs::write(
        &path,
        text.replace(
            "purpose: retest\n",
            "purpose: retest\ntested by: =HYPERLINK(\"x\")\nreviewed by: -1+HYPERLINK(\"y\")\nwitnessed by: '=quoted\nhumidity: 61 %\n",
        ),
    )
    .expect("a file");
    let (_, sheet) = run(bay.path(), &["sheet", "records/l1.ctr", "-o", "out.csv"]);
    let written = fs::read_to_string(bay.path().join("out.csv")).expect("a file");
    assert!(
        written.contains("'=HYPERLINK")
            && written.contains("'-1+HYPERLINK")
            && written.contains("''=quoted"),
        "{sheet} {written}"
    );
    let (done, said) = run(
        bay.path(),
        &[
            "import",
            "sheet",
            "out.csv",
            "records",
            "--day",
            "2026-09-14",
            "--dry-run",
        ],
    );
    assert_eq!(done.status.code(), Some(0), "{said}");
    for line in [
        "tested by: =HYPERLINK(\"x\")\n",
        "reviewed by: -1+HYPERLINK(\"y\")\n",
        "witnessed by: '=quoted\n",
    ] {
        assert!(said.contains(line), "{said}");
    }
    let (done, said) = run(bay.path(), &["sheet", "records/l1.ctr", "-o", "out.csv"]);
    assert_eq!(done.status.code(), Some(2), "{said}");
}

#[test]
fn their_examples_run() {
    let bay = bay();
    for (name, text) in [
        ("curve.csv", "voltage/V,current/mA\n100.3,2.84\n"),
        ("bay.csv", SHEET),
        ("plates.csv", "id,core,core ratio\nN-1,1S,600/1 A\n"),
    ] {
        fs::write(bay.path().join(name), text).expect("a file");
    }
    for text in [
        examples::IMPORT_READINGS,
        examples::IMPORT_SHEET,
        examples::IMPORT_PLATES,
        examples::SHEET,
    ] {
        let (_, lines) = text.split_once("Examples:\n").expect("examples");
        for line in lines.lines() {
            let words: Vec<String> = line
                .split('"')
                .enumerate()
                .flat_map(|(at, part)| match at % 2 {
                    0 => part
                        .split_whitespace()
                        .map(str::to_owned)
                        .collect::<Vec<_>>(),
                    _ => vec![part.to_owned()],
                })
                .skip(1)
                .collect();
            let words: Vec<&str> = words.iter().map(String::as_str).collect();
            let (done, said) = run(bay.path(), &words);
            assert_eq!(done.status.code(), Some(0), "{line}: {said}");
        }
    }
}

/// A test as found and as left has columns of each stage, in the order of the work, and comes back as it was.
#[test]
fn a_test_of_two_stages_comes_back_with_both() {
    let bay = tempfile::tempdir().expect("a folder");
    let section = |(stage, ohm): (&str, &str)| {
        format!(
            "\n[resistance]\nstage: {stage}\nwires: 4\ntemperature: 20 C\non     resistance/ohm\nS1-S2  {ohm}\n"
        )
    };
    let plate = "format: 1\n[ct]\nid: A1\n[core S]\nratio: 600/1 A\n";
    let earth = "\n[single-earth]\ncore | at | resistance/Mohm | put back\nS | panel | 120 | yes\n";
    let [found, left] = [("as found", "9.1"), ("as left", "2.8")].map(section);
    let visit = format!("\n[visit 2026-03-14]\n{found}{earth}{left}");
    fs::write(bay.path().join("a1.ctr"), format!("{plate}{visit}")).expect("written");
    let (done, said) = run(bay.path(), &["sheet", "a1.ctr", "-o", "out.csv"]);
    assert_eq!(done.status.code(), Some(0), "{said}");
    let table = fs::read_to_string(bay.path().join("out.csv")).expect("a table");
    assert!(
        table.contains(
            "resistance as found resistance/ohm,resistance as found wires,resistance as found temperature,single-earth at"
        ),
        "{table}"
    );
    assert!(table.contains("9.1") && table.contains("2.8"), "{table}");
    fs::write(bay.path().join("a1.ctr"), plate).expect("written");
    let words = [
        "import",
        "sheet",
        "out.csv",
        "a1.ctr",
        "--day",
        "2026-03-14",
    ];
    let (done, said) = run(bay.path(), &words);
    assert_eq!(done.status.code(), Some(0), "{said}");
    let text = fs::read_to_string(bay.path().join("a1.ctr")).expect("a record");
    let lines = |text: &str| {
        let lines = text.lines().map(|line| {
            let words: Vec<&str> = line
                .split_whitespace()
                .filter(|word| *word != "|")
                .collect();
            words.join(" ")
        });
        lines.filter(|line| !line.is_empty()).collect::<Vec<_>>()
    };
    assert_eq!(lines(&text), lines(&format!("{plate}{visit}")));
}

/// Which stage a row is of is not guessed: both places are named, and nothing is written.
#[test]
fn a_stage_that_cannot_be_told_is_refused() {
    let bay = tempfile::tempdir().expect("a folder");
    let plate = "format: 1\n[ct]\nid: A1\n[core S]\nratio: 600/1 A\n";
    fs::write(bay.path().join("a1.ctr"), plate).expect("written");
    for (table, told) in [
        (
            "id,on,resistance stage,resistance resistance/ohm\nA1,S1-S2,as found,9.1\nA1,S1-S2,as left,2.8\n",
            "rows 2 and 3 disagree about `stage` of [resistance], which a section has once; give each stage columns of its own, headed `resistance as left ...`",
        ),
        (
            "id,on,resistance stage,resistance as left resistance/ohm\nA1,S1-S2,as found,9.1\n",
            "columns C and D both say the stage of [resistance]",
        ),
    ] {
        fs::write(bay.path().join("in.csv"), table).expect("written");
        let words = ["import", "sheet", "in.csv", "a1.ctr", "--day", "2026-03-14"];
        let (done, said) = run(bay.path(), &words);
        assert!(!done.status.success() && said.contains(told), "{said}");
        let text = fs::read_to_string(bay.path().join("a1.ctr")).expect("a record");
        assert_eq!(text, plate);
    }
    let record = format!(
        "{plate}[visit 2026-03-14]\n[resistance]\nstage: later\non resistance/ohm\nS1-S2 9.1\n"
    );
    fs::write(bay.path().join("a1.ctr"), record).expect("written");
    let (done, said) = run(bay.path(), &["sheet", "a1.ctr", "-o", "out.csv"]);
    assert!(
        !done.status.success()
            && said.contains("[resistance] of line 7 has a stage that cannot be read"),
        "{said}"
    );
    assert!(!bay.path().join("out.csv").exists(), "{said}");
}
