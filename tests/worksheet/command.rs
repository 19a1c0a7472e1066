//! The two commands, run as a user runs them.
#![allow(
    clippy::disallowed_methods,
    reason = "these tests look at real files, as a user would"
)]

use assert_cmd::Command;
use kneemark::compile;
use kneemark::document::Grade;
use kneemark::ground::date;
use kneemark::ground::diagnostic::Code;
use kneemark::ground::seam::Memory;
use kneemark::job::{Compiled, Job, Outcome};
use kneemark::record::kinds::TestKind;
use kneemark::report::worksheet::new_visit;
use std::fs;
use std::path::{Path, PathBuf};

fn kneemark() -> Command {
    Command::cargo_bin("kneemark").unwrap()
}

fn checked(path: &Path) {
    kneemark()
        .args(["check", "--format", "short"])
        .arg(path)
        .assert()
        .code(0);
}

#[test]
fn new_records_are_accepted_by_check() {
    let folder = tempfile::tempdir().unwrap();
    let sets: &[&[&str]] = &[
        &[],
        &[
            "--id", "A-1", "--site", "Yard #3", "--bay", "#7", "--phase", "L1",
        ],
        &[
            "--serial",
            "4711",
            "--maker",
            "Invented Works",
            "--core",
            "1S 5P20 15 VA 600/1",
        ],
        &[
            "--standard",
            "IEEE C57.13-2008",
            "--core",
            "X C800 1200:5, X1-X2 600:5, X1-X3 1200:5",
            "--frequency",
            "60 Hz",
        ],
        &[
            "--core",
            "1S PX 600/1 A knee 300 V exciting 30 mA at 300 V",
            "--core",
            "2S 0.5 FS10 600/1 10 VA",
            "--voltage",
            "145 kV",
        ],
        &[
            "--core",
            "S marks S1 S2 S3 resistance 3.5 ohm at 75 C taps S1-S2 300/1, S1-S3 600/1",
        ],
        &[
            "--core",
            "1S 0.2S FS5 5 VA 600/1 A extended 150 %",
            "--core",
            "2S 5P20 15 VA at 0.80 600/1 A use protection",
            "--core",
            "3S PX knee 400 V, exciting 20 mA at 400 V, exciting 10 mA at 200 V, 3S1-3S2 600/1 A 3S1-3S3 1200/1 A",
        ],
        &[
            "--core",
            "1S TPY 5 ohm 1000/1 A kssc 20 ktd 12 primary time constant 100 ms duty cycle C-O",
            "--core",
            "2S 5PR20 1-10 VA 1000/1 conductor aluminium turns 998",
        ],
    ];
    for (at, set) in sets.iter().enumerate() {
        // Each where no other one has its id.
        let own = folder.path().join(format!("{at}"));
        fs::create_dir(&own).unwrap();
        let path = own.join("new.ctr");
        kneemark()
            .arg("new")
            .args(*set)
            .arg("-o")
            .arg(&path)
            .assert()
            .code(0);
        checked(&path);
        let out = own.join("sheets");
        kneemark()
            .arg("worksheet")
            .arg(&path)
            .arg("-o")
            .arg(&out)
            .assert()
            .code(0);
        assert_eq!(fs::read_dir(&out).unwrap().count(), 2);
    }
}

#[test]
fn wrong_plate_options_write_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.ctr");
    for (wrong, named) in [
        (
            &["--core", "1S 5P20 600"][..],
            "--core \"1S 5P20 600\": `600` is not understood",
        ),
        (&["--core", "1S 15 kg"], "--core \"1S 15 kg\": `15`"),
        (&["--core", "PX 600/1"], "`PX` is a class"),
        (
            &["--core", "X C800 1200:5 MR"],
            "`MR` names no tap; help: write each tap of the plate with its ratio, such as \"X C800 1200:5, X1-X2 600:5, X1-X3 1200:5\"",
        ),
        // The ratio of the plate, wherever it stands; where there is none, no other one's.
        (
            &["--core", "X C800 MR 3000:5"],
            "such as \"X C800, X1-X2 1500:5, X1-X3 3000:5\"",
        ),
        (
            &["--core", "X C800 MR"],
            "such as \"X C800, X1-X2 A:5, X1-X3 B:5\"",
        ),
        (
            &["--core", "1S 0.5FS5 10 VA 600/1"],
            "`0.5FS5` is no class; did you mean `0.5 FS5`?",
        ),
        (
            &["--core", "1S class 0.5FS5 10 VA"],
            "did you mean `0.5 FS5`?",
        ),
        (&["--core", "1S PX knee 300"], "`300` has no unit"),
        (&["--core", "1S 1/600 A"], "`1/600` is not understood"),
        (
            &["--core", "1S 5P20", "--core", "1S PX"],
            "--core \"1S PX\": there are two cores `1S`",
        ),
        (
            &[
                "--core",
                "1S 5P20 15 VA 600/1",
                "--core",
                "2S 5P20",
                "--core",
                "3S 600/1, 2S1-2S2 300/1",
            ],
            "--core \"3S 600/1, 2S1-2S2 300/1\": no core has a terminal `2S1`",
        ),
        (
            &[
                "--core",
                "1S 600/1 1S1-1S2 300/1 1S1-1S3 600/1 1S2-1S3 200/1",
            ],
            "the ratios of core 1S do not add up",
        ),
        (
            &["--voltage", "145"],
            "--voltage \"145\": `145` has no unit",
        ),
        (
            &["--maker", "A # B"],
            "--maker \"A # B\": a record does not take it",
        ),
        (&["--id", "a\n[visit 2026-01-01]"], "--id"),
        (&["--core", "1S\n[visit 2026-01-01]"], "it must be one line"),
    ] {
        let told = kneemark()
            .arg("new")
            .args(wrong)
            .arg("-o")
            .arg(&path)
            .assert()
            .code(2);
        let told = String::from_utf8_lossy(&told.get_output().stderr).into_owned();
        assert!(told.contains(named), "{wrong:?}: {told}");
        assert!(!path.exists(), "{wrong:?}");
    }
    // Options that were bound by their order, and stood on another core than they were meant for.
    kneemark()
        .args(["new", "--core", "1S", "--class", "PX"])
        .assert()
        .code(64);
    kneemark()
        .args(["new", "--from", "x.ctr", "-o", "y.ctr"])
        .assert()
        .code(64);
    // A visit has to have a record; an option of it is not passed over.
    for option in [
        &["--append"][..],
        &["--date", "2026-03-14"],
        &["--purpose", "retest"],
    ] {
        let told = kneemark()
            .args(["new", "--id", "X"])
            .args(option)
            .assert()
            .code(64);
        let told = String::from_utf8_lossy(&told.get_output().stderr).into_owned();
        assert!(
            told.contains(option[0]) && told.contains("--from FILE"),
            "{told}"
        );
    }
    kneemark()
        .args(["new", "--from", "x.ctr", "--purpose", "comissioning"])
        .assert()
        .code(64);
    kneemark()
        .args(["new", "--from", "x.ctr", "--id", "A"])
        .assert()
        .code(64);
    kneemark()
        .args(["new", "--from", "x.ctr", "--date", "2026-02-30"])
        .assert()
        .code(64);
}

/// The demo job with every visit taken out and a new one put in.
pub fn fresh(purpose: &str, typed: impl Fn(&str) -> String) -> Job {
    let day = date::read("2026-12-01").unwrap();
    with_visits(|unit| typed(&new_visit(&super::subject(unit), purpose, day, None)))
}

/// The same with any visit.
pub fn with_visits(mut visit: impl FnMut(&Compiled) -> String) -> Job {
    let files = Memory::default();
    for (path, text) in crate::demo::files()
        .iter()
        .filter(|(path, _)| path.ends_with(".toml"))
    {
        files.put(format!("records/{path}"), text.clone());
    }
    let units = super::demo();
    assert!(units.len() > 30);
    for unit in &units {
        let until = unit.source.text.find("\n[visit").unwrap();
        let plate = unit.source.text[..until].trim_end();
        files.put(unit.path.clone(), format!("{plate}\n{}", visit(unit)));
    }
    let again = compile(&files, &[PathBuf::from("records")]);
    assert!(again.others.is_empty() && again.records.len() == units.len());
    again
}

/// Errors of a record, as text.
fn errors(unit: &Compiled) -> Vec<String> {
    unit.diagnostics
        .iter()
        .filter(|told| told.is_error())
        .map(|told| format!("{}: {}", told.title, unit.source.slice(told.span)))
        .collect()
}

/// Every demo record gives a visit to type into that reads without errors; that its rows wait for their
/// readings is all there is to say.
#[test]
fn a_visit_of_every_demo_record_reads_without_errors() {
    for purpose in [
        "factory",
        "receiving",
        "commissioning",
        "maintenance",
        "retest",
        "investigation after a trip",
    ] {
        for unit in &fresh(purpose, str::to_owned).records {
            let other: Vec<&str> = unit
                .diagnostics
                .iter()
                .filter(|told| told.code != Code::RowsWaiting)
                .map(|told| told.title.as_str())
                .collect();
            assert_eq!(other, [""; 0], "{}", unit.source.name);
            assert_eq!(unit.record.visits.len(), 1);
            assert!(
                unit.diagnostics.len() >= 3,
                "{}: nobody says that its rows wait",
                unit.source.name
            );
            assert_ne!(
                unit.outcome(Grade::Fails),
                Outcome::Fails,
                "{}: nothing was read, so nothing can fail",
                unit.source.name
            );
        }
    }
}

/// What is last of direct current and of demagnetisation decides how a core is left.
#[test]
fn no_visit_leaves_a_core_magnetised() {
    let mut seen = 0;
    for purpose in [
        "factory",
        "receiving",
        "commissioning",
        "maintenance",
        "retest",
    ] {
        for unit in &fresh(purpose, str::to_owned).records {
            let tests = &unit.record.visits[0].tests;
            for core in 0..unit.record.cores.len() {
                let of_core = tests.iter().filter(|test| test.touches(core));
                let of_core: Vec<TestKind> = of_core.map(|test| test.kind).collect();
                let last =
                    |kinds: &[TestKind]| of_core.iter().rposition(|kind| kinds.contains(kind));
                let direct = last(&[TestKind::Resistance, TestKind::Polarity]);
                let cleared = last(&[TestKind::Demagnetisation]);
                assert!(
                    cleared >= direct,
                    "{} {purpose}: {of_core:?}",
                    unit.source.name
                );
                let excited = of_core
                    .iter()
                    .position(|kind| *kind == TestKind::Excitation);
                if let (Some(excited), Some(_)) = (excited, direct) {
                    let before = &of_core[..excited];
                    assert!(before.contains(&TestKind::Demagnetisation), "{of_core:?}");
                }
                seen += usize::from(direct.is_some());
            }
        }
    }
    assert!(seen > 100, "{seen}");
}

/// A record is one file for a CT's whole life: its visits go to its end, or are printed.
#[test]
fn a_visit_is_printed_or_goes_to_the_end_of_its_record() {
    let folder = tempfile::tempdir().unwrap();
    let record = folder.path().join("a.ctr");
    kneemark()
        .args([
            "new",
            "--id",
            "A",
            "--core",
            "1S PX 600/1 A knee 300 V exciting 30 mA at 300 V",
            "-o",
        ])
        .arg(&record)
        .assert()
        .code(0);
    let plate = fs::read_to_string(&record).unwrap();
    let visit = |more: &[&str]| {
        kneemark()
            .args(["new", "--from"])
            .arg(&record)
            .args(more)
            .assert()
    };
    let printed = visit(&["--date", "2026-03-14"]).code(0);
    let printed = String::from_utf8(printed.get_output().stdout.clone()).unwrap();
    assert!(printed.starts_with("[visit 2026-03-14]\npurpose: commissioning\n"));
    assert_eq!(fs::read_to_string(&record).unwrap(), plate);
    visit(&["--date", "2026-03-14", "--append"]).code(0);
    visit(&["--date", "2026-03-14", "--append", "--purpose", "retest"]).code(0);
    let text = fs::read_to_string(&record).unwrap();
    assert!(text.starts_with(&format!("{plate}\n{printed}")));
    assert!(text.contains("\n[visit 2026-03-14 b]\npurpose: retest\n"));
    // A time of that day has no letter.
    assert!(text.contains("permit returned: 2026-03-14 15:10"), "{text}");
    checked(&record);
    // An older visit does not go behind a newer one.
    let told = visit(&["--date", "2025-03-14", "--append"]).code(2);
    let told = String::from_utf8_lossy(&told.get_output().stderr).into_owned();
    assert!(told.contains("older than the one above it"), "{told}");
    assert_eq!(fs::read_to_string(&record).unwrap(), text);
}

/// What somebody makes of it who types a reading into every cell.
fn typed(text: &str) -> String {
    let mut reading = 100;
    let mut cell = |word: &str| {
        reading += 1;
        if word == "-" {
            format!("1.{reading}")
        } else {
            word.to_owned()
        }
    };
    let mut line = |line: &str| match line.matches('|').count() {
        1 => line.replace("| -", "| up on make"),
        0 if !line.starts_with('#') => line.split(' ').map(&mut cell).collect::<Vec<_>>().join(" "),
        _ => line.to_owned(),
    };
    text.lines().map(|one| format!("{}\n", line(one))).collect()
}

#[test]
fn typed_in_full_it_reads_without_errors_and_lacks_no_test() {
    for unit in &fresh("commissioning", typed).records {
        assert_eq!(
            errors(unit),
            [""; 0],
            "{}\n{}",
            unit.source.name,
            unit.source.text
        );
        assert!(!unit.record.visits[0].tests.is_empty());
        let missing = unit
            .diagnostics
            .iter()
            .find(|told| told.code == Code::TestsMissing);
        assert!(missing.is_none(), "{}: {missing:?}", unit.source.name);
    }
}

#[test]
fn nothing_is_overwritten_but_what_kneemark_wrote() {
    let folder = tempfile::tempdir().unwrap();
    let record = folder.path().join("a.ctr");
    kneemark()
        .args(["new", "--id", "A", "-o"])
        .arg(&record)
        .assert()
        .code(0);
    kneemark()
        .args(["new", "--id", "B", "-o"])
        .arg(&record)
        .assert()
        .code(2);
    assert!(fs::read_to_string(&record).unwrap().contains("id: A"));
    let sheet = || {
        kneemark()
            .arg("worksheet")
            .arg(&record)
            .arg("-o")
            .arg(folder.path())
            .assert()
    };
    sheet().code(0);
    sheet().code(0);
    let mine = folder.path().join("a-worksheet.md");
    fs::write(&mine, "my own notes\n").unwrap();
    sheet().code(2);
    assert_eq!(fs::read_to_string(&mine).unwrap(), "my own notes\n");
}

#[test]
fn wrong_cores_and_broken_records_are_told() {
    let folder = tempfile::tempdir().unwrap();
    let record = folder.path().join("a.ctr");
    fs::write(
        &record,
        "format: 1\n[ct]\nid: A\n[core 1S]\nclass: 5P20\nburden: 15 kg\nratio: 600/1\n",
    )
    .unwrap();
    let run = |arguments: &[&str]| {
        kneemark()
            .arg("worksheet")
            .arg(&record)
            .args(arguments)
            .arg("-o")
            .arg(folder.path())
            .assert()
    };
    run(&["--core", "9S"]).code(2);
    assert!(!folder.path().join("a-worksheet.md").exists());
    run(&["--temperature", "900"]).code(64);
    run(&["--core", "1S"]).code(2);
    // Written all the same, with the error on its first page and no limit made up.
    let text = fs::read_to_string(folder.path().join("a-worksheet.md")).unwrap();
    assert!(text.contains("The record has an error") && !text.contains("Needs "));
}

/// A misspelt purpose would give the tests of another visit.
#[test]
fn a_purpose_that_is_none_is_refused_with_those_that_are() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(
        folder.path().join("first.ctr"),
        "format: 1\n[ct]\nid: A\n[core 1S]\n",
    )
    .unwrap();
    let run = |purpose: &str| {
        kneemark()
            .current_dir(folder.path())
            .args(["worksheet", "first.ctr", "--purpose", purpose])
            .output()
            .unwrap()
    };
    let refused = run("comissioning");
    assert_eq!(refused.status.code(), Some(64));
    let told = String::from_utf8(refused.stderr).unwrap();
    assert!(
        told.contains("did you mean `commissioning`?")
            && told.contains(
                "commissioning, before energising, after energising, maintenance, after a fault"
            ),
        "{told}"
    );
    assert!(!folder.path().join("a-worksheet.md").exists());
    assert_eq!(run("maintenance, after repair").status.code(), Some(0));
}

/// The first command of a new user, in the record's own folder.
#[test]
fn a_sheet_lies_beside_its_record() {
    let folder = tempfile::tempdir().unwrap();
    let record = "format: 1\n[ct]\nid: A\n[core 1S]\n";
    fs::write(folder.path().join("first.ctr"), record).unwrap();
    for more in [&[][..], &["-o", "."]] {
        kneemark()
            .current_dir(folder.path())
            .args(["worksheet", "first.ctr"])
            .args(more)
            .assert()
            .code(0);
        assert!(folder.path().join("a-worksheet.md").exists());
        assert!(folder.path().join("a-worksheet.html").exists());
        fs::remove_file(folder.path().join("a-worksheet.md")).unwrap();
    }
    let kept = fs::read_to_string(folder.path().join("first.ctr")).unwrap();
    assert_eq!(kept, record);
}

/// One unit stands once in a set; a folder to write into is no record.
#[test]
fn a_record_is_not_taken_for_another_one_nor_for_a_folder() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.ctr");
    fs::write(&path, "format: 1\n[ct]\nid: A\n[core S]\nratio: 600/1 A\n").unwrap();
    let other = folder.path().join(".").join("a.ctr");
    for again in [&path, &other] {
        let told = kneemark()
            .arg("worksheet")
            .arg(&path)
            .arg("--set")
            .arg(again)
            .arg("-o")
            .arg(folder.path().join("out"))
            .assert()
            .code(2);
        let told = String::from_utf8_lossy(&told.get_output().stdout).into_owned();
        assert!(told.contains("is named twice"), "{told}");
    }
    assert!(!folder.path().join("out").exists());
    for command in ["report", "worksheet"] {
        for out in [path.clone(), path.join("deeper")] {
            let told = kneemark()
                .arg(command)
                .arg(&path)
                .arg("-o")
                .arg(&out)
                .assert()
                .code(2);
            let told = told.get_output();
            let told = [&told.stdout[..], &told.stderr[..]].concat();
            let told = String::from_utf8_lossy(&told).into_owned();
            assert!(
                told.contains("-o names the folder to write into") && told.contains("is a file"),
                "{told}"
            );
        }
    }
}

/// A record that checks clean takes a next visit, or is told what it lacks in its own words.
#[test]
fn every_clean_record_takes_a_next_visit() {
    let folder = tempfile::tempdir().unwrap();
    let next = |name: &str| {
        let path = folder.path().join(name);
        let mut command = kneemark();
        command.args(["new", "--date", "2040-01-01", "--append", "--from"]);
        let output = command.arg(&path).output().unwrap();
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        (
            output.status.code(),
            said,
            fs::read_to_string(&path).unwrap(),
        )
    };
    // A tap table that leaves a neighbour out.
    let marks = "format: 1\n\n[ct]\nid: X-1\nstandard: IEC 61869-2:2012\n\n[core X]\nmarks: X1 X2 X3\nclass: 5P20\nburden: 15 VA\ntap    ratio/A\nX1-X3  600/1\n";
    fs::write(folder.path().join("marks.ctr"), marks).unwrap();
    let (code, said, text) = next("marks.ctr");
    assert_eq!(code, Some(0), "{said}");
    assert!(
        text.contains("[ratio X1-X3]") && text.contains("\nX1-X2"),
        "its resistance is asked: {text}"
    );
    checked(&folder.path().join("marks.ctr"));
    // A record of nothing yet.
    let bare = "format: 1\n\n[ct]\nid: X-2\n";
    fs::write(folder.path().join("bare.ctr"), bare).unwrap();
    checked(&folder.path().join("bare.ctr"));
    let (code, said, text) = next("bare.ctr");
    assert_eq!((code, text.as_str()), (Some(2), bare));
    assert!(said.contains("bare.ctr has no [core] section"), "{said}");
    // Those that others wrote.
    let mut tried = 0;
    for from in [
        "tests/design_records",
        "tests/claims/whole",
        "tests/rules",
        "tests/corpus",
    ] {
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join(from);
        for entry in fs::read_dir(&from).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap();
            // One of these has a visit of later than this day, which is told.
            if !name.ends_with(".ctr") || name.starts_with("a-transmission") {
                continue;
            }
            let text = fs::read_to_string(&path).unwrap_or_default();
            let files = Memory::default();
            files.put("one.ctr", text.as_str());
            let job = compile(&files, &[PathBuf::from("one.ctr")]);
            if !job.records[0].is_complete() || job.records[0].record.cores.is_empty() {
                continue;
            }
            fs::write(folder.path().join("one.ctr"), text).unwrap();
            let (code, said, _) = next("one.ctr");
            assert_eq!(code, Some(0), "{name}: {said}");
            tried += 1;
        }
    }
    assert!(tried > 150, "{tried}");
}
