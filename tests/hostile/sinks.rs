//! What comes out of each sink when every text that goes in is hostile: terminal, JSON, HTML, SVG, Markdown, names of
//! files.
#![allow(
    clippy::disallowed_methods,
    reason = "these tests call the program on real files"
)]

use assert_cmd::Command;
use kneemark::cli::check::{Format, text};
use kneemark::cli::draw::Style;
use kneemark::compile;
use kneemark::emit::json;
use kneemark::ground::calm::steers;
use kneemark::ground::seam::Memory;
use kneemark::pack::build::Planned;
use kneemark::pack::sink::InMemory;
use std::path::{Path, PathBuf};

/// Escapes, line ends of Unicode, turned writing, C1, DEL, and what markup is made of.
const EVIL: &str = "\u{1b}[31m\u{7f}\u{9b}2J\u{85}\u{2028}\u{202e}\u{2066}\u{feff}</title><script>x</script>\"'>&{{ body }}|`*_[x](javascript:y)";

/// The same as a string of TOML, with a NUL.
fn in_toml() -> String {
    let escaped = |c: char| match c {
        c if steers(c) || matches!(c, '"' | '\\' | '\u{feff}') => {
            format!("\\u{:04X}", u32::from(c))
        }
        c => c.to_string(),
    };
    format!(
        "\"\\u0000{}\"",
        EVIL.chars().map(escaped).collect::<String>()
    )
}

/// The same where a record lets it stand.
fn in_record() -> String {
    EVIL.chars().filter(|c| !c.is_control()).collect()
}

fn plain(of: &str, text: &str) {
    let odd = text.chars().find(|c| steers(*c) && *c != '\n');
    assert!(odd.is_none(), "{of}: {odd:?}");
}

fn job() -> Memory {
    let files = Memory::default();
    let evil = in_toml();
    let demo = crate::demo::files();
    let record = demo["skerrow/h07/h07-l1.ctr"].replacen(
        "[state]",
        &format!("note: {}\n\n[state]", in_record()),
        1,
    );
    files.put("job/a.ctr", record);
    let record =
        demo["skerrow/h07/h07-l2.ctr"].replacen("id: ", &format!("id: {}", in_record()), 1);
    files.put("job/b\u{1b}[31m\u{9b}\u{202e}\n.ctr", record);
    files.put(
        "job/c.ctr",
        format!("format: 1\n[ct]\nid: C\nnonsense {EVIL}\n"),
    );
    let words = ["what", "maker", "serial", "certificate", "by"];
    let instrument = |text: &str| {
        let lines = text.lines().map(|line| match line.split_once(" = ") {
            Some((key, _)) if words.contains(&key.trim()) => format!("{key} = {evil}\n"),
            _ => format!("{line}\n"),
        });
        lines.collect::<String>()
    };
    files.put(
        "job/instruments.toml",
        instrument(&demo["instruments.toml"]),
    );
    files.put("job/criteria.toml", demo["criteria.toml"].as_str());
    files.put(
        "job/pack.toml",
        format!(
            "records = [\"**/*.ctr\"]\n[report]\nnumber = {evil}\nrevision = {evil}\ntitle = {evil}\nissued = 2026-11-20\n\
             methods = [{evil}]\nreceived = {evil}\nsampling = {evil}\nhistory = [{{ revision = {evil}, what = {evil} }}]\n\
             [client]\nname = {evil}\naddress = {evil}\ncontact = {evil}\n[contractor]\nname = {evil}\naddress = {evil}\n\
             contact = {evil}\n[job]\nname = {evil}\nsite = {evil}\n[authorised]\nname = {evil}\nrole = {evil}\n\
             [annex]\nreadings = true\nworkings = true\n"
        ),
    );
    files
}

#[test]
fn terminal() {
    let job = compile(&job(), &[PathBuf::from("job")]);
    assert_eq!(job.records.len(), 3);
    for (format, style) in [
        (Format::Human, Style::Plain),
        (Format::Human, Style::Unicode),
        (Format::Short, Style::Plain),
    ] {
        let said = text(&job, format, true, style);
        plain("terminal", &said);
        assert!(said.contains("control-character"));
    }
}

#[test]
fn json() {
    let job = compile(&job(), &[PathBuf::from("job")]);
    for one in &job.records {
        let record = json::record(one, std::iter::empty());
        plain("JSON", &record);
        let read: serde_json::Value = serde_json::from_str(&record).expect("it is JSON");
        assert!(read["file"].is_string());
    }
    let id = json::record(&job.records[1], std::iter::empty());
    let read: serde_json::Value = serde_json::from_str(&id).expect("it is JSON");
    let id = read["id"].as_str().expect("an id");
    assert!(id.contains('\u{202e}'), "nothing is lost: {id:?}");
}

/// Every file of a pack: the cover's texts come from pack.toml and instruments.toml.
#[test]
fn pages() {
    let files = job();
    let Ok(planned) = Planned::of(&files, Path::new("job/pack.toml")) else {
        panic!("not planned")
    };
    let sink = InMemory::default();
    planned.write(true, &sink).expect("room");
    let made = sink.into_files();
    assert!(
        made.contains_key("pack.html") && made.len() > 8,
        "{:?}",
        made.keys()
    );
    for (name, bytes) in &made {
        assert!(
            name.bytes()
                .all(|byte| byte.is_ascii_alphanumeric() || b"/.-".contains(&byte)),
            "{name:?}"
        );
        let page = std::str::from_utf8(bytes).expect("text");
        plain(name, page);
        if name.ends_with(".html") {
            assert!(
                !page.contains("<script") && !page.contains("href=\"javascript"),
                "{name}"
            );
            let own = page.matches("</title>").count()
                - page
                    .matches("<svg")
                    .count()
                    .min(page.matches("</title>").count() - 1);
            assert_eq!(own, 1, "{name}");
        }
    }
}

/// A drawing is a part of a page, and a file by itself in the report.
#[test]
fn drawings() {
    let files = job();
    let planned = Planned::of(&files, Path::new("job/pack.toml"));
    let Ok(planned) = planned else {
        panic!("not planned")
    };
    let sink = InMemory::default();
    planned.write(false, &sink).expect("room");
    let mut drawn = 0;
    for (name, bytes) in sink.into_files() {
        let page = String::from_utf8(bytes).expect("text");
        for svg in page.split("<svg").skip(1) {
            let svg = svg.split("</svg>").next().unwrap_or_default();
            plain(&name, svg);
            assert!(!svg.contains("<script"), "{name}");
            drawn += 1;
        }
    }
    assert!(drawn > 2);
}

/// Names of files on the real disk, in what each command says.
#[cfg(unix)]
#[test]
fn names_of_files() {
    let place = tempfile::tempdir().expect("a folder");
    let name = "a\u{1b}[31m\u{9b}2J\u{202e}\n.ctr";
    std::fs::write(place.path().join(name), "format: 1\nnonsense\n").expect("a record");
    std::fs::write(place.path().join("pack.toml"), "records = [\"*.ctr\"]\n").expect("a pack");
    let out = "o\u{1b}]0;x\u{7}";
    std::fs::create_dir(place.path().join("is\u{1b}file")).expect("a folder");
    for arguments in [
        &["check", name][..],
        &["check", "--format", "short", name],
        &["check", "--format", "json", name],
        &["check", "none\u{1b}[31m.ctr"],
        &["report", name, "-o", out],
        &["report", "none\u{1b}[31m.ctr"],
        &["report", "is\u{1b}file"],
        &["worksheet", name, "-o", out],
        &["verify", name, name],
        &["verify", "none\u{1b}", "none\u{9b}"],
        &["new", "--from", name],
        &["new", "--from", "is\u{1b}file"],
        &["pack", "pack.toml", "-o", out],
        &["pack", "pack.toml", "-o", name],
        &["pack", "none\u{1b}.toml", "-o", out],
    ] {
        let output = Command::cargo_bin("kneemark")
            .expect("the program")
            .current_dir(place.path())
            .args(arguments)
            .output()
            .expect("it ran");
        for said in [output.stdout, output.stderr] {
            plain(&format!("{arguments:?}"), &String::from_utf8_lossy(&said));
        }
    }
}

/// What was to be read and did not arrive is no success; a reader that has gone is none of our business.
#[cfg(target_os = "linux")]
#[test]
fn a_full_device_is_told() {
    let record = "records/skerrow/h07/h07-l1.ctr";
    for arguments in [
        &["check", record][..],
        &["check", "--format", "json", record],
        &["new", "--core", "1S 5P20 600/1 A 15 VA"],
        &["new", "--from", record],
        &["report", record, "-o"],
        &["pack", "records/pack.toml", "-o"],
    ] {
        let place = tempfile::tempdir().expect("a folder");
        let mut command =
            std::process::Command::new(Command::cargo_bin("kneemark").expect("it").get_program());
        command
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .args(arguments);
        if arguments.last() == Some(&"-o") {
            command.arg(place.path().join("out"));
        }
        let full = std::fs::OpenOptions::new()
            .write(true)
            .open("/dev/full")
            .expect("a device");
        let output = command.stdout(full).output().expect("it ran");
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(
            said.contains("standard output cannot be written"),
            "{arguments:?}: {said}"
        );
    }
}
