//! What holds for a record comes from its job, and the report names the file.
#![allow(clippy::disallowed_methods, reason = "links are on the disk only")]

use super::{demo_text, job, made};
use kneemark::compile;
use kneemark::ground::seam::{Disk, Files, Memory};
use kneemark::job::{Basis, Compiled, Job};
use std::fs;
use std::path::Path;

const RECORD: &str = "skerrow/h07/h07-l1.ctr";

/// A record in `a/job/bay/`, and two settings there or above.
fn placed(at: &str, more: &[&str]) -> Memory {
    let files = Memory::default();
    files.put("a/job/bay/x.ctr", demo_text(RECORD));
    for name in ["instruments.toml", "criteria.toml"] {
        files.put(Path::new(at).join(name), demo_text(name));
    }
    for name in more {
        files.put(*name, "records = [\"**/*.ctr\"]\n");
    }
    files
}

fn one(files: &dyn Files) -> (Compiled, Vec<String>) {
    let Job {
        mut records,
        others,
    } = compile(files, &["a/job/bay/x.ctr".into()]);
    let told = others.iter().map(|told| {
        let titles = told
            .diagnostics
            .iter()
            .map(|one| format!("{}: {}", told.source.name, one.title));
        titles.collect::<String>()
    });
    (records.remove(0), told.collect())
}

fn names(ct: &Compiled) -> Vec<(String, bool)> {
    let basis = Basis::of(ct, std::iter::empty());
    let part = |what: &str| {
        basis
            .part(what)
            .map(|part| (part.name.clone(), !part.sum.is_empty()))
    };
    ["instruments", "criteria"]
        .into_iter()
        .filter_map(part)
        .collect()
}

#[test]
fn up_to_the_folder_of_the_job() {
    for (at, more, taken) in [
        ("a/job/bay", &[][..], Some("")),
        ("a/job", &["a/job/pack.toml"], Some("")),
        ("a/job/bay", &["a/job/pack.toml"], Some("bay/")),
        ("a", &["a/job/pack.toml"], None),
        ("", &["a/job/pack.toml"], None),
        // Without a pack.toml, up to the repository.
        ("a", &["a/.git/config"], Some("")),
        ("a/job", &["a/.git/config"], Some("job/")),
        ("", &["a/.git/config"], None),
        // And no pack.toml beyond that.
        ("", &["a/.git/config", "pack.toml"], None),
        ("a", &["a/job/.git/config", "a/pack.toml"], None),
        // With neither, only beside the record.
        ("a/job", &[], None),
    ] {
        let (ct, told) = one(&placed(at, more));
        match taken {
            Some(below) => {
                let name = |name: &str| (format!("{below}{name}"), true);
                assert_eq!(
                    names(&ct),
                    ["instruments.toml", "criteria.toml"].map(name),
                    "{at} {more:?}"
                );
                assert!(told.is_empty(), "{at} {more:?} {told:?}");
            }
            None => {
                assert!(
                    names(&ct).iter().all(|(_, is_there)| !is_there),
                    "{at} {more:?}"
                );
                assert_eq!(told.len(), 2, "{at} {more:?}");
                let levels = 3 - at.split('/').filter(|part| !part.is_empty()).count();
                let wanted = format!(
                    "{}criteria.toml: criteria.toml lies outside the job, and is not used",
                    "../".repeat(levels)
                );
                assert!(told.contains(&wanted), "{at} {more:?} {told:?}");
            }
        }
    }
}

#[cfg(unix)]
#[test]
fn no_link_out_of_the_job() {
    let place = tempfile::tempdir().expect("a folder");
    let at = |name: &str| place.path().join(name);
    fs::create_dir_all(at("job")).expect("folders");
    fs::write(at("job/x.ctr"), demo_text(RECORD)).expect("a record");
    fs::write(at("job/pack.toml"), "records = [\"*.ctr\"]\n").expect("a pack");
    fs::write(at("criteria.toml"), demo_text("criteria.toml")).expect("criteria");
    std::os::unix::fs::symlink(at("criteria.toml"), at("job/criteria.toml")).expect("a link");
    let job = compile(&Disk, &[at("job/x.ctr")]);
    assert_eq!(
        names(&job.records[0])[1],
        ("criteria.toml".to_owned(), false)
    );
    let told = &job.others[0].diagnostics[0];
    assert_eq!(
        told.title,
        "criteria.toml is a link that leads out of the job, and is not used"
    );
    // One that leads to another place of the job is as good as a copy.
    fs::create_dir(at("job/held")).expect("a folder");
    fs::rename(at("criteria.toml"), at("job/held/c.toml")).expect("moved");
    fs::remove_file(at("job/criteria.toml")).expect("gone");
    std::os::unix::fs::symlink("held/c.toml", at("job/criteria.toml")).expect("a link");
    let job = compile(&Disk, &[at("job/x.ctr")]);
    assert!(names(&job.records[0])[1].1 && job.others.is_empty());
    // One that leads nowhere is no missing file.
    fs::remove_file(at("job/held/c.toml")).expect("gone");
    let job = compile(&Disk, &[at("job/x.ctr")]);
    assert!(job.records[0].setting.is_broken());
    assert_eq!(job.others[0].diagnostics[0].code.name(), "file-unreadable");
}

/// What looks like a part of the job and is none.
#[cfg(unix)]
#[test]
fn what_is_left_out_is_told() {
    let place = tempfile::tempdir().expect("a folder");
    let at = |name: &str| place.path().join(name);
    let deep = |levels: usize| at("job").join(vec!["d"; levels].join("/"));
    fs::create_dir_all(deep(33)).expect("folders");
    fs::write(deep(32).join("deep.ctr"), demo_text(RECORD)).expect("a record");
    fs::write(deep(33).join("deeper.ctr"), demo_text(RECORD)).expect("a record");
    fs::write(at("job/b.CTR"), demo_text(RECORD)).expect("a record");
    fs::create_dir(at("other")).expect("a folder");
    for (link, to) in [
        ("folder", at("other")),
        ("c.ctr", at("job/b.CTR")),
        ("notes.txt", at("job/b.CTR")),
        (".hidden", at("other")),
    ] {
        std::os::unix::fs::symlink(to, at("job").join(link)).expect("a link");
    }
    let job = compile(&Disk, &[at("job")]);
    assert_eq!(job.records.len(), 1);
    assert!(job.records[0].path.ends_with("deep.ctr"));
    let told = job.others.iter().map(|told| {
        let name = told.source.name.rsplit('/').next().unwrap_or_default();
        (name.to_owned(), told.diagnostics[0].code.name())
    });
    let left_out = |name: &str| (name.to_owned(), "file-left-out");
    assert_eq!(
        told.collect::<Vec<_>>(),
        ["b.CTR", "c.ctr", "d", "folder"].map(left_out)
    );
}

#[cfg(unix)]
#[test]
fn a_linked_template_is_told() {
    let place = tempfile::tempdir().expect("a folder");
    let at = |name: &str| place.path().join(name);
    fs::create_dir_all(at("job/own")).expect("folders");
    fs::write(at("job/x.ctr"), demo_text(RECORD)).expect("a record");
    fs::write(
        at("job/pack.toml"),
        "records = [\"*.ctr\"]\n[templates]\nfolder = \"own\"\n",
    )
    .expect("a pack");
    fs::write(at("ct.md"), "x").expect("a template");
    std::os::unix::fs::symlink(at("ct.md"), at("job/own/ct.md")).expect("a link");
    let planned = kneemark::pack::build::Planned::of(&Disk, &at("job/pack.toml"));
    let Ok(planned) = planned else {
        panic!("not planned")
    };
    let told = planned.others.iter().flat_map(|told| &told.diagnostics);
    let told: Vec<&str> = told.map(|one| one.title.as_str()).collect();
    assert_eq!(
        told,
        ["the template ct.md is a link, and links are not followed"]
    );
}

/// The demo job takes all from its own folder.
#[test]
fn the_demo_leaves_nothing_out() {
    let Ok(pack) = made(&job()) else {
        panic!("not made")
    };
    let told = pack.others.iter().flat_map(|told| &told.diagnostics);
    assert!(
        told.into_iter()
            .all(|one| one.code.name() != "file-left-out")
    );
}

/// A pack takes what holds from its own folder, also for a part of it that has a pack of its own; and its pages are
/// verified against it.
#[test]
fn a_part_with_a_pack_of_its_own() {
    let place = tempfile::tempdir().expect("a folder");
    let at = |name: &str| place.path().join(name);
    fs::create_dir_all(at("job/bay")).expect("folders");
    fs::write(at("job/bay/x.ctr"), demo_text(RECORD)).expect("a record");
    fs::write(at("job/criteria.toml"), demo_text("criteria.toml")).expect("criteria");
    fs::write(at("job/pack.toml"), "records = [\"**/*.ctr\"]\n").expect("a pack");
    fs::write(
        at("job/bay/pack.toml"),
        "records = [\"*.ctr\"]\n[report]\nnumber = \"2\"\n",
    )
    .expect("a pack");
    let run = |arguments: &[&str]| {
        let output = super::command::program()
            .current_dir(place.path())
            .args(arguments)
            .output()
            .expect("it ran");
        (
            output.status.code(),
            String::from_utf8_lossy(&output.stdout).into_owned(),
        )
    };
    let page = |out: &str| format!("{out}/ct/brw-25-41301.md");
    for (pack, out, named) in [
        ("job/pack.toml", "all", true),
        ("job/bay/pack.toml", "part", false),
    ] {
        let (_, said) = run(&["pack", pack, "-o", out]);
        let text = fs::read_to_string(at(&page(out))).expect("a page");
        let none = "\"name\":\"criteria.toml\",\"sum\":\"\"";
        assert_eq!(!text.contains(none), named, "{said}");
        assert_eq!(
            said.contains("criteria.toml lies outside the job"),
            !named,
            "{said}"
        );
        let (code, said) = run(&["verify", &page(out), "job/bay/x.ctr"]);
        assert_eq!(code, Some(0), "{said}");
    }
}

/// What cannot be read, or is left out, stands at the front of the pack: a client counts the CTs that are there.
#[test]
fn what_is_not_in_the_pack_is_told_at_its_front() {
    let place = tempfile::tempdir().expect("room");
    let at = |name: &str| place.path().join(name);
    fs::create_dir_all(at("job/a")).expect("room");
    fs::write(at("job/a/one.ctr"), demo_text(RECORD)).expect("room");
    fs::write(at("job/a/TWO.CTR"), demo_text(RECORD)).expect("room");
    // A folder of this name is there and is no record that can be read.
    fs::create_dir(at("job/a/three.ctr")).expect("room");
    fs::write(at("job/a/three.ctr/four.ctr"), [0xff, 0xfe, 0]).expect("room");
    fs::create_dir(at("job/criteria.toml")).expect("room");
    fs::write(at("job/pack.toml"), "records = [\"**/*.ctr\"]\n").expect("room");
    let pack = at("job/pack.toml");
    let built = super::made_at(&Disk, &pack.to_string_lossy());
    let built = built.unwrap_or_else(|none| panic!("{:?}", super::codes(&none)));
    for name in ["index.md", "index.html", "pack.html"] {
        let front = super::text(&built, name);
        assert!(
            front.contains("Nothing of them is in this report"),
            "{name}"
        );
        assert!(
            front.contains("a/TWO.CTR") && front.contains("criteria.toml"),
            "{name}"
        );
    }
    assert_eq!(built.lost, 2);
    assert_eq!(built.outcome(), kneemark::job::Outcome::Broken);
}

#[test]
fn a_pattern_may_begin_where_it_is() {
    let files = job();
    for pattern in [
        "skerrow/h07/*.ctr",
        "./skerrow/h07/*.ctr",
        "././skerrow/h07/h07-l?.ctr",
    ] {
        files.put("job/pack.toml", format!("records = [\"{pattern}\"]\n"));
        assert_eq!(
            made(&files).map(|built| built.cards.len()).ok(),
            Some(3),
            "{pattern}"
        );
    }
}
