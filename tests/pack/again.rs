//! A pack that is built over an earlier one is the one that would be built afresh, to the byte, whatever changed; and
//! what did not change is not compiled again.
#![allow(clippy::disallowed_methods, reason = "packs stand on the disk")]

use super::demo;
use crate::through::{RecordsRead, Through};
use kneemark::ground::seam::Disk;
use kneemark::ground::source::sha256;
use kneemark::pack::build::Planned;
use kneemark::pack::sink::InMemory;
use kneemark::pack::target::{LIST, Target};
use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

/// A job of a bay with three CTs, and one CT that stands alone.
struct Job {
    place: tempfile::TempDir,
}

impl Job {
    fn new() -> Self {
        let place = tempfile::tempdir().expect("room");
        let job = Self { place };
        for (name, text) in demo::files() {
            let records = ["skerrow/h07/", "skerrow/aux/q4-l3.ctr"];
            if name.ends_with(".toml") || records.iter().any(|one| name.starts_with(one)) {
                job.put(&name, &text);
            }
        }
        job.put(
            "pack.toml",
            "records = [\"**/*.ctr\"]\norder = [\"site\", \"bay\", \"phase\"]\n",
        );
        job
    }

    fn at(&self, name: &str) -> PathBuf {
        self.place.path().join("job").join(name)
    }

    fn put(&self, name: &str, text: &str) {
        let path = self.at(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("room");
        fs::write(path, text).expect("room");
    }

    /// Changes a file by its text.
    fn change(&self, name: &str, from: &str, to: &str) {
        let text = fs::read_to_string(self.at(name)).expect("there");
        assert!(text.contains(from), "{name} has no {from}");
        fs::write(self.at(name), text.replacen(from, to, 1)).expect("room");
    }

    /// Builds over what stands, holds it against what is built afresh, and gives how many records were compiled.
    fn build(&self, what: &str) -> usize {
        let (out, shelves) = (
            self.place.path().join("out"),
            self.place.path().join("shelves"),
        );
        let files = Through {
            files: Disk,
            way: RecordsRead::default(),
        };
        let planned = Planned::of(&files, &self.at("pack.toml"));
        let planned = planned.unwrap_or_else(|told| panic!("{what}: {told:?}"));
        let looked = files.way.count();
        let names = planned.names(false);
        let target = Target::open(&out, &names, planned.records(), Some(&shelves));
        let target = target.unwrap_or_else(|refused| panic!("{what}: {refused:?}"));
        let built = planned.write(false, &target).expect("room");
        target
            .finish()
            .unwrap_or_else(|refused| panic!("{what}: {refused:?}"));
        let compiled = files.way.count() - looked;

        let sink = InMemory::default();
        let afresh = Planned::of(&Disk, &self.at("pack.toml")).unwrap_or_else(|_| panic!("{what}"));
        let other = afresh.write(false, &sink).expect("room");
        assert_eq!(built.outcome(), other.outcome(), "{what}");
        assert_eq!(told(&built), told(&other), "{what}");
        let mut stands: BTreeMap<String, Vec<u8>> = BTreeMap::new();
        for name in names.iter().map(String::as_str) {
            stands.insert(name.to_owned(), fs::read(out.join(name)).expect(name));
        }
        for (name, bytes) in sink.into_files() {
            assert!(
                stands.remove(&name) == Some(bytes),
                "{what}: {name} is another one"
            );
        }
        assert!(stands.is_empty(), "{what}");
        let list = fs::read_to_string(out.join(LIST)).expect("a list");
        assert_eq!(list.lines().count(), names.len() + 1, "{what}");
        compiled
    }
}

fn told(built: &kneemark::pack::build::Built) -> String {
    let told = built
        .told
        .iter()
        .map(|told| format!("{:?}", told.diagnostics));
    let faults = built.faults.iter().map(|fault| format!("{fault:?}"));
    told.chain(faults)
        .chain(built.warnings.iter().cloned())
        .collect()
}

const H07: &str = "skerrow/h07/h07-l1.ctr";

#[test]
fn a_pack_that_is_built_again_is_the_one_that_is_built_afresh() {
    let job = Job::new();
    let all = job.build("first");
    assert_eq!(all, 4);
    assert_eq!(job.build("nothing changed"), 0);

    let text = fs::read_to_string(job.at(H07)).expect("there");
    job.put(H07, &format!("{text}\n# a remark\n"));
    let kin = job.build("a remark in a record");
    assert!((1..all).contains(&kin), "{kin} of {all}");
    assert_eq!(job.build("nothing changed since"), 0);
    job.put(H07, &text);
    assert_eq!(
        job.build("the remark is gone"),
        kin,
        "it was put by for one run"
    );

    for (what, name, from, to) in [
        ("a reading", H07, "ambient: ", "ambient: 1"),
        ("the criteria", "criteria.toml", "", "# other bytes\n"),
        ("the instruments", "instruments.toml", "", "# other bytes\n"),
        ("pack.toml", "pack.toml", "order = [\"site\", ", "order = ["),
    ] {
        job.change(name, from, to);
        assert!(job.build(what) > 0, "{what}");
        assert_eq!(job.build(what), 0, "{what}, again");
    }

    let picture = "\n[attachments]\nfile | shows | SHA-256\nbox.png | terminal box | -\n";
    job.put(H07, &format!("{text}{picture}"));
    assert_eq!(job.build("a file of a visit, not there"), kin);
    job.put("skerrow/h07/box.png", "one");
    assert_eq!(job.build("the file"), kin);
    assert_eq!(job.build("the file, again"), 0);
    job.put("skerrow/h07/box.png", "two");
    assert_eq!(job.build("another file under its name"), kin);
    fs::remove_file(job.at("skerrow/h07/box.png")).expect("there");
    job.put(H07, &text);
    assert_eq!(job.build("without it"), kin);

    job.put("criteria/x.txt", "no setting");
    assert_eq!(job.build("a file of no meaning"), 0);
    let own = fs::read_to_string(job.at("criteria.toml")).expect("there");
    job.put("skerrow/h07/criteria.toml", &format!("# of the bay\n{own}"));
    assert_eq!(job.build("criteria of one bay"), kin);
    fs::remove_file(job.at("skerrow/h07/criteria.toml")).expect("there");
    assert_eq!(job.build("the job's again"), kin);

    // What stands before it and behind it in the pack is named on a page.
    let other = text
        .replacen("id: ", "id: A-", 1)
        .replace("bay: ", "bay: A");
    job.put("skerrow/a.ctr", &other);
    let more = job.build("a record more, before all");
    assert_eq!(more, kin + 1);
    fs::rename(job.at("skerrow/a.ctr"), job.at("skerrow/b.ctr")).expect("room");
    assert!(job.build("under another name") > 0);
    job.put("skerrow/c.ctr", &other);
    assert!(job.build("twice the same unit") > 0);
    // What is told of a record each time is compiled each time.
    assert!(job.build("still twice") > 0);
    fs::remove_file(job.at("skerrow/c.ctr")).expect("there");
    fs::remove_file(job.at("skerrow/b.ctr")).expect("there");
    assert!(job.build("as before") > 0);
    assert_eq!(job.build("nothing changed after all"), 0);
}

#[test]
fn templates_and_pages() {
    let job = Job::new();
    let pack = fs::read_to_string(job.at("pack.toml")).expect("there");
    job.put(
        "pack.toml",
        &format!("{pack}[templates]\nfolder = \"own\"\n"),
    );
    let built_in = fs::read_to_string("templates/style.css").expect("a template");
    job.put("own/style.css", &built_in);
    let all = job.build("first");
    assert_eq!(job.build("nothing changed"), 0);
    job.change("own/style.css", "", "/* of the client */\n");
    assert_eq!(job.build("a template"), all);
    // A template at fault is told page by page.
    job.put("own/ct.md", "{nothing}\n");
    assert_eq!(job.build("a fault"), all);
    assert_eq!(job.build("still a fault"), all);
    fs::remove_file(job.at("own/ct.md")).expect("there");
    assert_eq!(job.build("no fault"), all);
    assert_eq!(job.build("nothing changed since"), 0);

    // A page that went is made with its whole kin.
    let out = job.place.path().join("out");
    let page = fs::read_dir(out.join("ct"))
        .expect("pages")
        .flatten()
        .next()
        .expect("a page");
    fs::remove_file(page.path()).expect("there");
    let kin = job.build("a page is gone");
    assert!((1..all).contains(&kin), "{kin} of {all}");
    fs::remove_dir_all(&out).expect("there");
    assert_eq!(job.build("all pages are gone"), all);

    // A build of another kind puts nothing by, and takes nothing away.
    job.build("all pages");
    let planned = Planned::of(&Disk, &job.at("pack.toml"));
    let planned = planned.unwrap_or_else(|told| panic!("{told:?}"));
    let shelves = job.place.path().join("shelves");
    let target = Target::open(
        &out,
        &planned.names(true),
        planned.records(),
        Some(&shelves),
    );
    let target = target.expect("free");
    planned.write(true, &target).expect("room");
    target.finish().expect("room");
    assert_eq!(job.build("after a whole pack"), 0);

    // What was put by is changed or torn.
    let shelf = || {
        fs::read_dir(&shelves)
            .expect("shelves")
            .flatten()
            .next()
            .expect("one")
            .path()
    };
    let text = fs::read_to_string(shelf()).expect("text");
    let forged = text.replace("\"errors\":0", "\"errors\":7");
    assert_ne!(forged, text);
    fs::write(shelf(), forged).expect("room");
    assert!(job.build("a forged shelf") > 0);
    // With sums that fit: other pages than those of its CTs, or another record, are not taken.
    for (what, from, to) in [
        ("no pages", "[[\"bay/", "[[\"ct/"),
        ("another record", "\"sha256\":\"", "\"sha256\":\"0"),
    ] {
        let line = |line: &str| {
            let mut parts = line.splitn(3, ' ');
            let key = parts.next().expect("a key");
            let thing = parts.nth(1).expect("a thing").replace(from, to);
            let sum = sha256(format!("{key} {thing}").as_bytes());
            format!("{key} {sum} {thing}\n")
        };
        let text = fs::read_to_string(shelf()).expect("text");
        let forged: String = text.lines().map(line).collect();
        assert!(forged.contains(to), "{what}");
        fs::write(shelf(), forged).expect("room");
        assert!(job.build(what) > 0, "{what}");
    }
    fs::write(shelf(), &text[..text.len() / 2]).expect("room");
    assert!(job.build("a torn shelf") > 0);
    fs::remove_dir_all(&shelves).expect("there");
    fs::write(&shelves, "a file").expect("room");
    assert_eq!(job.build("no shelf"), all);
}

/// What a CT stands on beside its own bay: a plate of another, a set over several bays, settings that cannot be read.
#[test]
fn what_lies_beside() {
    let job = Job::new();
    let plate = |id: &str, place: &str, core: &str| {
        format!(
            "format: 1\n[ct]\nid: {id}\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n\
             [place since 2026-01-01]\nsite: X\n{place}\nphase: L1\n[core S]\nuse: protection\n{core}\n\
             [visit 2026-03-14]\npurpose: maintenance\n\
             [resistance S1-S2]\nwires: 4\ntemperature: 20 C\ncurrent/A  voltage/V\n1.0  2.5\n"
        )
    };
    let own = "class: 5P20\nratio: 600/1 A\nburden: 15 VA";
    job.put("a.ctr", &plate("A", "bay: A", own));
    job.put("b.ctr", &plate("B", "bay: B", "like: A"));
    job.put("c.ctr", &plate("C", "bay: C", "like: B"));
    job.put("d.ctr", &plate("D", "bay: D\nset: one", own));
    job.put("e.ctr", &plate("E", "bay: E\nset: one", own));
    job.put("f.ctr", &plate("F", "bay: F", own));
    job.build("first");
    assert_eq!(job.build("nothing changed"), 0);
    // A lender is read before all others, and not a second time.
    job.change("a.ctr", "5P20", "10P20");
    assert!(job.build("a plate that two stand on") > 0);
    job.change("f.ctr", "5P20", "10P20");
    assert_eq!(job.build("a plate that nobody else stands on"), 1);
    job.change("e.ctr", "5P20", "10P20");
    assert_eq!(job.build("one of a set"), 2);
    fs::rename(job.at("a.ctr"), job.at("z.ctr")).expect("room");
    job.build("the lender under another name");
    assert_eq!(job.build("nothing changed since"), 0);
    fs::remove_file(job.at("z.ctr")).expect("there");
    job.build("nobody lends it");
    job.put("z.ctr", &plate("A", "bay: A", own));
    job.build("another lends it");

    // An empty file, and one that cannot be read, beside another that is not understood.
    job.put("instruments.toml", "[[instrument");
    job.put("criteria.toml", "");
    job.build("no instruments");
    fs::remove_file(job.at("criteria.toml")).expect("there");
    fs::create_dir(job.at("criteria.toml")).expect("room");
    job.build("no criteria either");
    fs::remove_dir(job.at("criteria.toml")).expect("there");
    job.build("the defaults");
}
