//! The output folder: what may be written where. All of it is decided before the first byte goes out;
//! a folder is never emptied.

use crate::document::is_ours;
use crate::ground::seam::Files;
use crate::ground::source::sha256;
use crate::job::{here, shown};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// List of what a build wrote, readable by the usual tools that check SHA-256 sums.
pub const LIST: &str = "files.sha256";
/// The printed pack.
pub const PRINTED: &str = "pack.pdf";

const HEAD: &str = "# written by kneemark: SHA-256 of each file of the pack";
const PRINTED_NOTE: &str = "# printed from pack.html: pack.pdf";

/// Why nothing is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    pub message: String,
    pub help: String,
}

/// What was written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Written {
    pub count: usize,
    pub bytes: usize,
    /// Files of an earlier build that are no part of this one; they are left where they are.
    pub left: Vec<String>,
}

/// Writes a pack's files below a folder.
///
/// # Errors
/// When the folder holds the records or lies among them, when a file there is not one of ours, or when
/// it cannot be written. Nothing is written in the first cases; the message says how far it came in
/// the last.
pub fn write(
    files: &dyn Files,
    out: &Path,
    made: &BTreeMap<String, Vec<u8>>,
    records: &[&Path],
    print: bool,
) -> Result<Written, Refused> {
    among_records(files, out, records)?;
    if files.exists(out) && !files.is_folder(out) && files.read(out).is_ok() {
        return Err(refused(
            format!("{} is a file", shown(out)),
            "name a folder for the pack",
        ));
    }
    for name in made.keys() {
        writable(files, out, name)?;
    }
    let old = match old_list(files, out) {
        None if files.exists(&out.join(LIST)) => return Err(not_ours(&out.join(LIST))),
        old => old.unwrap_or_default(),
    };
    if print && files.exists(&out.join(PRINTED)) && !old.printed {
        return Err(not_ours(&out.join(PRINTED)));
    }
    put(files, out, made, list(made, print || old.printed), old)
}

/// Out of the records' way, however the two paths are written.
fn among_records(files: &dyn Files, out: &Path, records: &[&Path]) -> Result<(), Refused> {
    let real = files.resolve(here(out));
    for record in records {
        let record = files.resolve(record);
        let folder = record.parent();
        if record.starts_with(&real) || folder.is_some_and(|folder| real.starts_with(folder)) {
            let message = format!("{} is among the records of the pack", shown(out));
            let help = "name a folder beside the records, such as -o out";
            return Err(refused(message, help));
        }
    }
    Ok(())
}

fn writable(files: &dyn Files, out: &Path, name: &str) -> Result<(), Refused> {
    let path = out.join(name);
    // A link in the output folder must not carry a page to some other place.
    if !files.resolve(&path).starts_with(files.resolve(here(out))) {
        let (link, out) = (shown(&path), shown(out));
        let message = format!("{link} is a link that leads out of {out}");
        let help = "take the link away, or name another folder";
        return Err(refused(message, help));
    }
    if files.is_folder(&path) {
        let message = format!(
            "{} is a folder where a file of the pack belongs",
            shown(&path)
        );
        return Err(refused(message, "name another folder for the pack"));
    }
    match files.exists(&path) && !files.read(&path).is_ok_and(|old| is_ours(&old)) {
        true => Err(not_ours(&path)),
        false => Ok(()),
    }
}

fn not_ours(path: &Path) -> Refused {
    let path = shown(path);
    let message = format!("{path} was not written by kneemark and would be overwritten");
    refused(message, "move it away, or name another folder with -o")
}

fn refused(message: String, help: &str) -> Refused {
    Refused {
        message,
        help: help.to_owned(),
    }
}

#[derive(Debug, Default)]
struct Old {
    names: Vec<String>,
    printed: bool,
}

fn old_list(files: &dyn Files, out: &Path) -> Option<Old> {
    let text = String::from_utf8(files.read(&out.join(LIST)).ok()?).ok()?;
    let mut lines = text.lines();
    (lines.next() == Some(HEAD)).then(|| {
        let names = text.lines().filter(|line| !line.starts_with('#'));
        let names = names.filter_map(|line| line.split_once("  "));
        Old {
            names: names.map(|(_, name)| name.to_owned()).collect(),
            printed: text.lines().any(|line| line == PRINTED_NOTE),
        }
    })
}

fn list(made: &BTreeMap<String, Vec<u8>>, print: bool) -> String {
    let mut text = format!("{HEAD}\n");
    if print {
        text.push_str(&format!("{PRINTED_NOTE}\n"));
    }
    for (name, bytes) in made {
        text.push_str(&format!("{}  {name}\n", sha256(bytes)));
    }
    text
}

/// The list goes first: where it cannot be written, nothing else can, and nothing is half there.
fn put(
    files: &dyn Files,
    out: &Path,
    made: &BTreeMap<String, Vec<u8>>,
    list: String,
    old: Old,
) -> Result<Written, Refused> {
    let failed = |name: &str, done: usize, error: &std::io::Error| {
        let so_far = match done {
            0 => "nothing was written".to_owned(),
            _ => format!("{done} files were written before"),
        };
        let path = shown(&out.join(name));
        let message = format!("{path} cannot be written: {error}; {so_far}");
        refused(message, "check the folder's permissions and free space")
    };
    files
        .write(&out.join(LIST), list.as_bytes())
        .map_err(|error| failed(LIST, 0, &error))?;
    let mut written = Written {
        count: 1,
        bytes: list.len(),
        left: Vec::new(),
    };
    for (name, bytes) in made {
        files
            .write(&out.join(name), bytes)
            .map_err(|error| failed(name, written.count, &error))?;
        written.count += 1;
        written.bytes += bytes.len();
    }
    written.left = old
        .names
        .into_iter()
        .filter(|name| !made.contains_key(name) && is_plain(name) && files.exists(&out.join(name)))
        .collect();
    Ok(written)
}

/// The old list is a file anybody may have changed: only names that stay inside are looked at.
fn is_plain(name: &str) -> bool {
    PathBuf::from(name)
        .components()
        .all(|part| matches!(part, std::path::Component::Normal(_)))
}
