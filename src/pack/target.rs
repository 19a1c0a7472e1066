//! The output folder: what may be written where. All of that is decided before the first byte goes out;
//! a folder is never emptied.

use super::sink::Sink;
use crate::document::is_ours;
use crate::ground::seam::{Files, Kept};
use crate::ground::source::{Sum, sha256};
use crate::job::{here, shown};
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// List of what a build wrote, readable by the usual tools that check SHA-256 sums.
pub const LIST: &str = "files.sha256";
/// The printed pack.
pub const PRINTED: &str = "pack.pdf";

const HEAD: &str = "# written by kneemark: SHA-256 of each file of the pack";
const PRINTED_NOTE: &str = "# printed from pack.html: pack.pdf";
/// The same of a print that is older than the pack.
const LEFT_NOTE: &str = "# printed from an earlier pack.html: pack.pdf";

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

/// A folder that a pack is written to. Everything that forbids it is found before the first file.
pub struct Target<'a> {
    files: &'a dyn Files,
    out: &'a Path,
    print: bool,
    old: Old,
    state: Mutex<State>,
}

#[derive(Default)]
struct State {
    /// SHA-256 by name.
    sums: BTreeMap<String, String>,
    bytes: usize,
    kept: Option<Box<dyn Kept>>,
}

impl<'a> Target<'a> {
    /// Looks whether files of these names may be written below a folder.
    ///
    /// # Errors
    /// When the folder holds the records or lies among them, when a file there is not one of ours, or when
    /// it cannot be written to.
    pub fn open<'r>(
        files: &'a dyn Files,
        out: &'a Path,
        names: &[String],
        records: impl Iterator<Item = &'r Path>,
        print: bool,
    ) -> Result<Self, Refused> {
        among_records(files, out, records)?;
        if files.exists(out) && !files.is_folder(out) && files.read(out).is_ok() {
            return Err(refused(
                format!("{} is a file", shown(out)),
                "name a folder for the pack",
            ));
        }
        let old = match old_list(files, out) {
            None if files.exists(&out.join(LIST)) => return Err(not_ours(&out.join(LIST))),
            old => old.unwrap_or_default(),
        };
        if print && files.exists(&out.join(PRINTED)) && !old.printed {
            return Err(not_ours(&out.join(PRINTED)));
        }
        let real = files.resolve(here(out));
        let folders = names.iter().filter_map(|name| Path::new(name).parent());
        for folder in folders.collect::<BTreeSet<_>>() {
            let folder = out.join(folder);
            if !files.resolve(&folder).starts_with(&real) {
                return Err(leads_out(&folder, out));
            }
        }
        for name in names {
            writable(files, out, &real, &old, name)?;
        }
        // Where the list cannot be written, nothing else can, and nothing is half there.
        let first = old.text.clone().unwrap_or_else(|| format!("{HEAD}\n"));
        files
            .write(&out.join(LIST), first.as_bytes())
            .map_err(|error| failed(&out.join(LIST), 0, &error))?;
        Ok(Self {
            files,
            out,
            print,
            old,
            state: Mutex::default(),
        })
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn note(&self, name: &str, sum: String, bytes: usize) {
        let mut state = self.state();
        state.sums.insert(name.to_owned(), sum);
        state.bytes += bytes;
    }

    /// Why a file could not be written, with how far it came.
    pub fn failed(&self, error: &io::Error) -> Refused {
        failed(self.out, self.state().sums.len(), error)
    }

    /// Writes the list of what was written.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn finish(self) -> Result<Written, Refused> {
        let state = self.state();
        let is_printed = self.old.printed && self.files.exists(&self.out.join(PRINTED));
        let list = list(&state.sums, is_printed.then_some(LEFT_NOTE));
        self.files
            .write(&self.out.join(LIST), list.as_bytes())
            .map_err(|error| failed(&self.out.join(LIST), state.sums.len(), &error))?;
        let is_left = |name: &&String| {
            !state.sums.contains_key(*name)
                && is_plain(name)
                && self.files.exists(&self.out.join(name))
        };
        Ok(Written {
            count: state.sums.len() + 1,
            bytes: state.bytes + list.len(),
            left: self
                .old
                .names
                .iter()
                .filter(is_left)
                .cloned()
                .chain((is_printed && !self.print).then(|| PRINTED.to_owned()))
                .collect(),
        })
    }
}

impl Sink for Target<'_> {
    fn put(&self, name: &str, bytes: &[u8]) -> io::Result<()> {
        let path = self.out.join(name);
        self.files
            .write(&path, bytes)
            .map_err(|error| named(&path, &error))?;
        self.note(name, sha256(bytes), bytes.len());
        Ok(())
    }

    fn keep(&self, part: &str) -> io::Result<()> {
        let mut state = self.state();
        let kept = match state.kept.take() {
            Some(kept) => kept,
            None => self.files.keep(self.out)?,
        };
        state.kept.insert(kept).add(part.as_bytes())
    }

    fn put_kept(&self, name: &str, before: &str, behind: &str) -> io::Result<()> {
        let path = self.out.join(name);
        let kept = self.state().kept.take();
        let kept = match kept {
            Some(kept) => kept,
            None => self.files.keep(self.out)?,
        };
        let (mut sum, mut bytes) = (Sum::default(), 0);
        let mut seen = |part: &[u8]| {
            sum.add(part);
            bytes += part.len();
        };
        kept.put(&path, before.as_bytes(), behind.as_bytes(), &mut seen)
            .map_err(|error| named(&path, &error))?;
        self.note(name, sum.text(), bytes);
        Ok(())
    }
}

fn named(path: &Path, error: &io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{}: {error}", shown(path)))
}

fn failed(path: &Path, done: usize, error: &io::Error) -> Refused {
    let so_far = match done {
        0 => "nothing was written".to_owned(),
        _ => format!("{done} files were written before"),
    };
    let message = format!("{} cannot be written: {error}; {so_far}", shown(path));
    refused(message, "check the folder's permissions and free space")
}

/// Out of the records' way, however the two paths are written.
fn among_records<'r>(
    files: &dyn Files,
    out: &Path,
    records: impl Iterator<Item = &'r Path>,
) -> Result<(), Refused> {
    let real = files.resolve(here(out));
    // Links are not followed to records, so that their folders say where they lie.
    let folders: BTreeSet<&Path> = records.filter_map(Path::parent).collect();
    for folder in folders {
        let folder = files.resolve(here(folder));
        if folder.starts_with(&real) {
            let message = format!("{} holds records of the pack", shown(out));
            let help = "name a folder of its own, such as -o out";
            return Err(refused(message, help));
        }
    }
    Ok(())
}

/// Whether a file of this name may be written.
fn writable(
    files: &dyn Files,
    out: &Path,
    real: &Path,
    old: &Old,
    name: &str,
) -> Result<(), Refused> {
    let path = out.join(name);
    if !files.exists(&path) {
        return Ok(());
    }
    // A link in the output folder must not carry a page to some other place.
    if !files.resolve(&path).starts_with(real) {
        return Err(leads_out(&path, out));
    }
    if files.is_folder(&path) {
        let message = format!(
            "{} is a folder where a file of the pack belongs",
            shown(&path)
        );
        return Err(refused(message, "name another folder for the pack"));
    }
    let ours = old.names.contains(name) || files.read(&path).is_ok_and(|old| is_ours(&old));
    if ours { Ok(()) } else { Err(not_ours(&path)) }
}

fn leads_out(path: &Path, out: &Path) -> Refused {
    let message = format!("{} is a link that leads out of {}", shown(path), shown(out));
    refused(message, "take the link away, or name another folder")
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

/// What the list of an earlier build says.
#[derive(Debug, Default)]
struct Old {
    names: BTreeSet<String>,
    printed: bool,
    text: Option<String>,
}

fn old_list(files: &dyn Files, out: &Path) -> Option<Old> {
    let text = String::from_utf8(files.read(&out.join(LIST)).ok()?).ok()?;
    let mut lines = text.lines();
    (lines.next() == Some(HEAD)).then(|| {
        let names = text.lines().filter(|line| !line.starts_with('#'));
        let names = names.filter_map(|line| line.split_once("  "));
        Old {
            names: names.map(|(_, name)| name.to_owned()).collect(),
            printed: text
                .lines()
                .any(|line| [PRINTED_NOTE, LEFT_NOTE].contains(&line)),
            text: Some(text.clone()),
        }
    })
}

/// Puts the printed pack in its place, and on the list.
///
/// # Errors
/// When one of the two cannot be written.
pub fn put_printed(files: &dyn Files, out: &Path, pdf: Box<dyn Kept>) -> io::Result<()> {
    pdf.put(&out.join(PRINTED), b"", b"", &mut |_| ())?;
    let text = files.read(&out.join(LIST))?;
    let text = String::from_utf8_lossy(&text).into_owned();
    let lines = text
        .lines()
        .filter(|line| ![HEAD, LEFT_NOTE, PRINTED_NOTE].contains(line));
    let mut all = format!("{HEAD}\n{PRINTED_NOTE}\n");
    lines.for_each(|line| all.push_str(&format!("{line}\n")));
    files.write(&out.join(LIST), all.as_bytes())
}

fn list(sums: &BTreeMap<String, String>, note: Option<&str>) -> String {
    let mut text = format!("{HEAD}\n");
    if let Some(note) = note {
        text.push_str(&format!("{note}\n"));
    }
    for (name, sum) in sums {
        text.push_str(&format!("{sum}  {name}\n"));
    }
    text
}

/// The old list is a file anybody may have changed: only names that stay inside are looked at.
fn is_plain(name: &str) -> bool {
    PathBuf::from(name)
        .components()
        .all(|part| matches!(part, std::path::Component::Normal(_)))
}
