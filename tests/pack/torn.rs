//! A run that is killed, or that finds no room, leaves the earlier pack or the new one, and the next run no litter.
#![cfg(unix)]
#![allow(clippy::disallowed_methods, reason = "these tests are about the disk")]

use super::command::{job, program};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// So many in the usual run; the ignored test kills more often.
const KILLS: u32 = 25;
const MANY_KILLS: u32 = 300;

fn pack(place: &Path) -> Command {
    let mut command = Command::new(program().get_program());
    command
        .current_dir(place)
        .args(["pack", "job/pack.toml", "-o", "out"])
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    command
}

/// Gives the job another title, which stands on every page.
fn retitle(place: &Path, title: &str) {
    let path = place.join("job/pack.toml");
    let text = fs::read_to_string(&path).expect("a pack");
    let line = |line: &str| match line.starts_with("title = ") {
        true => format!("title = \"{title}\"\n"),
        false => format!("{line}\n"),
    };
    // In one step: another run may read it.
    let beside = place.join("job/pack.toml.new");
    fs::write(&beside, text.lines().map(line).collect::<String>()).expect("a pack");
    fs::rename(beside, path).expect("a pack");
}

/// Holds the pack against its list; gives what its front says and how many files it has.
fn whole(out: &Path) -> (String, usize) {
    let list = fs::read_to_string(out.join("files.sha256")).expect("a list");
    let listed: BTreeMap<&str, &str> = list
        .lines()
        .filter_map(|line| line.split_once("  "))
        .map(|(sum, name)| (name, sum))
        .collect();
    let standing: BTreeSet<String> = ["", "ct", "bay"]
        .iter()
        .filter_map(|folder| Some((folder, fs::read_dir(out.join(folder)).ok()?)))
        .flat_map(|(folder, entries)| {
            let files = entries.map(|entry| entry.expect("an entry"));
            let files = files.filter(|entry| entry.path().is_file());
            files.map(move |entry| {
                let name = entry.file_name().into_string().expect("a name");
                let name = format!("{folder}/{name}");
                name.trim_start_matches('/').to_owned()
            })
        })
        .filter(|name| name != "files.sha256")
        .collect();
    assert_eq!(
        standing,
        listed.keys().map(|name| (*name).to_owned()).collect()
    );
    for (name, sum) in &listed {
        let bytes = fs::read(out.join(name)).expect("a file");
        assert_eq!(kneemark::ground::source::sha256(&bytes), **sum, "{name}");
    }
    let index = fs::read_to_string(out.join("index.md")).expect("a front");
    let title = index.lines().find_map(|line| line.strip_prefix("# "));
    (title.expect("a title").to_owned(), listed.len())
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    let name = |entry: std::io::Result<fs::DirEntry>| {
        let name = entry.expect("an entry").file_name();
        name.into_string().expect("a name")
    };
    let mut names: Vec<String> = entries.map(name).collect();
    names.sort();
    names
}

/// Kills builds at moments spread over their whole length.
fn kill(times: u32) {
    let place = job(&["h07"]);
    let place = place.path();
    retitle(place, "Issue 0");
    let begun = Instant::now();
    assert!(pack(place).status().expect("it ran").success());
    let length = begun.elapsed();
    let (mut stands, count) = whole(&place.join("out"));
    let (mut killed, mut done) = (0, 0);
    for time in 1..=times {
        let title = format!("Issue {time}");
        retitle(place, &title);
        let mut child = pack(place).spawn().expect("it runs");
        // A golden-section walk over the length and a little more: no two alike, none left out.
        let part = (f64::from(time) * 0.618_034).fract() * 1.15;
        std::thread::sleep(length.mul_f64(part).max(Duration::from_micros(200)));
        let _ = child.kill();
        match child.wait().expect("it ended").success() {
            true => done += 1,
            false => killed += 1,
        }
        let (now, files) = whole(&place.join("out"));
        assert!(
            now == stands || now == title,
            "{now} after {stands} and {title}"
        );
        assert_eq!(files, count);
        stands = now;
    }
    assert!(
        killed > times / 3,
        "{killed} of {times} were killed, {done} ended"
    );
    assert!(pack(place).status().expect("it ran").success());
    assert_eq!(whole(&place.join("out")).0, format!("Issue {times}"));
    assert_eq!(names(place), ["job", "out"], "no litter");
}

#[test]
fn a_killed_build_leaves_a_whole_pack() {
    kill(KILLS);
}

#[test]
#[ignore = "takes minutes; CI runs it"]
fn three_hundred_killed_builds() {
    kill(MANY_KILLS);
}

/// A build that may write files of so many blocks only, as on a full disk.
#[test]
fn a_build_without_room_leaves_the_earlier_pack() {
    let place = job(&["h07"]);
    let place = place.path();
    retitle(place, "Issue 0");
    assert!(pack(place).status().expect("it ran").success());
    let before = whole(&place.join("out"));
    retitle(place, "Issue 1");
    let output = Command::new("sh")
        .current_dir(place)
        // Blocks of 512 bytes; a page is longer. The signal for it is ignored, so that writing fails.
        .args([
            "-c",
            "trap '' XFSZ; ulimit -f 20; exec \"$0\" pack job/pack.toml -o out 2>&1",
        ])
        .arg(program().get_program())
        .output()
        .expect("it ran");
    let said = String::from_utf8_lossy(&output.stdout);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(
        said.contains("out cannot be written: ") && said.contains("nothing was written"),
        "{said}"
    );
    assert_eq!(whole(&place.join("out")), before);
    assert_eq!(names(place), ["job", "out"], "no litter");
}

/// What a run left that was killed between two steps of a disk that cannot exchange folders is put back.
#[test]
fn a_pack_moved_aside_is_moved_back() {
    let place = job(&["h07"]);
    let place = place.path();
    assert!(pack(place).status().expect("it ran").success());
    let before = whole(&place.join("out"));
    let stage = place.join(".out.kneemark-dead");
    fs::create_dir(&stage).expect("a folder");
    let mark = "files of a kneemark run that goes on, or was killed\n";
    fs::write(stage.join("lock"), mark).expect("a lock that nobody holds");
    fs::rename(place.join("out"), stage.join("old")).expect("moved");
    fs::write(place.join("job/pack.toml"), "records = [\"none/*.ctr\"]\n").expect("no pack");
    // Nothing is built of it, so that nothing is swept.
    assert_eq!(pack(place).status().expect("it ran").code(), Some(2));
    assert!(!place.join("out").exists());
    fs::write(place.join("job/pack.toml"), "records = [\"**/*.ctr\"]\n").expect("a pack");
    fs::write(stage.join("old/index.html"), "mine").expect("a change");
    let output = pack(place).stdout(Stdio::piped()).output().expect("it ran");
    let said = String::from_utf8_lossy(&output.stdout);
    assert!(said.contains("index.html was changed since"), "{said}");
    assert_eq!(names(place), ["job", "out"], "no litter");
    assert_eq!(
        fs::read_to_string(place.join("out/index.html")).expect("there"),
        "mine"
    );
    assert!(before.1 > 3);
}

/// A folder that another run is at work in is left alone.
#[test]
fn a_stage_in_use_stays() {
    let place = job(&["h07"]);
    let place = place.path();
    let stage = place.join(".out.kneemark-live");
    fs::create_dir(&stage).expect("a folder");
    let lock = fs::File::create(stage.join("lock")).expect("a lock");
    lock.try_lock().expect("held");
    assert!(pack(place).status().expect("it ran").success());
    assert_eq!(names(place), [".out.kneemark-live", "job", "out"]);
    drop(lock);
    assert!(pack(place).status().expect("it ran").success());
    assert_eq!(names(place), ["job", "out"]);
}

#[test]
fn rights_taken_away_are_told() {
    use std::os::unix::fs::PermissionsExt as _;
    let place = job(&["h07"]);
    let place = place.path();
    let above = place.join("deep");
    fs::create_dir(&above).expect("a folder");
    let run = || {
        let output = Command::new(program().get_program())
            .current_dir(place)
            .args(["pack", "job/pack.toml", "-o", "deep/out"])
            .output()
            .expect("it ran");
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        (output.status.code(), said)
    };
    assert_eq!(run().0, Some(0));
    let before = whole(&above.join("out"));
    fs::set_permissions(&above, fs::Permissions::from_mode(0o555)).expect("rights");
    // Whom rights do not bind, this cannot be shown to.
    let is_bound = fs::write(above.join("probe"), "").is_err();
    let (code, said) = run();
    fs::set_permissions(&above, fs::Permissions::from_mode(0o755)).expect("rights");
    if is_bound {
        assert_eq!(code, Some(2), "{said}");
        assert!(said.contains("deep/out cannot be written: "), "{said}");
    }
    assert_eq!(whole(&above.join("out")), before);
}

/// The folder that one stands in would be gone under one's feet.
#[test]
fn not_where_one_stands() {
    let place = job(&["h07"]);
    let place = place.path();
    fs::create_dir(place.join("out")).expect("a folder");
    for out in [".", "../out"] {
        let output = Command::new(program().get_program())
            .current_dir(place.join("out"))
            .args(["pack", "../job/pack.toml", "-o", out])
            .output()
            .expect("it ran");
        let said = String::from_utf8_lossy(&output.stdout);
        assert_eq!(output.status.code(), Some(2), "{said}");
        assert!(said.contains("is the folder that you stand in"), "{said}");
    }
}

/// Two jobs into one folder at once, again and again: it holds one or the other, whole, and no run accuses anybody.
#[test]
fn two_jobs_at_once_leave_one_whole() {
    let place = job(&["h07"]);
    let place = place.path();
    retitle(place, "Issue 0");
    assert!(pack(place).status().expect("it ran").success());
    for round in 0..6_u32 {
        let runs: Vec<_> = (0..4_u32)
            .map(|run| {
                retitle(place, &format!("Issue {round}-{run}"));
                let run = pack(place).stdout(Stdio::piped()).spawn().expect("it runs");
                std::thread::sleep(Duration::from_millis(u64::from(7 * (round + 1) % 23)));
                run
            })
            .collect();
        for run in runs {
            let output = run.wait_with_output().expect("it ended");
            let said = String::from_utf8_lossy(&output.stdout);
            assert_eq!(output.status.code(), Some(0), "{said}");
        }
        let (title, _) = whole(&place.join("out"));
        assert!(title.starts_with(&format!("Issue {round}-")), "{title}");
    }
    assert_eq!(names(place), ["job", "out"], "no litter");
}

/// A private folder of others stays private.
#[test]
fn rights_of_folders_stay() {
    use std::os::unix::fs::PermissionsExt as _;
    let place = job(&["h07"]);
    let place = place.path();
    assert!(pack(place).status().expect("it ran").success());
    fs::create_dir_all(place.join("out/mine/shut")).expect("folders");
    fs::write(place.join("out/mine/shut/a"), "x").expect("a file");
    let modes = [
        ("out/ct", 0o700),
        ("out/mine/shut", 0o500),
        ("out/mine", 0o710),
    ];
    for (name, mode) in modes {
        let rights = fs::Permissions::from_mode(mode);
        fs::set_permissions(place.join(name), rights).expect("rights");
    }
    retitle(place, "Issue 1");
    assert!(pack(place).status().expect("it ran").success());
    for (name, mode) in modes {
        let about = fs::metadata(place.join(name)).expect("there");
        assert_eq!(about.permissions().mode() & 0o777, mode, "{name}");
    }
    assert_eq!(
        fs::read_to_string(place.join("out/mine/shut/a")).expect("there"),
        "x"
    );
    assert_eq!(names(place), ["job", "out"], "no litter");
    fs::set_permissions(
        place.join("out/mine/shut"),
        fs::Permissions::from_mode(0o700),
    )
    .expect("rights");
}

#[test]
fn a_link_that_leads_nowhere_is_told() {
    let place = job(&["h07"]);
    let place = place.path();
    std::os::unix::fs::symlink("nowhere/else", place.join("out")).expect("a link");
    let output = pack(place).stdout(Stdio::piped()).output().expect("it ran");
    let said = String::from_utf8_lossy(&output.stdout);
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("out is a link that leads nowhere"), "{said}");
    assert_eq!(names(place), ["job", "out"]);
}
