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
    for (folder, file, bytes) in [
        ("notes", "mine.txt", "mine"),
        ("sheets", "cores.csv", "mine"),
        ("headed", "cores.csv", "site_now,unit,core,knee\r\n"),
        ("deep", "cores/mine.csv", "mine"),
        ("base", "archive.sqlite", "SQLite format 3\0, of others"),
        (
            "part",
            "cores/part=site-A/part-1.parquet",
            "PAR1 of others PAR1",
        ),
    ] {
        let path = place.join(folder).join(file);
        fs::create_dir_all(path.parent().expect("a parent")).expect("folders");
        fs::write(&path, bytes).expect("a file");
        let (code, said) = export(place, &["job", "--to", folder]);
        assert_eq!(code, Some(2), "{said}");
        assert!(said.contains("no file of an archive"), "{said}");
        assert_eq!(fs::read_to_string(path).expect("there"), bytes);
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
        [
            "base", "deep", "file", "headed", "job", "notes", "part", "sheets"
        ],
        "no litter"
    );
}

/// Whole files of other programs, which differ from ours in nothing but who wrote them and what they hold.
#[cfg(feature = "archive")]
#[test]
fn whole_files_of_other_programs_are_refused_and_stand() {
    use parquet::file::{properties::WriterProperties, writer::SerializedFileWriter};
    use parquet::schema::parser::parse_message_type;
    let place = job(&["k03"]);
    let place = place.path();
    fs::create_dir_all(place.join("base")).expect("a folder");
    let base = place.join("base/archive.sqlite");
    let opened = rusqlite::Connection::open(&base).expect("a base");
    let made = opened.execute_batch("CREATE TABLE quantities (mine); CREATE TABLE cores (mine);");
    made.expect("tables");
    drop(opened);
    fs::create_dir_all(place.join("part/cores/part=site-A")).expect("folders");
    let part = place.join("part/cores/part=site-A/part-1.parquet");
    let schema = parse_message_type("message cores { optional binary site_now (UTF8); }");
    let properties = WriterProperties::builder().set_created_by("of others".to_owned());
    let file = fs::File::create(&part).expect("a file");
    let schema = std::sync::Arc::new(schema.expect("a schema"));
    let writer = SerializedFileWriter::new(file, schema, properties.build().into());
    writer.expect("begun").close().expect("a whole file");
    for (folder, path) in [("base", base), ("part", part)] {
        let before = fs::read(&path).expect("there");
        let (code, said) = export(place, &["job", "--to", folder]);
        assert_eq!(code, Some(2), "{said}");
        assert!(said.contains("no file of an archive"), "{said}");
        assert!(before == fs::read(path).expect("there"));
    }
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
fn a_mistyped_path_takes_no_archive_away() {
    let place = job(&["k03"]);
    let place = place.path();
    let (code, said) = export(place, &["job", "--to", "good"]);
    assert_ne!(code, Some(2), "{said}");
    let held = || fs::read(place.join("good/cores.csv")).expect("a table");
    let before = held();
    fs::create_dir(place.join("empty")).expect("a folder");
    for (paths, why) in [
        (&["jbo"][..], "there is no jbo"),
        (&["job", "jbo"], "there is no jbo"),
        (&["empty"], "there is no record"),
    ] {
        let (code, said) = export(place, &[paths, &["--to", "good"]].concat());
        assert_eq!(code, Some(2), "{said}");
        assert!(
            said.contains("nothing was written") && said.contains(why),
            "{said}"
        );
        assert!(held() == before, "{paths:?}");
    }
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

/// Killed at moments spread over its length, a run leaves the archive that stood or the new one, of other records:
/// nothing of both.
#[cfg(all(unix, feature = "archive"))]
#[test]
fn a_killed_export_leaves_a_whole_archive() {
    use super::formats::from_parquet;
    use std::process::{Command, Stdio};
    use std::time::{Duration, Instant};
    const KILLS: u32 = 15;
    let place = job(&["h07", "h08", "h09", "k03"]);
    let place = place.path();
    fs::create_dir(place.join("other")).expect("a folder");
    for (name, text) in crate::demo::files() {
        if name.starts_with("skerrow/h10/") || name.starts_with("skerrow/k03/") {
            let name = name.replace('/', "-");
            fs::write(place.join("other").join(name), text).expect("a file");
        }
    }
    let run = |records: &str| {
        let mut command = Command::new(assert_cmd::cargo::cargo_bin("kneemark"));
        command
            .current_dir(place)
            .args(["export", records, "--to", "out", "--format", "parquet"])
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        command
    };
    let rows = || ["quantities", "cores"].map(|table| from_parquet(&place.join("out"), table));
    let whole = ["other", "job"].map(|records| {
        let begun = Instant::now();
        let code = run(records).status().expect("it ran").code();
        assert!(matches!(code, Some(0 | 1)), "{code:?}");
        (records, rows(), begun.elapsed())
    });
    assert!(whole[0].1 != whole[1].1, "other records have other rows");
    let (mut stands, mut killed, mut share) = (1, 0, 1.1);
    for time in 1..=10 * KILLS {
        if killed == KILLS {
            break;
        }
        let (records, new, length) = &whole[1 - stands];
        let mut child = run(records).spawn().expect("it runs");
        let part = (f64::from(time) * 0.618_034).fract() * share;
        std::thread::sleep(length.mul_f64(part).max(Duration::from_micros(200)));
        let _ = child.kill();
        match child.wait().expect("it ended").code() {
            None => killed += 1,
            // Runs take less time than the first one did.
            Some(_) => share *= 0.9,
        }
        let found = rows();
        let is_new = found == *new;
        assert!(
            is_new || found == whole[stands].1,
            "a mixture, of {records}"
        );
        stands = if is_new { 1 - stands } else { stands };
    }
    assert_eq!(killed, KILLS);
    assert_eq!(run("job").status().expect("it ran").code(), Some(1));
    assert_eq!(names(place), ["job", "other", "out"], "no litter");
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
        let held = || super::formats::held(&place.join("out"));
        let before = held();
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
        assert!(held() == before, "{format}: the earlier archive");
        assert_eq!(names(place), ["job", "out"], "no litter");
    }
}
