//! What git holds of a revision.

use crate::ground::seam::{Disk, Files as _, Memory};
use crate::ground::stage::is_link;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The folder that a revision stands in.
pub const ROOT: &str = "revision";

/// The top folder of the repository that one stands in.
fn top() -> Result<PathBuf, String> {
    let text = told(&["rev-parse", "--show-toplevel"])?;
    let text =
        String::from_utf8(text).map_err(|_| "the repository's path is not UTF-8".to_owned())?;
    Ok(PathBuf::from(text.trim_end_matches(['\r', '\n'])))
}

/// Whether a file is a record or a setting by its name, whatever its letters are.
fn is_ours(name: &str) -> bool {
    let name = name.to_ascii_lowercase();
    [".ctr", ".toml"]
        .iter()
        .any(|ending| name.ends_with(ending))
}

/// Files in memory below the folder of a revision. The settings of a job are looked for up to its repository.
fn held() -> Memory {
    let memory = Memory::default();
    memory.put(Path::new(ROOT).join(".git/HEAD"), "");
    memory
}

/// Records and settings of a revision, as they stood; links are not followed.
pub fn files(revision: &str) -> Result<Memory, String> {
    if revision.starts_with('-') {
        return Err(format!("`{revision}` is no revision"));
    }
    let tree = told(&["ls-tree", "-r", "-z", "--full-tree", revision])?;
    let tree = String::from_utf8_lossy(&tree).into_owned();
    // `100644 blob HASH<tab>NAME`, as git-ls-tree(1) has it.
    let entries = tree.split('\0').filter_map(|entry| {
        let (kind, name) = entry.split_once('\t')?;
        let hash = kind.rsplit(' ').next()?;
        (kind.starts_with("100") && is_ours(name)).then_some((hash, name))
    });
    let entries: Vec<(&str, &str)> = entries.collect();
    let asked: String = entries
        .iter()
        .map(|(hash, _)| format!("{hash}\n"))
        .collect();
    let bytes = asked_of(&["cat-file", "--batch"], asked)?;
    let memory = held();
    let mut rest = bytes.as_slice();
    for (_, name) in entries {
        let (bytes, behind) =
            one(rest).ok_or_else(|| format!("git gives no {name} of {revision}"))?;
        memory.put(Path::new(ROOT).join(name), bytes);
        rest = behind;
    }
    Ok(memory)
}

/// The same of what lies in the folders of the repository now, but for what git is told to ignore.
pub fn lying() -> Result<Memory, String> {
    let top = top()?;
    let folder = top.to_string_lossy().into_owned();
    let names = [
        "-C",
        &folder,
        "ls-files",
        "-z",
        "--cached",
        "--others",
        "--exclude-standard",
    ];
    let names = String::from_utf8_lossy(&told(&names)?).into_owned();
    let memory = held();
    for name in names.split('\0').filter(|name| is_ours(name)) {
        let path = top.join(name);
        // One that was deleted is still in the index.
        if Disk.exists(&path) && !is_link(&path) {
            let bytes = Disk
                .read(&path)
                .map_err(|error| format!("{name}: {error}"))?;
            memory.put(Path::new(ROOT).join(name), bytes);
        }
    }
    Ok(memory)
}

/// The first thing of a batch: a line with its length at the end, its bytes, and a line end; see git-cat-file(1).
fn one(held: &[u8]) -> Option<(&[u8], &[u8])> {
    let end = held.iter().position(|byte| *byte == b'\n')?;
    let (line, rest) = held.split_at_checked(end)?;
    let line = std::str::from_utf8(line).ok()?;
    let length: usize = line.rsplit(' ').next()?.parse().ok()?;
    let (bytes, behind) = rest.get(1..)?.split_at_checked(length)?;
    Some((bytes, behind.get(1..)?))
}

fn told(arguments: &[&str]) -> Result<Vec<u8>, String> {
    asked_of(arguments, String::new())
}

fn asked_of(arguments: &[&str], typed: String) -> Result<Vec<u8>, String> {
    let failed = |error: std::io::Error| format!("git cannot be run: {error}");
    let mut git = Command::new("git")
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(failed)?;
    // Written beside the reading: git answers before it has read all.
    let input = git.stdin.take();
    let writer =
        std::thread::spawn(move || input.map(|mut input| input.write_all(typed.as_bytes())));
    let output = git.wait_with_output().map_err(failed)?;
    let _ = writer.join();
    match output.status.success() {
        true => Ok(output.stdout),
        false => {
            let why = String::from_utf8_lossy(&output.stderr);
            Err(format!(
                "git says: {}",
                why.lines().next().unwrap_or("nothing")
            ))
        }
    }
}
