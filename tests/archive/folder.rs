//! What an export does to the folder that it writes to.

use super::export;
use crate::pack::command::job;
use std::fs;
use std::path::Path;

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    let mut names: Vec<String> = entries
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .into_string()
                .expect("a name")
        })
        .collect();
    names.sort();
    names
}

#[test]
fn a_folder_of_others_is_refused_and_stands() {
    let place = job(&["k03"]);
    let place = place.path();
    for (folder, file) in [
        ("notes", "mine.txt"),
        ("sheets", "cores.csv"),
        ("deep", "cores/mine.csv"),
    ] {
        let path = place.join(folder).join(file);
        fs::create_dir_all(path.parent().expect("a parent")).expect("folders");
        fs::write(&path, "mine").expect("a file");
        let (code, said) = export(place, &["job", "--to", folder]);
        assert_eq!(code, Some(2), "{said}");
        assert!(said.contains("no file of an archive"), "{said}");
        assert_eq!(fs::read_to_string(path).expect("there"), "mine");
    }
    fs::write(place.join("file"), "mine").expect("a file");
    for (to, why) in [
        ("file", "is a file"),
        (".", "the folder that you stand in"),
        ("job", "no file of an archive"),
    ] {
        let (code, said) = export(place, &["job", "--to", to]);
        assert_eq!(code, Some(2), "{said}");
        assert!(said.contains(why), "{said}");
    }
    assert_eq!(
        names(place),
        ["deep", "file", "job", "notes", "sheets"],
        "no litter"
    );
}

#[test]
fn an_archive_is_replaced_as_a_whole() {
    let place = job(&["k03"]);
    let place = place.path();
    assert_eq!(export(place, &["job", "--to", "out"]).0, Some(0));
    assert_eq!(names(&place.join("out")), ["cores.csv", "quantities.csv"]);
    let first = fs::read(place.join("out/quantities.csv")).expect("a sheet");
    assert_eq!(export(place, &["job", "--to", "out"]).0, Some(0));
    assert!(
        first == fs::read(place.join("out/quantities.csv")).expect("a sheet"),
        "same bytes"
    );
    if cfg!(feature = "archive") {
        assert_eq!(
            export(place, &["job", "--to", "out", "--format", "parquet"]).0,
            Some(0)
        );
        assert_eq!(names(&place.join("out")), ["cores", "quantities"]);
        assert_eq!(
            export(place, &["job", "--to", "out", "--format", "sqlite"]).0,
            Some(0)
        );
        assert_eq!(names(&place.join("out")), ["archive.sqlite"]);
    }
    assert_eq!(names(place), ["job", "out"], "no litter");
}

#[test]
fn the_exit_code_is_that_of_the_records() {
    let place = job(&["h08"]);
    let place = place.path();
    assert_eq!(export(place, &["job", "--to", "out"]).0, Some(1));
    fs::write(
        place.join("job/broken.ctr"),
        "format: 1\n[ct]\nid: B\nhighest voltage: x\n",
    )
    .expect("a file");
    let (code, said) = export(place, &["job", "--to", "out"]);
    assert_eq!(code, Some(2), "{said}");
    assert!(
        said.contains("broken.ctr") && said.contains("4 records"),
        "{said}"
    );
    assert_eq!(export(place, &["nowhere", "--to", "none"]).0, Some(2));
}

/// Killed at moments spread over its length, a run leaves the earlier archive or the new one.
#[cfg(all(unix, feature = "archive"))]
#[test]
fn a_killed_export_leaves_a_whole_archive() {
    use super::formats::from_parquet;
    use std::process::{Command, Stdio};
    use std::time::{Duration, Instant};
    const KILLS: u32 = 15;
    let place = job(&["h07", "h08", "h09", "k03"]);
    let place = place.path();
    let run = || {
        let mut command = Command::new(assert_cmd::cargo::cargo_bin("kneemark"));
        command
            .current_dir(place)
            .args(["export", "job", "--to", "out", "--format", "parquet"])
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        command
    };
    let begun = Instant::now();
    assert_eq!(run().status().expect("it ran").code(), Some(1));
    let length = begun.elapsed();
    let rows = |table| from_parquet(&place.join("out"), table);
    let (long, wide) = (rows("quantities"), rows("cores"));
    let mut killed = 0;
    for time in 1..=KILLS {
        let mut child = run().spawn().expect("it runs");
        let part = (f64::from(time) * 0.618_034).fract() * 1.1;
        std::thread::sleep(length.mul_f64(part).max(Duration::from_micros(200)));
        let _ = child.kill();
        killed += u32::from(child.wait().expect("it ended").code().is_none());
        assert!(rows("quantities") == long && rows("cores") == wide);
    }
    assert!(killed > KILLS / 3, "{killed} of {KILLS} were killed");
    assert_eq!(run().status().expect("it ran").code(), Some(1));
    assert_eq!(names(place), ["job", "out"], "no litter");
}

/// On a full disk the earlier archive stands.
#[cfg(all(unix, feature = "archive"))]
#[test]
fn an_export_without_room_leaves_the_earlier_archive() {
    let place = job(&["h07"]);
    let place = place.path();
    for format in ["csv", "parquet", "sqlite"] {
        assert_eq!(
            export(place, &["job", "--to", "out", "--format", format]).0,
            Some(0)
        );
        let before = names(&place.join("out"));
        let output = std::process::Command::new("sh")
            .current_dir(place)
            // Blocks of 512 bytes. The signal for it is ignored, so that writing fails.
            .args([
                "-c",
                "trap '' XFSZ; ulimit -f 8; exec \"$0\" export job --to out --format \"$1\" 2>&1",
            ])
            .arg(assert_cmd::cargo::cargo_bin("kneemark"))
            .arg(format)
            .output()
            .expect("it ran");
        let said = String::from_utf8_lossy(&output.stdout);
        assert_eq!(output.status.code(), Some(2), "{format}: {said}");
        assert!(said.contains("not written: out: "), "{said}");
        assert_eq!(names(&place.join("out")), before);
        assert_eq!(names(place), ["job", "out"], "no litter");
    }
}
