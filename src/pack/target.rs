//! The output folder. A pack is made beside it and takes its place as a whole, with what others put there; of an
//! earlier pack nothing stays but what a person changed.

use super::sink::{Placed, Sink};
use crate::ground::seam::{Disk, Files as _};
use crate::ground::shelf::Shelf;
use crate::ground::source::{Sum, sha256};
use crate::ground::stage::{
    Stage, Stamp, Standing, everything, is_link, is_stood_in, pieces, stamp, sum_of,
};
use crate::job::{here, shown};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::File;
use std::io::{self, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// List of all files of a pack but itself, readable by the usual tools that check SHA-256 sums.
pub const LIST: &str = "files.sha256";
/// The printed pack.
pub const PRINTED: &str = "pack.pdf";

const HEAD: &str = "# written by kneemark: SHA-256 of each file of the pack";

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
    /// Files of an earlier pack that are no part of this one, and went with it.
    pub gone: Vec<String>,
    /// Files of an earlier pack that are no part of this one and stay, because somebody changed them.
    pub left: Vec<String>,
    /// What somebody put there while this one took its place.
    pub came: Vec<String>,
}

/// A folder that a pack is to stand in.
#[derive(Debug)]
pub struct Target {
    /// As the person who runs the command calls it.
    out: PathBuf,
    /// The same without links.
    place: PathBuf,
    old: Old,
    stage: Stage,
    shelf: Option<Shelf>,
    state: Mutex<State>,
}

#[derive(Debug, Default)]
struct State {
    /// SHA-256 by name.
    sums: BTreeMap<String, String>,
    bytes: usize,
    folders: BTreeSet<PathBuf>,
    /// Parts of a file that is too long to be held, and whose beginning is known last.
    kept: Option<File>,
}

/// A file of the pack that is written in pieces.
#[derive(Debug)]
pub struct Long {
    name: String,
    file: File,
    sum: Sum,
    bytes: usize,
}

impl Long {
    /// Writes the next piece.
    ///
    /// # Errors
    /// When there is no room for it.
    pub fn add(&mut self, piece: &[u8]) -> io::Result<()> {
        self.sum.add(piece);
        self.bytes += piece.len();
        self.file.write_all(piece)
    }
}

impl Target {
    /// Looks whether a pack with files of these names may stand in a folder, before anything is made.
    ///
    /// # Errors
    /// When the folder holds the records or lies among them, when a file there is in the way, or when it
    /// cannot be replaced.
    pub fn open<'r>(
        out: &Path,
        names: &[String],
        records: impl Iterator<Item = &'r Path>,
        shelves: Option<&Path>,
    ) -> Result<Self, Refused> {
        let place = Disk.resolve(here(out));
        among_records(out, &place, records)?;
        if Disk.exists(&place) && !Disk.is_folder(&place) {
            let message = format!("{} is a file", shown(out));
            return Err(refused(message, "name a folder for the pack"));
        }
        if !Disk.exists(&place) && is_link(out) {
            let message = format!("{} is a link that leads nowhere", shown(out));
            return Err(refused(
                message,
                "make the folder it names, or take the link away",
            ));
        }
        if is_stood_in(&place) {
            let message = format!("{} is the folder that you stand in", shown(out));
            let help = "a pack replaces its folder as a whole; name another one, such as -o out";
            return Err(refused(message, help));
        }
        let cannot = |error: &io::Error| failed(out, error);
        let stage = Stage::for_folder(&place).map_err(|error| cannot(&error))?;
        let held = stage.alone().map_err(|error| cannot(&error))?;
        let old = Old::of(&place).map_err(|error| cannot(&error))?;
        drop(held);
        let names = names.iter().map(String::as_str).chain([LIST]);
        old.strange(&place, out, &names.collect())?;
        let shelf = shelves.and_then(|shelves| Shelf::open(shelves, &place.to_string_lossy()));
        Ok(Self {
            out: out.to_owned(),
            place,
            old,
            stage,
            shelf,
            state: Mutex::default(),
        })
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Where a file of the pack lies until the pack stands.
    pub fn path(&self, name: &str) -> PathBuf {
        self.stage.path().join(name)
    }

    /// Why the pack could not be made.
    pub fn failed(&self, error: &io::Error) -> Refused {
        failed(&self.out, error)
    }

    /// Makes the folder of a file.
    fn folder(&self, name: &Path) -> io::Result<()> {
        let Some(folder) = name.parent() else {
            return Ok(());
        };
        let mut state = self.state();
        if state.folders.insert(folder.to_owned()) {
            self.stage.folder(folder)?;
        }
        Ok(())
    }

    fn note(&self, name: &str, sum: String, bytes: usize) {
        let mut state = self.state();
        state.sums.insert(name.to_owned(), sum);
        state.bytes += bytes;
    }

    /// Begins a file that is written in pieces.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn begin(&self, name: &str) -> io::Result<Long> {
        self.folder(Path::new(name))?;
        Ok(Long {
            name: name.to_owned(),
            file: self.stage.create(Path::new(name))?,
            sum: Sum::default(),
            bytes: 0,
        })
    }

    /// Ends it; the pack has it now.
    ///
    /// # Errors
    /// When it could not be written after all.
    pub fn end(&self, long: Long) -> io::Result<()> {
        self.stage.close(&long.file)?;
        self.note(&long.name, long.sum.text(), long.bytes);
        Ok(())
    }

    /// Takes a file back that was begun and not ended.
    ///
    /// # Errors
    /// When that is not possible.
    pub fn discard(&self, long: Long) -> io::Result<()> {
        drop(long.file);
        self.stage.remove(Path::new(&long.name))
    }

    /// Puts the pack in its place.
    ///
    /// # Errors
    /// When somebody has put a file in its way meanwhile, or the folder cannot be replaced; then it stands as it was.
    pub fn finish(mut self) -> Result<Written, Refused> {
        let held = self
            .stage
            .alone()
            .map_err(|error| failed(&self.out, &error))?;
        // Another run may have put a pack there meanwhile.
        if self.old.is_gone(&self.place) {
            self.old = Old::of(&self.place).map_err(|error| failed(&self.out, &error))?;
        }
        let state = std::mem::take(&mut *self.state());
        let list = list(&state.sums);
        let new: BTreeSet<&str> = state
            .sums
            .keys()
            .map(String::as_str)
            .chain([LIST])
            .collect();
        // It may have been written to while the pack was made.
        let strange = self.old.strange(&self.place, &self.out, &new)?;
        let cannot = |error: io::Error| failed(&self.out, &error);
        self.stage
            .put(Path::new(LIST), list.as_bytes())
            .map_err(cannot)?;
        for (name, standing) in &strange {
            let made = self.folder(name);
            let taken = made.and_then(|()| self.stage.take_over(name, standing));
            taken.map_err(|error| {
                let message = format!(
                    "{} cannot be taken over: {error}; nothing was written",
                    shown(&self.out.join(name))
                );
                refused(message, "move it out of the pack's folder")
            })?;
        }
        let stays: BTreeMap<PathBuf, Standing> = strange.into_iter().collect();
        let ours = &self.old.ours;
        let is_known = |name: &Path, standing: &Standing| match standing {
            Standing::File(stamp) => {
                ours.get(name) == Some(stamp) || stays.get(name) == Some(standing)
            }
            _ => stays.contains_key(name),
        };
        let out = self.out;
        let moved = self.stage.replace(is_known);
        let moved = moved.map_err(|error| failed(&out, &error))?;
        drop(held);
        self.shelf.into_iter().for_each(Shelf::close);
        let stays: BTreeSet<String> = stays.keys().map(|name| listed(name)).collect();
        let of_old = self.old.sums.into_keys();
        let (left, gone): (Vec<String>, Vec<String>) = of_old
            .filter(|name| !state.sums.contains_key(name))
            .filter(|name| stays.contains(name) || self.old.ours.contains_key(Path::new(name)))
            .partition(|name| stays.contains(name));
        Ok(Written {
            count: state.sums.len() + 1,
            bytes: state.bytes + list.len(),
            gone,
            left,
            came: moved.iter().map(|name| listed(name)).collect(),
        })
    }
}

impl Sink for Target {
    fn put(&self, name: &str, bytes: &[u8]) -> io::Result<String> {
        let (path, sum) = (Path::new(name), sha256(bytes));
        self.folder(path)?;
        // What is the same as before stays the same file, for those who look at when it was written.
        let old = self.old.ours.get(path);
        let old = old.filter(|_| self.old.sums.get(name) == Some(&sum));
        if !old.is_some_and(|stamp| self.stage.take_same(path, *stamp)) {
            let put = self.stage.put(path, bytes);
            put.map_err(|error| named(&self.out.join(name), &error))?;
        }
        self.note(name, sum.clone(), bytes.len());
        Ok(sum)
    }

    fn again(&self, pages: &[Placed]) -> bool {
        let stamp = |page: &Placed| {
            let (name, sum) = page;
            let stamp = self.old.ours.get(Path::new(name));
            stamp
                .filter(|_| self.old.sums.get(name) == Some(sum))
                .copied()
        };
        let Some(stamps) = pages.iter().map(stamp).collect::<Option<Vec<Stamp>>>() else {
            return false;
        };
        for (at, ((name, _), stamp)) in pages.iter().zip(&stamps).enumerate() {
            let path = Path::new(name);
            if self.folder(path).is_err() || !self.stage.take_same(path, *stamp) {
                // They are made anew, and have no place beside themselves.
                for (name, _) in pages.iter().take(at) {
                    let _ = self.stage.remove(Path::new(name));
                }
                return false;
            }
        }
        for ((name, sum), stamp) in pages.iter().zip(stamps) {
            self.note(name, sum.clone(), stamp.length());
        }
        true
    }

    fn shelf(&self) -> Option<&Shelf> {
        self.shelf.as_ref()
    }

    fn keep(&self, part: &str) -> io::Result<()> {
        let mut state = self.state();
        let mut file = match state.kept.take() {
            Some(file) => file,
            None => self.stage.aside()?,
        };
        file.write_all(part.as_bytes())?;
        state.kept = Some(file);
        Ok(())
    }

    fn put_kept(&self, name: &str, before: &str, behind: &str) -> io::Result<()> {
        let kept = self.state().kept.take();
        let mut long = self.begin(name)?;
        long.add(before.as_bytes())?;
        if let Some(mut kept) = kept {
            kept.seek(SeekFrom::Start(0))?;
            pieces(&mut kept, |piece| long.add(piece))?;
        }
        long.add(behind.as_bytes())?;
        self.end(long)
    }
}

fn named(path: &Path, error: &io::Error) -> io::Error {
    io::Error::new(error.kind(), format!("{}: {error}", shown(path)))
}

fn failed(path: &Path, error: &io::Error) -> Refused {
    let message = format!(
        "{} cannot be written: {error}; nothing was written",
        shown(path)
    );
    let help = "a pack replaces its folder as a whole: check the free space, and name a folder that is no mount point, in one that may be written to";
    refused(message, help)
}

/// Out of the records' way, however the two paths are written.
fn among_records<'r>(
    out: &Path,
    place: &Path,
    records: impl Iterator<Item = &'r Path>,
) -> Result<(), Refused> {
    // Links are not followed to records, so that their folders say where they lie.
    let folders: BTreeSet<&Path> = records.filter_map(Path::parent).collect();
    for folder in folders {
        if Disk.resolve(here(folder)).starts_with(place) {
            let message = format!("{} holds records of the pack", shown(out));
            let help = "name a folder of its own, such as -o out";
            return Err(refused(message, help));
        }
    }
    Ok(())
}

fn refused(message: String, help: &str) -> Refused {
    Refused {
        message,
        help: help.to_owned(),
    }
}

/// An earlier pack.
#[derive(Debug, Default)]
struct Old {
    /// What its list says, by name.
    sums: BTreeMap<String, String>,
    /// The files that are still what it says, and how they stood when that was found.
    ours: BTreeMap<PathBuf, Stamp>,
}

impl Old {
    /// Holds the files of a folder against their list.
    fn of(place: &Path) -> io::Result<Self> {
        let mut standing = everything(place)?;
        let sums = Disk
            .read(&place.join(LIST))
            .ok()
            .and_then(|text| sums(&text));
        let Some(sums) = sums else {
            return Ok(Self::default());
        };
        standing.retain(|(name, _)| sums.contains_key(&listed(name)) || name == Path::new(LIST));
        let same = |(name, standing): (PathBuf, Standing)| {
            let Standing::File(stamp) = standing else {
                return None;
            };
            let is_same = match sums.get(&listed(&name)) {
                Some(sum) => sum_of(&place.join(&name)).is_ok_and(|own| own == *sum),
                None => true,
            };
            is_same.then_some((name, stamp))
        };
        let ours = standing.into_par_iter().filter_map(same).collect();
        Ok(Self { sums, ours })
    }

    /// Whether there is another list now.
    fn is_gone(&self, place: &Path) -> bool {
        stamp(&place.join(LIST)) != self.ours.get(Path::new(LIST)).copied()
    }

    /// What stands in the folder and is not ours, whole folders of it too.
    ///
    /// # Errors
    /// When a file of the pack would go where it stands.
    fn strange(
        &self,
        place: &Path,
        out: &Path,
        new: &BTreeSet<&str>,
    ) -> Result<Vec<(PathBuf, Standing)>, Refused> {
        let mut all = everything(place).map_err(|error| failed(out, &error))?;
        // A folder that was made for files of ours comes anew where they do.
        let made: BTreeSet<&Path> = self.ours.keys().flat_map(|name| name.ancestors()).collect();
        all.retain(|(name, standing)| match standing {
            Standing::File(stamp) => self.ours.get(name) != Some(stamp),
            Standing::Folder => !made.contains(name.as_path()),
            Standing::Other => true,
        });
        let folders: BTreeSet<&Path> = new
            .iter()
            .filter_map(|name| Path::new(name).parent())
            .collect();
        for (name, standing) in &all {
            let path = shown(&out.join(name));
            if *standing == Standing::Folder {
                if new.contains(listed(name).as_str()) {
                    let message = format!("{path} is a folder where a file of the pack belongs");
                    return Err(refused(message, "name another folder for the pack"));
                }
            } else if new.contains(listed(name).as_str()) || folders.contains(name.as_path()) {
                let why = match self.sums.contains_key(&listed(name)) {
                    true => "was changed since kneemark wrote it".to_owned(),
                    // Without a list nothing is known of any file.
                    false if self.sums.is_empty() => {
                        format!("was not written by kneemark, or {LIST}, which says so, is gone,")
                    }
                    false => "was not written by kneemark".to_owned(),
                };
                let message = format!("{path} {why} and would be overwritten");
                let help = "move it away, or name another folder with -o";
                return Err(refused(message, help));
            }
        }
        Ok(all)
    }
}

/// A path below the folder as the list has it, with forward slashes.
fn listed(path: &Path) -> String {
    let parts = path.iter().map(|part| part.to_string_lossy());
    parts.collect::<Vec<_>>().join("/")
}

/// The list of an earlier pack, by the names in it; `None` of a file that is none.
fn sums(text: &[u8]) -> Option<BTreeMap<String, String>> {
    let text = std::str::from_utf8(text).ok()?;
    let mut lines = text.lines();
    let is_ours = lines.next() == Some(HEAD);
    is_ours.then(|| {
        let lines = lines.filter_map(|line| line.split_once("  "));
        lines
            .map(|(sum, name)| (name.to_owned(), sum.to_owned()))
            .collect()
    })
}

fn list(sums: &BTreeMap<String, String>) -> String {
    let lines = sums.iter().map(|(name, sum)| format!("{sum}  {name}\n"));
    std::iter::once(format!("{HEAD}\n")).chain(lines).collect()
}
