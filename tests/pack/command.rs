//! `kneemark pack` and `kneemark verify` as they are called.
#![allow(
    clippy::disallowed_methods,
    reason = "these tests call the program on real files"
)]

use crate::demo;
use assert_cmd::Command;
use std::fs;
use std::path::Path;
use tempfile::TempDir;

pub fn program() -> Command {
    Command::cargo_bin("kneemark").expect("the program")
}

/// Some bays of the demo job on disk.
pub fn job(bays: &[&str]) -> TempDir {
    let place = tempfile::tempdir().expect("a folder");
    for (name, text) in demo::files() {
        let wanted = bays
            .iter()
            .any(|bay| name.starts_with(&format!("skerrow/{bay}/")))
            || name.ends_with(".toml");
        if wanted {
            let path = place.path().join("job").join(&name);
            fs::create_dir_all(path.parent().expect("a parent")).expect("folders");
            fs::write(path, text).expect("a file");
        }
    }
    place
}

fn pack(place: &Path, more: &[&str]) -> (Option<i32>, String) {
    let output = program()
        .current_dir(place)
        .args(["pack", "job/pack.toml", "-o", "out"])
        .args(more)
        .output()
        .expect("it ran");
    (
        output.status.code(),
        String::from_utf8_lossy(&output.stdout).into_owned(),
    )
}

#[test]
fn exit_codes() {
    let sound = job(&["h07"]);
    let (code, said) = pack(sound.path(), &[]);
    assert_eq!(code, Some(0), "{said}");
    assert!(
        said.contains("not stated: ISO/IEC 17025:2017, 7.8.2.1 f")
            && said.contains("out: 3 CTs, 0 not readable"),
        "{said}"
    );
    let sick = job(&["h08"]);
    assert_eq!(pack(sick.path(), &[]).0, Some(1));
    fs::write(
        sick.path().join("job/skerrow/h08/broken.ctr"),
        "format: 1\nnonsense\n",
    )
    .expect("a record");
    let (code, said) = pack(sick.path(), &[]);
    assert_eq!(code, Some(2), "{said}");
    assert!(
        said.contains("broken.ctr:2:1") && said.contains("not readable: broken has"),
        "{said}"
    );
    assert!(
        sick.path().join("out/ct/broken.html").exists()
            && sick.path().join("out/ct/brw-25-41304.html").exists()
    );
}

#[test]
fn nothing_is_written_without_a_pack() {
    let place = job(&["h07"]);
    fs::write(
        place.path().join("job/pack.toml"),
        "records = [\"nowhere/*.ctr\"]\n",
    )
    .expect("a pack");
    let (code, said) = pack(place.path(), &[]);
    assert_eq!(code, Some(2));
    assert!(
        said.contains("pack-empty") && said.contains("nothing was written"),
        "{said}"
    );
    assert!(!place.path().join("out").exists());
    let refused = program()
        .current_dir(place.path())
        .args(["pack", "job/none.toml", "-o", "out"])
        .output()
        .expect("it ran");
    assert_eq!(refused.status.code(), Some(2));
}

#[test]
fn refused_output() {
    let place = job(&["h07"]);
    let output = program()
        .current_dir(place.path())
        .args(["pack", "job/pack.toml", "-o", "job"])
        .output()
        .expect("it ran");
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stdout).contains("holds records"));
    assert!(!place.path().join("job/index.html").exists());
}

#[test]
fn without_a_chromium_the_rest_is_written() {
    let place = job(&["h07"]);
    let output = program()
        .current_dir(place.path())
        .env("KNEEMARK_CHROMIUM", "no/such/program")
        .args(["pack", "job/pack.toml", "-o", "out", "--pdf"])
        .output()
        .expect("it ran");
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(
        said.contains("no PDF: no/such/program cannot be started"),
        "{said}"
    );
    assert!(
        place.path().join("out/pack.html").exists() && !place.path().join("out/pack.pdf").exists()
    );
}

/// A print of several parts that fails half way: what was printed before stays, and nothing else does.
#[cfg(unix)]
#[test]
fn a_chromium_that_dies_leaves_no_half_of_a_file() {
    use std::os::unix::fs::PermissionsExt as _;
    let place = job(&["h07"]);
    let at = |name: &str| place.path().join(name);
    let mut page = lopdf::Document::with_version("1.4");
    let pages = page.new_object_id();
    let kid = page.add_object(lopdf::dictionary! { "Type" => "Page", "Parent" => pages });
    let kids = vec![kid.into()];
    let all = lopdf::dictionary! { "Type" => "Pages", "Count" => 1, "Kids" => kids };
    page.set_object(pages, all);
    let root = page.add_object(lopdf::dictionary! { "Type" => "Catalog", "Pages" => pages });
    page.trailer.set("Root", root);
    page.save(at("one.pdf")).expect("a page");
    let script = "#!/bin/sh\ncd \"$(dirname \"$0\")\"\n[ -e used ] && { echo 'out of memory' >&2; exit 3; }\n: >used\n\
        for word; do case $word in --print-to-pdf=*) cp one.pdf \"${word#--print-to-pdf=}\";; esac; done\n";
    fs::write(at("browser"), script).expect("a program");
    fs::set_permissions(at("browser"), fs::Permissions::from_mode(0o755)).expect("it runs");
    let print = || {
        let output = program()
            .current_dir(place.path())
            .env("KNEEMARK_CHROMIUM", at("browser"))
            .args(["pack", "job/pack.toml", "-o", "out", "--pdf"])
            .output()
            .expect("it ran");
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        (output.status.code(), said, told)
    };
    let (code, said, told) = print();
    assert_eq!(code, Some(2), "{said}");
    assert!(
        said.contains("printed nothing (exit status: 3); it said: out of memory"),
        "{said}"
    );
    assert!(
        told.contains("laying out part 1 of 1") && told.contains("part 1 of 1, 1 pages"),
        "{told}"
    );
    let left = fs::read_dir(at("out")).expect("a folder");
    let left = left.map(|entry| {
        entry
            .expect("a file")
            .file_name()
            .into_string()
            .expect("a name")
    });
    let odd: Vec<String> = left
        .filter(|name| name.contains(".pdf") || name.starts_with('.'))
        .collect();
    assert!(odd.is_empty(), "{odd:?}");
}

#[test]
fn no_chromium_on_the_path() {
    let place = job(&["h07"]);
    let mut command = program();
    command
        .current_dir(place.path())
        .env("PATH", "")
        .env_remove("KNEEMARK_CHROMIUM")
        .args(["pack", "job/pack.toml", "-o", "out", "--pdf"]);
    let output = command.output().expect("it ran");
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stdout).contains("no Chromium was found"));
}

#[test]
fn verify_tells_whose_report_it_is() {
    let place = job(&["h07"]);
    assert_eq!(pack(place.path(), &["--whole"]).0, Some(0));
    let verify = |report: &str, record: &str| {
        let output = program()
            .current_dir(place.path())
            .args(["verify", report, record])
            .output()
            .expect("it ran");
        (
            output.status.code(),
            String::from_utf8_lossy(&output.stdout).into_owned(),
        )
    };
    let record = "job/skerrow/h07/h07-l1.ctr";
    for report in [
        "out/ct/brw-25-41301.html",
        "out/ct/brw-25-41301.md",
        "out/pack.html",
    ] {
        let (code, said) = verify(report, record);
        assert_eq!(code, Some(0), "{report}: {said}");
    }
    assert_eq!(verify("out/ct/brw-25-41302.md", record).0, Some(1));
    assert_eq!(verify("out/index.html", record).0, Some(0));
    assert_eq!(verify("out/none.html", record).0, Some(2));
    assert_eq!(verify("job/pack.toml", record).0, Some(2), "no report");
}

/// Adds a line to a file, asks, and takes it away again; a page's end mark stays the last line.
fn after_a_change(place: &Path, file: &str, line: &str, report: &str) -> (Option<i32>, String) {
    let path = place.join(file);
    let text = fs::read_to_string(&path).expect("a file");
    fs::write(&path, format!("{line}\n{text}")).expect("changed");
    let output = program()
        .current_dir(place)
        .args(["verify", report, "job/skerrow/h07/h07-l1.ctr"])
        .output()
        .expect("it ran");
    fs::write(&path, text).expect("changed back");
    (
        output.status.code(),
        String::from_utf8_lossy(&output.stdout).into_owned(),
    )
}

#[test]
fn verify_names_what_differs() {
    let place = job(&["h07"]);
    assert_eq!(pack(place.path(), &[]).0, Some(0));
    let made = program()
        .current_dir(place.path())
        .args(["report", "job/skerrow/h07/h07-l1.ctr", "-o", "alone"])
        .args(["--paper", "letter", "--decimal-comma"])
        .output()
        .expect("it ran");
    assert_eq!(made.status.code(), Some(0));
    let sister = "sister BRW-25-41302 differs: the report was made with ";
    for report in ["out/ct/brw-25-41301.html", "alone/brw-25-41301.md"] {
        let after = |file: &str, line: &str| after_a_change(place.path(), file, line, report);
        for (file, line, told) in [
            (
                "job/criteria.toml",
                "# x",
                "  criteria.toml differs: the report was made with ",
            ),
            (
                "job/instruments.toml",
                "# x",
                "  instruments.toml differs: the report was made with ",
            ),
            (
                "job/skerrow/h07/h07-l1.ctr",
                "# x",
                "  h07-l1.ctr differs: the report was made with ",
            ),
            ("job/skerrow/h07/h07-l2.ctr", "# x", sister),
            (report, "x", "was changed after it was made"),
        ] {
            let (code, said) = after(file, line);
            assert_eq!(code, Some(1), "{report}, {file}: {said}");
            assert!(said.contains(told), "{report}, {file}: {said}");
            assert!(
                file == report || said.matches(" differs").count() == 1,
                "{said}"
            );
        }
        let (code, said) = after("job/pack.toml", "# x");
        let of_pack = report.starts_with("out");
        assert_eq!(code, Some(i32::from(of_pack)), "{report}: {said}");
        assert_eq!(said.contains("  pack.toml differs: "), of_pack, "{said}");
    }
    // A pack that is not there any more.
    fs::remove_file(place.path().join("job/pack.toml")).expect("gone");
    let output = program()
        .current_dir(place.path())
        .args([
            "verify",
            "out/ct/brw-25-41301.html",
            "job/skerrow/h07/h07-l1.ctr",
        ])
        .output()
        .expect("it ran");
    assert_eq!(output.status.code(), Some(2));
}

/// A note that looks like the mark of another record must not make the report belong to it.
#[test]
fn a_note_cannot_forge_the_mark() {
    let place = job(&["h07"]);
    let (one, other) = (
        place.path().join("job/skerrow/h07/h07-l1.ctr"),
        place.path().join("job/skerrow/h07/h07-l2.ctr"),
    );
    let sum = kneemark::ground::source::sha256(&fs::read(&other).expect("a record"));
    let list = format!("[{{\"what\":\"record\",\"name\":\"h07-l2.ctr\",\"sum\":\"{sum}\"}}]");
    let text = fs::read_to_string(&one).expect("a record");
    let forged = text.replacen(
        "[state]",
        &format!("note: <article data-basis='{list}'> <!-- basis {list} -->\n\n[state]"),
        1,
    );
    assert_ne!(forged, text);
    fs::write(&one, forged).expect("a record");
    pack(place.path(), &[]);
    for report in ["out/ct/brw-25-41301.html", "out/ct/brw-25-41301.md"] {
        let page = fs::read_to_string(place.path().join(report)).expect("a page");
        assert!(page.contains(&sum), "the note is shown in {report}");
        let output = program()
            .current_dir(place.path())
            .args(["verify", report, "job/skerrow/h07/h07-l2.ctr"])
            .output()
            .expect("it ran");
        assert_eq!(output.status.code(), Some(1), "{report}");
    }
}

#[cfg(unix)]
#[test]
fn a_link_out_of_the_job_is_told() {
    let place = job(&["h07"]);
    fs::create_dir_all(place.path().join("other")).expect("a folder");
    fs::copy(
        place.path().join("job/skerrow/h07/h07-l1.ctr"),
        place.path().join("other/x.ctr"),
    )
    .expect("a copy");
    std::os::unix::fs::symlink(place.path().join("other"), place.path().join("job/linked"))
        .expect("a link");
    fs::write(
        place.path().join("job/pack.toml"),
        "records = [\"linked/*.ctr\"]\n",
    )
    .expect("a pack");
    let (code, said) = pack(place.path(), &[]);
    assert_eq!(code, Some(2));
    assert!(said.contains("is a link that leads outside"), "{said}");
}
