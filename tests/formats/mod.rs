//! What `kneemark check` writes for programs: that each format is what it says it is, that all of them tell the
//! same, and that none changes what a run comes to.

mod command;
mod describe;
mod github;
mod json;
mod junit;
mod sarif;
mod stdin;

use kneemark::compile;
use kneemark::ground::seam::Memory;
use kneemark::job::Job;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// The demo job.
fn demo() -> &'static Job {
    static JOB: OnceLock<Job> = OnceLock::new();
    JOB.get_or_init(|| {
        let files = Memory::default();
        for (name, text) in crate::demo::files() {
            files.put(Path::new("records").join(name), text);
        }
        compile(&files, &[PathBuf::from("records")])
    })
}

/// All smallest files: one for each diagnostic, one for each rule.
fn smallest() -> &'static Job {
    static JOB: OnceLock<Job> = OnceLock::new();
    JOB.get_or_init(|| {
        let files = Memory::default();
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        for folder in ["tests/corpus", "tests/rules"] {
            put(&files, root, &root.join(folder));
        }
        compile(&files, &[PathBuf::from("tests")])
    })
}

fn put(files: &Memory, root: &Path, folder: &Path) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        let is_read = |ending| ending == "ctr" || ending == "toml";
        if path.is_dir() {
            put(files, root, &path);
        } else if path.extension().is_some_and(is_read) {
            let name = path.strip_prefix(root).expect("below the root");
            files.put(name, std::fs::read(&path).expect("a file"));
        }
    }
}

/// Names and texts that would break out of a line, an element or an address.
fn hostile() -> Job {
    let files = Memory::default();
    let evil = "\u{1b}[31m\u{85}\u{2028}\u{202e}\u{feff}\u{fffe}]]>--></x>\"'&::error ::,%0A";
    let kept: String = evil.chars().filter(|c| !c.is_control()).collect();
    let demo = crate::demo::files();
    let record = demo["skerrow/h08/h08-l1.ctr"].replacen("id: ", &format!("id: {kept}"), 1);
    files.put(format!("job/a{evil}\n.ctr"), record);
    files.put(
        "job/b.ctr",
        format!("format: 1\n[ct]\nid: B\nkey{kept}: {kept}\nnonsense {kept}\n"),
    );
    files.put("job/c.ctr", format!("format: 1\nnonsense {evil}\n"));
    files.put("job/pack.toml", "records = [\"*.ctr\"]\n");
    files.put("job/criteria.toml", format!("\"{kept}\" = 1\n"));
    compile(&files, &[PathBuf::from("job")])
}
