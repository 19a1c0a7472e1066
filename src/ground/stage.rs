//! Where files are made before they stand: a folder of no use to anybody, beside the place that they go to, on
//! the same disk. What is made goes to its place in one step, or not at all. A run that was killed leaves such a
//! folder behind; the next one of the same place takes it away.
#![allow(
    clippy::disallowed_methods,
    reason = "the other side of the door that the lint points to: what is written"
)]

use super::source::Sum;
use std::fs::{self, File};
use std::io::{self, Read as _, Write as _};
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Held by the run that a stage belongs to, and let go by the system when that ends in whatever way.
const LOCK: &str = "lock";
/// What is to stand.
const NEW: &str = "new";
/// What stood before, for a moment on disks that cannot exchange two folders.
const OLD: &str = "old";
/// Another run may take a stage away before it is locked.
const MOST_TRIES: usize = 20;

/// Files that are being made.
#[derive(Debug)]
pub struct Stage {
    /// Where they are to go: a folder to be replaced, or one that takes them up.
    place: PathBuf,
    /// Whether they replace it.
    is_folder: bool,
    folder: TempDir,
    /// What stood before could not be moved back.
    holds_old: bool,
    _lock: File,
}

impl Stage {
    /// A stage for a folder that is replaced as a whole. Its path has no links in it.
    ///
    /// # Errors
    /// When the folder above cannot be written to.
    pub fn for_folder(place: &Path) -> io::Result<Self> {
        let (Some(above), Some(name)) = (place.parent(), place.file_name()) else {
            return Err(io::Error::other("it has no folder above it"));
        };
        fs::create_dir_all(above)?;
        let prefix = format!(".{}.kneemark-", name.to_string_lossy());
        sweep(above, &prefix, place);
        Self::begun(above, &prefix, place, true)
    }

    /// A stage for files that go among others of a folder, which is made where it is missing.
    ///
    /// # Errors
    /// When that cannot be written to.
    pub fn within(place: &Path) -> io::Result<Self> {
        fs::create_dir_all(place)?;
        let prefix = ".kneemark-";
        sweep(place, prefix, place);
        Self::begun(place, prefix, place, false)
    }

    fn begun(above: &Path, prefix: &str, place: &Path, is_folder: bool) -> io::Result<Self> {
        for _ in 0..MOST_TRIES {
            let folder = tempfile::Builder::new().prefix(prefix).tempdir_in(above)?;
            let path = folder.path().join(LOCK);
            let Ok(lock) = File::create_new(&path) else {
                continue;
            };
            let is_held = match lock.try_lock() {
                Ok(()) => true,
                Err(fs::TryLockError::WouldBlock) => false,
                // A disk that knows no locks: nothing is swept there either.
                Err(fs::TryLockError::Error(_)) => true,
            };
            if is_held && path.exists() {
                fs::create_dir(folder.path().join(NEW))?;
                return Ok(Self {
                    place: place.to_owned(),
                    is_folder,
                    folder,
                    holds_old: false,
                    _lock: lock,
                });
            }
        }
        Err(io::Error::other("another run takes its files away"))
    }

    /// Where the files lie until they go to their place.
    pub fn path(&self) -> PathBuf {
        self.folder.path().join(NEW)
    }

    /// A new file of a path below; its folder has to be there.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn create(&self, name: &Path) -> io::Result<File> {
        File::create_new(self.path().join(name))
    }

    /// A file that can be read back and goes nowhere.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn aside(&self) -> io::Result<File> {
        tempfile::tempfile_in(self.folder.path())
    }

    /// Writes a file.
    ///
    /// # Errors
    /// When there is no room for it.
    pub fn put(&self, name: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut file = self.create(name)?;
        file.write_all(bytes)?;
        self.close(&file)
    }

    /// Ends a file: what it holds is on the disk before it stands.
    ///
    /// # Errors
    /// When it could not be written after all.
    pub fn close(&self, file: &File) -> io::Result<()> {
        // For many files one call for all of their disk is by far faster than one for each; see `replace`. For
        // two it may wait for what others wrote there.
        match self.is_folder && CAN_FLUSH_ALL {
            true => Ok(()),
            false => file.sync_all(),
        }
    }

    /// Takes a file back.
    ///
    /// # Errors
    /// When it is not there.
    pub fn remove(&self, name: &Path) -> io::Result<()> {
        fs::remove_file(self.path().join(name))
    }

    /// Makes a folder below, and those above it.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn folder(&self, name: &Path) -> io::Result<()> {
        fs::create_dir_all(self.path().join(name))
    }

    /// Takes over what stands at a path of the place, without a copy.
    ///
    /// # Errors
    /// When the disk knows no second name for a file, and it cannot be copied.
    pub fn take_over(&self, name: &Path) -> io::Result<()> {
        let (from, to) = (self.place.join(name), self.path().join(name));
        fs::hard_link(&from, &to).or_else(|_| fs::copy(&from, &to).map(drop))
    }

    /// Puts what was made in the place of a folder, in one step where the disk knows how to exchange two; else
    /// there is a moment without either, which the next run mends when this one is killed in it.
    ///
    /// # Errors
    /// When the folder cannot be replaced; then it stands as it was.
    pub fn replace(mut self) -> io::Result<()> {
        let (new, place) = (self.path(), &self.place);
        if place.is_dir() {
            let rights = fs::metadata(place)?.permissions();
            fs::set_permissions(&new, rights)?;
        }
        flush(self.folder.path())?;
        if fs::symlink_metadata(place).is_err() {
            fs::rename(&new, place)?;
        } else if !exchange(&new, place)? {
            let old = self.folder.path().join(OLD);
            fs::rename(place, &old)?;
            if let Err(error) = fs::rename(&new, place) {
                // What stood before must not go with the stage: if not now, the next run moves it back.
                let is_back = fs::rename(&old, place).is_ok();
                self.holds_old = !is_back;
                self.folder.disable_cleanup(!is_back);
                return Err(error);
            }
        }
        if let Some(above) = place.parent() {
            settle(above);
        }
        Ok(())
    }

    /// Gives the files their names in the folder of the stage, each in one step.
    ///
    /// # Errors
    /// When one cannot be given; those before it are there.
    pub fn put_among(self, names: &[&str]) -> io::Result<()> {
        for name in names {
            fs::rename(self.path().join(name), self.place.join(name))?;
        }
        settle(&self.place);
        Ok(())
    }
}

/// Writes a file in one step; what stood there goes.
///
/// # Errors
/// When it cannot be written; then what stood there stands.
pub fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let name = path.file_name().and_then(|name| name.to_str());
    let name = name.ok_or_else(|| io::Error::other("its name is no text"))?;
    let above = path.parent().filter(|above| !above.as_os_str().is_empty());
    let stage = Stage::within(above.unwrap_or(Path::new(".")))?;
    stage.put(Path::new(name), bytes)?;
    stage.put_among(&[name])
}

/// Whether [`flush`] does anything.
const CAN_FLUSH_ALL: bool = cfg!(target_os = "linux");

/// Brings everything on the disk of a folder to the disk.
#[cfg(target_os = "linux")]
fn flush(folder: &Path) -> io::Result<()> {
    Ok(rustix::fs::syncfs(File::open(folder)?)?)
}

#[cfg(not(target_os = "linux"))]
fn flush(_folder: &Path) -> io::Result<()> {
    Ok(())
}

/// Brings the names in a folder to the disk, on systems that know how. What was renamed stands in any case.
fn settle(folder: &Path) {
    let _ = File::open(folder).and_then(|folder| folder.sync_all());
}

/// Exchanges two folders in one step; `false` on a disk that cannot.
#[cfg(any(target_os = "linux", target_vendor = "apple"))]
fn exchange(one: &Path, other: &Path) -> io::Result<bool> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    use rustix::io::Errno;
    match renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE) {
        Ok(()) => Ok(true),
        Err(Errno::INVAL | Errno::NOSYS | Errno::OPNOTSUPP) => Ok(false),
        Err(error) => Err(error.into()),
    }
}

#[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
fn exchange(_one: &Path, _other: &Path) -> io::Result<bool> {
    Ok(false)
}

/// Takes away what runs left that were killed; of a folder that one of them had moved aside, it is moved back.
fn sweep(above: &Path, prefix: &str, place: &Path) {
    let Ok(entries) = fs::read_dir(above) else {
        return;
    };
    for entry in entries.flatten() {
        if !entry.file_name().to_string_lossy().starts_with(prefix) {
            continue;
        }
        let stage = entry.path();
        let Ok(lock) = File::open(stage.join(LOCK)) else {
            // Not locked yet, or killed before it was: an empty folder is no loss to anybody.
            let _ = fs::remove_dir(&stage);
            continue;
        };
        if lock.try_lock().is_ok() {
            let _ = restore(&stage.join(OLD), place);
            empty(&stage);
            let _ = fs::remove_dir_all(&stage);
        }
    }
}

/// Takes away what a stage holds but its lock: a run that is killed here leaves what the next one takes away.
fn empty(stage: &Path) {
    for held in [NEW, OLD] {
        let _ = fs::remove_dir_all(stage.join(held));
    }
}

impl Drop for Stage {
    fn drop(&mut self) {
        if !self.holds_old {
            empty(self.folder.path());
        }
    }
}

fn restore(old: &Path, place: &Path) -> io::Result<()> {
    match old.exists() && !place.exists() {
        true => fs::rename(old, place),
        false => Ok(()),
    }
}

/// What stands at a path below a folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    Folder,
    /// A file, with what changes when somebody writes to it.
    File(Stamp),
    /// A link, a pipe, …
    Other,
}

/// What changes when somebody writes to a file: its length, and when that was last done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp(u64, Option<std::time::SystemTime>);

impl Stamp {
    fn of(about: &fs::Metadata) -> Self {
        Self(about.len(), about.modified().ok())
    }
}

/// The stamp of a file; `None` where there is none.
pub fn stamp(path: &Path) -> Option<Stamp> {
    let about = fs::symlink_metadata(path).ok()?;
    about.is_file().then(|| Stamp::of(&about))
}

/// Everything below a folder, links not followed, by its path from there; a folder stands before what is in it.
/// Nothing where there is no such folder.
///
/// # Errors
/// When something in it cannot be listed.
pub fn everything(folder: &Path) -> io::Result<Vec<(PathBuf, Standing)>> {
    let mut found = Vec::new();
    if !folder.exists() {
        return Ok(found);
    }
    let mut waiting = vec![PathBuf::new()];
    while let Some(below) = waiting.pop() {
        for entry in fs::read_dir(folder.join(&below))? {
            let entry = entry?;
            let (name, about) = (below.join(entry.file_name()), entry.metadata()?);
            let standing = if about.is_dir() {
                waiting.push(name.clone());
                Standing::Folder
            } else if about.is_file() {
                Standing::File(Stamp::of(&about))
            } else {
                Standing::Other
            };
            found.push((name, standing));
        }
    }
    found.sort_by(|(one, _), (other, _)| one.cmp(other));
    Ok(found)
}

/// SHA-256 of a file of any length, as [`Sum::text`] writes it.
///
/// # Errors
/// When it cannot be read.
pub fn sum_of(path: &Path) -> io::Result<String> {
    let (mut file, mut sum) = (File::open(path)?, Sum::default());
    let mut piece = vec![0; 1 << 16];
    loop {
        match file.read(&mut piece)? {
            0 => return Ok(sum.text()),
            read => sum.add(piece.get(..read).unwrap_or_default()),
        }
    }
}

/// Whether this process stands in a folder or below it.
pub fn is_stood_in(folder: &Path) -> bool {
    let own = std::env::current_dir().and_then(fs::canonicalize);
    own.is_ok_and(|own| own.starts_with(folder))
}
