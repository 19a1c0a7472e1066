//! What git holds of a revision.

use crate::ground::seam::Memory;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The folder that a revision stands in.
pub const ROOT: &str = "revision";

/// The top folder of the repository that one stands in.
pub fn top() -> Result<PathBuf, String> {
    let text = told(&["rev-parse", "--show-toplevel"])?;
    let text =
        String::from_utf8(text).map_err(|_| "the repository's path is not UTF-8".to_owned())?;
    Ok(PathBuf::from(text.trim_end_matches(['\r', '\n'])))
}

/// Records and settings of a revision, as they stood.
pub fn files(revision: &str) -> Result<Memory, String> {
    if revision.starts_with('-') {
        return Err(format!("`{revision}` is no revision"));
    }
    let names = told(&[
        "ls-tree",
        "-r",
        "-z",
        "--full-tree",
        "--name-only",
        revision,
    ])?;
    let names = String::from_utf8_lossy(&names).into_owned();
    let is_ours = |name: &&str| {
        [".ctr", ".toml"]
            .iter()
            .any(|ending| name.ends_with(ending))
    };
    let names: Vec<&str> = names
        .split('\0')
        .filter(is_ours)
        .filter(|name| !name.contains('\n'))
        .collect();
    let memory = Memory::default();
    let root = Path::new(ROOT);
    // The settings of a job are looked for up to its repository.
    memory.put(root.join(".git/HEAD"), "");
    let asked: String = names
        .iter()
        .map(|name| format!("{revision}:{name}\n"))
        .collect();
    let held = asked_of(&["cat-file", "--batch"], asked)?;
    let mut rest = held.as_slice();
    for name in names {
        let (bytes, behind) =
            one(rest).ok_or_else(|| format!("git gives no {name} of {revision}"))?;
        memory.put(root.join(name), bytes);
        rest = behind;
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
