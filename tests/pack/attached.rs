//! The files of a visit in reports and packs: shown where they are what they were, never from outside the job.
#![allow(
    clippy::disallowed_methods,
    reason = "these tests call the program on real files"
)]

use super::command::{job, program};
use kneemark::ground::source::sha256;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// The smallest picture there is: one dark point.
const DOT: &[u8] = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x01\0\0\0\x01\x08\0\0\0\0:~\x9bU\0\0\0\nIDATx\x9cc`\0\0\0\x02\0\x01H\xaf\xa4q\0\0\0\0IEND\xaeB`\x82";
const RECORD: &str = "job/skerrow/h07/h07-l1.ctr";
const PAGE: &str = "out/ct/brw-25-41301.html";

/// A bay of the demo job whose first CT has attachments.
struct Job(TempDir);

impl Job {
    fn new(rows: &[(&str, &str, &str)]) -> Self {
        let own = Self(job(&["h07"]));
        own.write("job/skerrow/h07/box.png", DOT);
        own.rows(rows);
        own
    }

    fn at(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn write(&self, name: &str, bytes: &[u8]) {
        fs::write(self.at(name), bytes).expect("room");
    }

    fn rows(&self, rows: &[(&str, &str, &str)]) {
        let text = fs::read_to_string(self.at(RECORD)).expect("a record");
        let before = text
            .split("\n[attachments]")
            .next()
            .unwrap_or("")
            .trim_end();
        let rows = rows
            .iter()
            .map(|(file, shows, sum)| format!("{file} | {shows} | {sum}\n"));
        let rows: String = rows.collect();
        let heading = match rows.is_empty() {
            true => "",
            false => "[attachments]\nfile | shows | SHA-256\n",
        };
        let text = format!("{before}\n\n{heading}{rows}");
        self.write(RECORD, text.as_bytes());
    }

    fn run(&self, arguments: &[&str]) -> (Option<i32>, String) {
        let output = program()
            .current_dir(self.0.path())
            .args(arguments)
            .output();
        let output = output.expect("it ran");
        let said = [output.stdout, output.stderr].concat();
        (
            output.status.code(),
            String::from_utf8_lossy(&said).into_owned(),
        )
    }

    fn pack(&self) -> (Option<i32>, String) {
        self.run(&["pack", "job/pack.toml", "-o", "out", "--whole"])
    }

    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.at(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }
}

fn copies(folder: &Path) -> Vec<String> {
    let Ok(names) = fs::read_dir(folder.join("attached")) else {
        return Vec::new();
    };
    let names = names.map(|entry| {
        entry
            .expect("an entry")
            .file_name()
            .to_string_lossy()
            .into_owned()
    });
    let mut names: Vec<String> = names.collect();
    names.sort();
    names
}

#[test]
fn a_picture_is_shown_beside_the_pages_and_its_sum_is_on_the_list() {
    let sum = sha256(DOT);
    let job = Job::new(&[("box.png", "terminal box <as> \"found\"", &sum)]);
    let (code, said) = job.pack();
    assert_eq!(code, Some(0), "{said}");
    let name = format!("attached/box-{sum}.png");
    assert_eq!(
        fs::read(job.at(&format!("out/{name}"))).expect("a copy"),
        DOT
    );
    assert!(
        job.read("out/files.sha256")
            .contains(&format!("{sum}  {name}\n"))
    );
    let (page, whole) = (job.read(PAGE), job.read("out/pack.html"));
    let alt = "alt=\"terminal box &lt;as&gt; &quot;found&quot;\"";
    assert!(page.contains(&format!("<img class=\"attached\" src=\"../{name}\" {alt}>")));
    assert!(page.contains(&format!("<a href=\"../{name}\">box.png</a>")));
    assert!(whole.contains(&format!("<img class=\"attached\" src=\"{name}\" {alt}>")));
    assert!(whole.contains(&format!("<a href=\"{name}\">box.png</a>")));
    assert!(!whole.contains("../attached"));
    let text = job.read("out/ct/brw-25-41301.md");
    assert!(text.contains(&format!("[box.png](../{name})")), "{text}");

    let (code, said) = job.run(&["report", RECORD, "-o", "one"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(
        job.read("one/brw-25-41301.html")
            .contains(&format!("src=\"{name}\""))
    );
    assert_eq!(copies(&job.at("one")), copies(&job.at("out")));
    // The same again is no stranger; another file under the name is.
    assert_eq!(job.run(&["report", RECORD, "-o", "one"]).0, Some(0));
    job.write(&format!("one/{name}"), b"mine");
    let (code, said) = job.run(&["report", RECORD, "-o", "one"]);
    assert!(
        code == Some(2) && said.contains("is not the file of the visit"),
        "{said}"
    );
}

#[test]
fn a_changed_picture_is_told_not_shown_and_found_by_verify() {
    let sum = sha256(DOT);
    let job = Job::new(&[("box.png", "terminal box", "-")]);
    assert_eq!(job.pack().0, Some(0));
    assert_eq!(job.run(&["report", RECORD, "-o", "one"]).0, Some(0));
    let reports = [
        PAGE,
        "out/pack.html",
        "one/brw-25-41301.html",
        "one/brw-25-41301.md",
    ];
    for report in reports {
        let (code, said) = job.run(&["verify", report, RECORD]);
        assert_eq!(code, Some(0), "{report}: {said}");
    }
    // The copies beside them are held against the sums in their names.
    let name = format!("attached/box-{sum}.png");
    for folder in ["out", "one"] {
        job.write(&format!("{folder}/{name}"), b"exchanged");
    }
    for report in reports {
        let (code, said) = job.run(&["verify", report, RECORD]);
        let told = format!(
            "{name} differs: its name has {sum}, the file {}",
            sha256(b"exchanged")
        );
        assert!(code == Some(1) && said.contains(&told), "{report}: {said}");
    }
    for folder in ["out", "one"] {
        job.write(&format!("{folder}/{name}"), DOT);
    }
    let before = job.read(PAGE);
    job.write("job/skerrow/h07/box.png", b"another");
    let other = sha256(b"another");
    for report in reports {
        let (code, said) = job.run(&["verify", report, RECORD]);
        let told =
            format!("box.png differs: the report was made with {sum}, the folder has {other}");
        assert!(code == Some(1) && said.contains(&told), "{report}: {said}");
    }
    // Built again over the old one it shows the new picture, and the old one is gone.
    assert_eq!(job.pack().0, Some(0));
    let page = job.read(PAGE);
    assert!(before.contains(&sum) && page.contains(&other) && !page.contains(&sum));
    assert_eq!(copies(&job.at("out")), [format!("box-{other}.png")]);
    // And with the sum written it is told, and not shown at all.
    job.rows(&[("box.png", "terminal box", &sum)]);
    let (code, said) = job.run(&["check", RECORD]);
    assert!(
        code == Some(2) && said.contains("attachment-changed"),
        "{said}"
    );
    assert!(said.contains(&sum) && said.contains(&other), "{said}");
    job.pack();
    assert!(job.read(PAGE).contains("changed, not shown here"));
    assert!(!job.read(PAGE).contains("<img class=\"attached\""));
    assert_eq!(copies(&job.at("out")), [""; 0]);
}

#[test]
fn nothing_from_outside_the_job_is_shown() {
    let job = Job::new(&[]);
    job.write("secret.png", b"secret");
    let place = job.at("secret.png").to_string_lossy().into_owned();
    let names = [
        "../../../secret.png",
        place.as_str(),
        "../h07/box.png",
        "a\\..\\..\\b.png",
        ".git/config",
    ];
    for name in names {
        job.rows(&[(name, "x", "-")]);
        let (code, said) = job.run(&["check", RECORD]);
        assert!(
            code == Some(2) && said.contains("attachment-outside"),
            "{name}: {said}"
        );
        job.pack();
        assert_eq!(copies(&job.at("out")), [""; 0], "{name}");
    }
}

#[cfg(unix)]
#[test]
fn no_link_leads_out_and_no_pipe_is_waited_for() {
    use std::os::unix::fs::symlink;
    let job = Job::new(&[
        ("link.png", "x", "-"),
        ("folder/secret.png", "x", "-"),
        ("hidden.png", "x", "-"),
    ]);
    job.write("secret.png", b"secret");
    fs::create_dir(job.at("job/.own")).expect("room");
    job.write("job/.own/key", b"secret");
    symlink("../../.own/key", job.at("job/skerrow/h07/hidden.png")).expect("a link");
    symlink(job.at("secret.png"), job.at("job/skerrow/h07/link.png")).expect("a link");
    symlink(job.0.path(), job.at("job/skerrow/h07/folder")).expect("a link");
    let (code, said) = job.run(&["check", RECORD]);
    let told = said.matches("error[attachment-outside]").count();
    assert!(code == Some(2) && told == 3, "{said}");
    job.pack();
    assert_eq!(copies(&job.at("out")), [""; 0]);

    // A link within the job is what it leads to.
    fs::remove_file(job.at("job/skerrow/h07/link.png")).expect("there");
    symlink(
        job.at("job/skerrow/h07/box.png"),
        job.at("job/skerrow/h07/link.png"),
    )
    .expect("a link");
    let made = std::process::Command::new("mkfifo")
        .arg(job.at("job/skerrow/h07/pipe.png"))
        .status();
    assert!(made.expect("mkfifo").success());
    let long = format!("{}.png", "x".repeat(5000));
    job.rows(&[
        ("link.png", "x", "-"),
        ("pipe.png", "x", "-"),
        (".", "x", "-"),
        (&long, "x", "-"),
    ]);
    let (code, said) = job.run(&["check", RECORD]);
    assert_eq!(code, Some(0), "{said}");
    assert_eq!(
        said.matches("warning[attachment-missing]").count(),
        3,
        "{said}"
    );
    job.pack();
    assert_eq!(
        copies(&job.at("out")),
        [format!("link-{}.png", sha256(DOT))]
    );

    // Nor does the folder of the copies lead anywhere else.
    fs::create_dir(job.at("one")).expect("room");
    symlink(job.at("job"), job.at("one/attached")).expect("a link");
    let (code, said) = job.run(&["report", RECORD, "-o", "one"]);
    assert!(
        code == Some(2) && said.contains("one/attached is there already"),
        "{said}"
    );
}

/// A chain of links that is too long by one of the path that the record was named by: seen from the real folder it could be read.
#[cfg(unix)]
#[test]
fn no_chain_of_links_is_read_from_another_path() {
    use std::os::unix::fs::symlink;
    let job = Job::new(&[("l40.txt", "x", "-"), ("nowhere.txt", "x", "-")]);
    job.write("secret.txt", b"secret");
    let bay = |name: &str| job.at("job/skerrow/h07").join(name);
    symlink(job.at("secret.txt"), bay("l1.txt")).expect("a link");
    for next in 2..=40 {
        symlink(format!("l{}.txt", next - 1), bay(&format!("l{next}.txt"))).expect("a link");
    }
    symlink("gone.txt", bay("nowhere.txt")).expect("a link");
    symlink("job", job.at("linked")).expect("a link");
    let record = RECORD.replacen("job/", "linked/", 1);
    let (code, said) = job.run(&["check", &record]);
    assert_eq!(code, Some(0), "{said}");
    let told = said.matches("warning[attachment-missing]").count();
    assert!(told == 2 && !said.contains(&sha256(b"secret")), "{said}");
    assert_eq!(job.run(&["report", &record, "-o", "one"]).0, Some(0));
    assert_eq!(
        job.run(&["pack", "linked/pack.toml", "-o", "out"]).0,
        Some(0)
    );
    assert_eq!(copies(&job.at("one")), [""; 0]);
    assert_eq!(copies(&job.at("out")), [""; 0]);
    // By its real name the chain can be followed, and leads out.
    let (code, said) = job.run(&["check", RECORD]);
    assert!(
        code == Some(2) && said.contains("error[attachment-outside]"),
        "{said}"
    );
}

#[test]
fn a_file_that_a_browser_may_run_is_not_linked() {
    let job = Job::new(&[
        ("a.svg", "drawing", "-"),
        ("a.html", "page", "-"),
        ("<b>.png", "<script>", "-"),
    ]);
    let svg = "<svg xmlns=\"http://www.w3.org/2000/svg\"><script>alert(1)</script></svg>";
    job.write("job/skerrow/h07/a.svg", svg.as_bytes());
    job.write("job/skerrow/h07/a.html", b"<script>alert(1)</script>");
    job.write("job/skerrow/h07/<b>.png", DOT);
    job.pack();
    let page = job.read(PAGE);
    assert!(page.contains(&format!(
        "src=\"../attached/a-{}.svg\"",
        sha256(svg.as_bytes())
    )));
    assert!(!page.contains(".svg\">a.svg</a>") && !page.contains(".html\">a.html</a>"));
    assert!(!page.contains("<script>") && !page.contains("<b>.png"));
    assert_eq!(copies(&job.at("out")).len(), 3);
}

fn json(job: &Job) -> serde_json::Value {
    let (_, said) = job.run(&["check", "--format", "json", RECORD]);
    let list: serde_json::Value = serde_json::from_str(&said).expect("JSON");
    let mut records = list["records"].as_array().expect("records").iter();
    let own = records.find(|one| one["id"] == "BRW-25-41301");
    own.expect("the record").clone()
}

#[test]
fn papers_are_told_and_change_no_verdict() {
    let job = Job::new(&[]);
    let bare = json(&job);
    assert_eq!(bare["attachments"], serde_json::json!([]));
    job.rows(&[("box.png", "terminal box", "-")]);
    let text = job.read(RECORD);
    let day = text
        .rsplit("[visit ")
        .next()
        .and_then(|rest| rest.split(']').next());
    let day = day.expect("a visit").to_owned();
    let signed = format!(
        "{text}\n[sign-off]\nstage | signed by | for | date\nvisit | R. Anvik | contractor | {day}\n"
    );
    job.write(RECORD, signed.as_bytes());
    let told = json(&job);
    for part in ["verdicts", "requirements", "findings", "causes", "readable"] {
        let lines = |one: &serde_json::Value| one[part].clone();
        assert_eq!(lines(&told), lines(&bare), "{part}");
    }
    assert_eq!(told["attachments"][0]["state"], "no sum written");
    assert_eq!(told["attachments"][0]["found"], sha256(DOT));
    assert_eq!(told["sign_offs"][0]["signed_by"], "R. Anvik");
    assert_eq!(told["sign_offs"][0]["stage"], "visit");
    assert_eq!(job.pack().0, Some(0));
    let said = format!(
        "Signed off: the visit by R. Anvik for contractor, {day}. A signature changes no verdict."
    );
    assert!(
        job.read("out/ct/brw-25-41301.md")
            .replace('\\', "")
            .contains(&said)
    );
}

#[test]
fn a_record_from_standard_input_has_the_folder_one_stands_in() {
    let job = Job::new(&[("box.png", "terminal box", &sha256(DOT))]);
    let text = job.read(RECORD);
    for (folder, is_there) in [("job/skerrow/h07", true), ("job", false)] {
        let output = program()
            .current_dir(job.at(folder))
            .args(["check", "-", "--format", "short"])
            .write_stdin(text.as_str())
            .output()
            .expect("it ran");
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        assert_eq!(
            !said.contains("attachment-missing"),
            is_there,
            "{folder}: {said}"
        );
    }
}
