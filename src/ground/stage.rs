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
/// What stands in it: without that a folder is somebody else's, whatever it is called.
const MARK: &str = "files of a kneemark run that goes on, or was killed\n";
/// What is to stand.
const NEW: &str = "new";
/// What stood before, for a moment on disks that cannot exchange two folders.
const OLD: &str = "old";
/// How long, and how often, a run waits for another one.
const WAIT: std::time::Duration = std::time::Duration::from_millis(20);
const MOST_WAITS: usize = 3000;
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
            let Ok(mut lock) = File::create_new(&path) else {
                continue;
            };
            let is_held = match lock.try_lock() {
                Ok(()) => true,
                Err(fs::TryLockError::WouldBlock) => false,
                // A disk that knows no locks: nothing is swept there either.
                Err(fs::TryLockError::Error(_)) => true,
            };
            if is_held && path.exists() {
                lock.write_all(MARK.as_bytes())?;
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

    /// Takes over what stands at a path of the place, without a copy: a file gets a second name, a folder is made anew.
    ///
    /// # Errors
    /// When it is somebody else's, or lies on another disk.
    pub fn take_over(&self, name: &Path, standing: &Standing) -> io::Result<()> {
        let (from, to) = (self.place.join(name), self.path().join(name));
        if *standing != Standing::Folder {
            return fs::hard_link(&from, &to);
        }
        let about = fs::symlink_metadata(&from)?;
        if !is_of(&about, &fs::symlink_metadata(self.path())?) {
            return Err(io::Error::other(
                "it is somebody else's, or on another disk",
            ));
        }
        self.folder(name)
    }

    /// Takes over a file that is still the one of this stamp; `false` where it is not.
    pub fn take_same(&self, name: &Path, stamp: Stamp) -> bool {
        let to = self.path().join(name);
        if fs::hard_link(self.place.join(name), &to).is_err() {
            return false;
        }
        let is_same = self::stamp(&to) == Some(stamp);
        if !is_same {
            let _ = fs::remove_file(&to);
        }
        is_same
    }

    /// Keeps every other run from looking at the places of this folder, or changing them, until it is let go.
    ///
    /// # Errors
    /// When another run does not let go in a minute.
    pub fn alone(&self) -> io::Result<Option<File>> {
        // A system that opens no folders has no way to hold one.
        let Some(above) = self.place.parent().and_then(|above| File::open(above).ok()) else {
            return Ok(None);
        };
        for _ in 0..MOST_WAITS {
            match above.try_lock() {
                Ok(()) => return Ok(Some(above)),
                Err(fs::TryLockError::WouldBlock) => std::thread::sleep(WAIT),
                Err(fs::TryLockError::Error(_)) => return Ok(None),
            }
        }
        Err(io::Error::other("another run is writing here"))
    }

    /// Puts what was made in the place of a folder, in one step where the disk knows how to exchange two; else
    /// there is a moment without either, which the next run mends when this one is killed in it.
    ///
    /// What stood there before and is not known is put beside what is new; gives its names.
    ///
    /// # Errors
    /// When the folder cannot be replaced; then it stands as it was.
    pub fn replace(
        mut self,
        is_known: impl Fn(&Path, &Standing) -> bool,
    ) -> io::Result<Vec<PathBuf>> {
        let (new, place) = (self.path(), &self.place);
        // Folders keep their rights; the deepest first, for one may forbid to look into it.
        let standing = everything(place)?.into_iter().rev();
        let folders = standing.filter(|(_, standing)| *standing == Standing::Folder);
        let own = place.is_dir().then(PathBuf::new);
        for name in folders.map(|(name, _)| name).chain(own) {
            let to = new.join(&name);
            if to.is_dir() {
                fs::set_permissions(&to, fs::metadata(place.join(&name))?.permissions())?;
            }
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
        Ok(self.newcomers(is_known))
    }

    /// Moves over what was put into the folder while it was being replaced.
    fn newcomers(&self, is_known: impl Fn(&Path, &Standing) -> bool) -> Vec<PathBuf> {
        let mut moved = Vec::new();
        for old in [NEW, OLD].map(|old| self.folder.path().join(old)) {
            for (name, standing) in everything(&old).unwrap_or_default() {
                if standing == Standing::Folder || is_known(&name, &standing) {
                    continue;
                }
                let mut to = self.place.join(&name);
                // Beside a page of its name.
                while fs::symlink_metadata(&to).is_ok() {
                    to.as_mut_os_string().push(".kept");
                }
                let made = to.parent().map_or(Ok(()), fs::create_dir_all);
                if made.and_then(|()| fs::rename(old.join(&name), &to)).is_ok() {
                    moved.extend(to.strip_prefix(&self.place).ok().map(Path::to_owned));
                }
            }
        }
        moved
    }

    /// Gives the files their names in the folder of the stage, each in one step.
    ///
    /// # Errors
    /// When one cannot be given; those before it are there.
    pub fn put_among(self, names: &[&str]) -> io::Result<()> {
        for name in names {
            let place = self.place.join(name);
            if let Some(above) = place.parent() {
                fs::create_dir_all(above)?;
            }
            fs::rename(self.path().join(name), place)?;
        }
        settle(&self.place);
        Ok(())
    }
}

/// Writes a file in one step; what stood there goes, and leaves its rights to it.
///
/// # Errors
/// When it cannot be written, or is only to be read; then what stood there stands.
pub fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let name = path.file_name().and_then(|name| name.to_str());
    let name = name.ok_or_else(|| io::Error::other("its name is no text"))?;
    let above = path.parent().filter(|above| !above.as_os_str().is_empty());
    let stage = Stage::within(above.unwrap_or(Path::new(".")))?;
    stage.put(Path::new(name), bytes)?;
    if let Ok(about) = fs::metadata(path) {
        let rights = about.permissions();
        if rights.readonly() {
            let told = io::Error::new(io::ErrorKind::PermissionDenied, "it is only to be read");
            return Err(told);
        }
        fs::set_permissions(stage.path().join(name), rights)?;
    }
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
        let stage = entry.path();
        if entry.file_name().to_string_lossy().starts_with(prefix)
            && entry.file_type().is_ok_and(|kind| kind.is_dir())
            && let Some(_held) = left_behind(&stage)
        {
            let _ = restore(&stage.join(OLD), place);
            empty(&stage);
            let _ = fs::remove_file(stage.join(LOCK));
            let _ = fs::remove_dir(&stage);
        }
    }
}

/// The lock of a stage whose run has ended, held now; `None` of one in use, and of a folder that is none.
fn left_behind(stage: &Path) -> Option<File> {
    let names = fs::read_dir(stage).ok()?.flatten();
    let names: Vec<_> = names.map(|entry| entry.file_name()).collect();
    let path = stage.join(LOCK);
    if names
        .iter()
        .any(|name| ![LOCK, NEW, OLD].iter().any(|own| *own == *name))
    {
        return None;
    }
    if names.is_empty() {
        // Not locked yet, or killed before it was.
        let _ = fs::remove_dir(stage);
        return None;
    }
    // A pipe of that name would be waited for.
    fs::symlink_metadata(&path)
        .ok()
        .filter(fs::Metadata::is_file)?;
    let mut lock = File::open(&path).ok()?;
    lock.try_lock().ok()?;
    let mut mark = String::new();
    (&mut lock)
        .take(MARK.len() as u64 + 1)
        .read_to_string(&mut mark)
        .ok()?;
    // Killed before it was marked, it holds nothing else.
    (mark == MARK || mark.is_empty() && names.len() == 1).then_some(lock)
}

/// Takes away what a stage holds but its lock: a run that is killed here leaves what the next one takes away.
fn empty(stage: &Path) {
    for held in [NEW, OLD] {
        let held = stage.join(held);
        if fs::remove_dir_all(&held).is_err() {
            // Folders that nothing may be taken from.
            let all = everything(&held).unwrap_or_default();
            let folders = all
                .iter()
                .filter(|(_, standing)| *standing == Standing::Folder);
            for (name, _) in folders {
                let _ = open_up(&held.join(name));
            }
            let _ = fs::remove_dir_all(&held);
        }
    }
}

impl Drop for Stage {
    fn drop(&mut self) {
        if !self.holds_old {
            empty(self.folder.path());
        }
    }
}

#[cfg(unix)]
fn open_up(folder: &Path) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt as _;
    fs::set_permissions(folder, fs::Permissions::from_mode(0o700))
}

#[cfg(not(unix))]
fn open_up(_folder: &Path) -> io::Result<()> {
    Ok(())
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

/// What changes when somebody writes to a file, or puts another in its place: its length, when it was last written,
/// and which file of the disk it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp(u64, Option<std::time::SystemTime>, u64);

#[cfg(unix)]
fn number(about: &fs::Metadata) -> u64 {
    std::os::unix::fs::MetadataExt::ino(about)
}

#[cfg(not(unix))]
fn number(_about: &fs::Metadata) -> u64 {
    0
}

/// Whether something is on the disk and of the owner of another thing.
#[cfg(unix)]
fn is_of(one: &fs::Metadata, other: &fs::Metadata) -> bool {
    use std::os::unix::fs::MetadataExt as _;
    one.dev() == other.dev() && one.uid() == other.uid()
}

#[cfg(not(unix))]
fn is_of(_one: &fs::Metadata, _other: &fs::Metadata) -> bool {
    true
}

impl Stamp {
    fn of(about: &fs::Metadata) -> Self {
        Self(about.len(), about.modified().ok(), number(about))
    }
}

impl Stamp {
    /// How many bytes it has.
    #[must_use]
    pub fn length(&self) -> usize {
        usize::try_from(self.0).unwrap_or(usize::MAX)
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
    let mut sum = Sum::default();
    pieces(&mut File::open(path)?, |piece| {
        sum.add(piece);
        Ok(())
    })?;
    Ok(sum.text())
}

/// The first bytes of a file of any length.
///
/// # Errors
/// When it cannot be read.
pub fn beginning(path: &Path, most: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?.take(most).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Hands out what is left of a file, piece by piece.
///
/// # Errors
/// When it cannot be read, or a piece is not taken.
pub fn pieces(file: &mut File, mut take: impl FnMut(&[u8]) -> io::Result<()>) -> io::Result<()> {
    let mut piece = vec![0; 1 << 16];
    loop {
        match file.read(&mut piece)? {
            0 => return Ok(()),
            read => take(piece.get(..read).unwrap_or_default())?,
        }
    }
}

/// Whether a path is a link, wherever it leads.
pub fn is_link(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok_and(|about| about.is_symlink())
}

/// Whether this process stands in a folder or below it.
pub fn is_stood_in(folder: &Path) -> bool {
    let own = std::env::current_dir().and_then(fs::canonicalize);
    own.is_ok_and(|own| own.starts_with(folder))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(path: &Path) -> String {
        fs::read_to_string(path).unwrap_or_default()
    }

    #[cfg(unix)]
    #[test]
    fn a_file_keeps_its_rights() {
        use std::os::unix::fs::PermissionsExt as _;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("x.ctr");
        write(&path, b"one").unwrap();
        for (rights, is_written) in [(0o660, true), (0o600, true), (0o444, false)] {
            fs::write(&path, "old").unwrap();
            fs::set_permissions(&path, fs::Permissions::from_mode(rights)).unwrap();
            assert_eq!(write(&path, b"new").is_ok(), is_written, "{rights:o}");
            let after = fs::metadata(&path).unwrap().permissions().mode() & 0o777;
            assert_eq!(after, rights);
            assert_eq!(text(&path), if is_written { "new" } else { "old" });
        }
    }

    /// What was put into the folder at the last moment is moved over, beside a page of its name.
    #[test]
    fn newcomers_are_kept() {
        let above = tempfile::tempdir().unwrap();
        let place = above.path().join("out");
        fs::create_dir_all(place.join("deep")).unwrap();
        fs::write(place.join("old"), "ours").unwrap();
        let stage = Stage::for_folder(&place).unwrap();
        stage.put(Path::new("page"), b"new").unwrap();
        fs::write(place.join("page"), "mine").unwrap();
        fs::write(place.join("deep/note"), "mine").unwrap();
        let moved = stage.replace(|name, _| name == Path::new("old")).unwrap();
        assert_eq!(moved, [Path::new("deep/note"), Path::new("page.kept")]);
        for (name, wanted) in [
            ("page", "new"),
            ("page.kept", "mine"),
            ("deep/note", "mine"),
            ("old", ""),
        ] {
            assert_eq!(text(&place.join(name)), wanted, "{name}");
        }
        assert_eq!(fs::read_dir(above.path()).unwrap().count(), 1, "no litter");
    }

    /// A folder that is called like a stage and is none stays, and nothing in it is waited for.
    #[cfg(unix)]
    #[test]
    fn a_stranger_of_the_name_of_a_stage_stays() {
        let above = tempfile::tempdir().unwrap();
        let at = |name: &str| above.path().join(name);
        for folder in [
            ".out.kneemark-a/new",
            ".out.kneemark-b/new",
            ".out.kneemark-c",
            "far/new",
            "far/old",
        ] {
            fs::create_dir_all(at(folder)).unwrap();
        }
        fs::write(at(".out.kneemark-a/lock"), "precious").unwrap();
        fs::write(at(".out.kneemark-b/lock"), MARK).unwrap();
        fs::write(at(".out.kneemark-b/precious"), "").unwrap();
        let pipe = at(".out.kneemark-c/lock");
        assert!(
            std::process::Command::new("mkfifo")
                .arg(&pipe)
                .status()
                .unwrap()
                .success()
        );
        fs::write(at("far/lock"), MARK).unwrap();
        std::os::unix::fs::symlink(at("far"), at(".out.kneemark-d")).unwrap();
        drop(Stage::for_folder(&at("out")).unwrap());
        for stays in [
            ".out.kneemark-a/new",
            ".out.kneemark-b/new",
            ".out.kneemark-c/lock",
            ".out.kneemark-d",
            "far/new",
            "far/old",
        ] {
            assert!(fs::symlink_metadata(at(stays)).is_ok(), "{stays}");
        }
        assert!(!at("out").exists());
    }

    /// A file that was exchanged since it was looked at is not taken for the one that it was.
    #[test]
    fn only_the_same_file_is_taken_over() {
        let above = tempfile::tempdir().unwrap();
        let place = above.path().join("out");
        fs::create_dir(&place).unwrap();
        let page = place.join("page");
        fs::write(&page, "one").unwrap();
        let seen = stamp(&page).unwrap();
        let stage = Stage::for_folder(&place).unwrap();
        assert!(stage.take_same(Path::new("page"), seen));
        fs::write(above.path().join("other"), "two").unwrap();
        fs::rename(above.path().join("other"), &page).unwrap();
        let stage = Stage::for_folder(&place).unwrap();
        assert!(!stage.take_same(Path::new("page"), seen) && !stage.path().join("page").exists());
    }
}
