//! The one door to what is read. The library sees files through [`Files`], so that tests run in memory and
//! nothing else can depend on the machine. What is written goes through [`super::stage`].
#![allow(
    clippy::disallowed_methods,
    reason = "this is the door that the lint points to"
)]

use std::collections::BTreeMap;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// What a path in a folder is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    File,
    Folder,
    /// A link, which is not followed.
    Link,
}

/// What the library may do with files.
pub trait Files: Sync {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>>;
    /// Paths in a folder with what each is, sorted.
    fn list(&self, folder: &Path) -> io::Result<Vec<(PathBuf, Kind)>>;
    fn is_folder(&self, path: &Path) -> bool;
    fn exists(&self, path: &Path) -> bool;
    /// Where a path really leads, links and `..` resolved; what does not exist yet, through its nearest existing parent.
    /// Only by this it is decided whether something may be looked at.
    ///
    /// # Errors
    /// Where that cannot be known: a link that leads nowhere, too many links, a folder that may not be searched.
    fn real(&self, path: &Path) -> io::Result<PathBuf>;
    /// The same, so that two names of one place compare equal; as written, where it cannot be known.
    fn resolve(&self, path: &Path) -> PathBuf {
        let as_written = |_| std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
        self.real(path).unwrap_or_else(as_written)
    }
}

/// A variable of the environment; `None` when it is not set or not UTF-8.
pub fn environment(name: &str) -> Option<String> {
    std::env::var(name).ok()
}

/// What tells this very program from any other that stood in its place; `None` where the system does not say which file
/// it is.
#[must_use]
pub fn program() -> Option<String> {
    let stamp = super::stage::stamp(&std::env::current_exe().ok()?)?;
    Some(format!("{} {stamp:?}", env!("CARGO_PKG_VERSION")))
}

/// The day by the machine's clock, in universal time; `None` of a clock outside the years 1 to 9999. Only for what a
/// person starts afresh; nothing that is compiled from records asks for it.
#[must_use]
pub fn today() -> Option<super::date::Date> {
    day_of(std::time::SystemTime::now())
}

fn day_of(time: std::time::SystemTime) -> Option<super::date::Date> {
    let day = jiff::Timestamp::try_from(time).ok()?;
    let day = jiff::tz::Offset::UTC.to_datetime(day).date();
    (1..=9999).contains(&day.year()).then_some(day)
}

/// The real files.
#[derive(Clone, Copy, Debug, Default)]
pub struct Disk;

/// Longest file that is read at all; longer ones are refused before memory is spent on them.
const MAX_READ: u64 = 64 << 20;

fn too_long(length: u64) -> io::Error {
    let told = format!("{length} bytes; files over {MAX_READ} bytes are not read");
    io::Error::other(told)
}

/// All that there is to read, of which so many bytes are expected.
fn bounded(from: impl io::Read, expected: usize) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::with_capacity(expected);
    match from.take(MAX_READ + 1).read_to_end(&mut bytes)? as u64 {
        length if length > MAX_READ => Err(too_long(length)),
        _ => Ok(bytes),
    }
}

/// What comes by standard input, up to its end.
///
/// # Errors
/// When it cannot be read, or is longer than any file that is read.
pub fn standard_input() -> io::Result<Vec<u8>> {
    bounded(io::stdin().lock(), 0)
}

impl Files for Disk {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        let meta = std::fs::metadata(path)?;
        if !meta.is_file() {
            return Err(io::Error::other("not a regular file"));
        }
        if meta.len() > MAX_READ {
            return Err(too_long(meta.len()));
        }
        // It may have grown since.
        bounded(std::fs::File::open(path)?, meta.len() as usize + 1)
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<(PathBuf, Kind)>> {
        let mut names = Vec::new();
        for entry in std::fs::read_dir(folder)? {
            let entry = entry?;
            let kind = entry.file_type()?;
            let kind = match (kind.is_symlink(), kind.is_dir()) {
                (true, _) => Kind::Link,
                (false, true) => Kind::Folder,
                (false, false) => Kind::File,
            };
            names.push((entry.path(), kind));
        }
        names.sort_by(|(one, _), (other, _)| one.cmp(other));
        Ok(names)
    }

    fn is_folder(&self, path: &Path) -> bool {
        path.is_dir()
    }

    fn exists(&self, path: &Path) -> bool {
        path.exists()
    }

    fn real(&self, path: &Path) -> io::Result<PathBuf> {
        let mut missing = Vec::new();
        let absolute = std::path::absolute(path)?;
        let mut at = absolute.as_path();
        loop {
            let why = match std::fs::canonicalize(at) {
                Ok(real) => {
                    return Ok(missing.iter().rev().fold(real, |sum, name| sum.join(name)));
                }
                Err(why) => why,
            };
            // What is there and leads nowhere may lead anywhere by the time that it is read.
            let is_there = std::fs::symlink_metadata(at).is_ok();
            match (at.parent(), at.file_name()) {
                (Some(parent), Some(name))
                    if why.kind() == io::ErrorKind::NotFound && !is_there =>
                {
                    missing.push(name.to_owned());
                    at = parent;
                }
                _ => return Err(why),
            }
        }
    }
}

/// Files with the texts of some of them in hand, as an editor has them before they are saved.
pub struct InHand<'a> {
    files: &'a dyn Files,
    /// By their resolved paths; or why there is none.
    texts: BTreeMap<PathBuf, Result<Vec<u8>, String>>,
}

impl<'a> InHand<'a> {
    /// No text in hand yet.
    pub fn none(files: &'a dyn Files) -> Self {
        Self {
            files,
            texts: BTreeMap::new(),
        }
    }

    /// The text stands in place of what the file holds; there need be no such file.
    pub fn new(files: &'a dyn Files, path: &Path, text: io::Result<Vec<u8>>) -> Self {
        let mut own = Self::none(files);
        let text = text.map_err(|error| error.to_string());
        own.texts.insert(files.resolve(path), text);
        own
    }

    /// Takes a text in hand, or another one of the same file.
    pub fn put(&mut self, path: &Path, text: Vec<u8>) {
        self.texts.insert(self.files.resolve(path), Ok(text));
    }

    /// From now on what the file holds counts again.
    pub fn let_go(&mut self, path: &Path) {
        self.texts.remove(&self.files.resolve(path));
    }

    fn own(&self, path: &Path) -> Option<&Result<Vec<u8>, String>> {
        self.texts.get(&self.files.resolve(path))
    }
}

impl Files for InHand<'_> {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        match self.own(path) {
            Some(text) => text.clone().map_err(io::Error::other),
            None => self.files.read(path),
        }
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<(PathBuf, Kind)>> {
        // What was never saved lies there all the same, as its folder does.
        let place = self.files.resolve(folder);
        let own = self.texts.keys();
        let mut own = own.filter(|path| path.parent() == Some(&place)).peekable();
        let mut names = match self.files.list(folder) {
            Err(error) if error.kind() == io::ErrorKind::NotFound && own.peek().is_some() => {
                Vec::new()
            }
            listed => listed?,
        };
        for name in own.filter_map(|path| path.file_name()) {
            let path = folder.join(name);
            if let Err(at) = names.binary_search_by(|(known, _)| known.cmp(&path)) {
                names.insert(at, (path, Kind::File));
            }
        }
        Ok(names)
    }

    fn is_folder(&self, path: &Path) -> bool {
        self.own(path).is_none() && self.files.is_folder(path)
    }

    fn exists(&self, path: &Path) -> bool {
        self.own(path).is_some() || self.files.exists(path)
    }

    fn real(&self, path: &Path) -> io::Result<PathBuf> {
        self.files.real(path)
    }
}

/// Files in memory, for tests and for embedding.
#[derive(Debug, Default)]
pub struct Memory {
    files: Mutex<BTreeMap<PathBuf, Vec<u8>>>,
}

impl Memory {
    /// Puts a file in place.
    pub fn put(&self, path: impl Into<PathBuf>, bytes: impl Into<Vec<u8>>) {
        self.lock().insert(path.into(), bytes.into());
    }

    fn lock(&self) -> MutexGuard<'_, BTreeMap<PathBuf, Vec<u8>>> {
        self.files.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Where one stands is where everything lies.
fn plain(path: &Path) -> &Path {
    path.strip_prefix(".").unwrap_or(path)
}

impl Files for Memory {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.lock()
            .get(plain(path))
            .cloned()
            .ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<(PathBuf, Kind)>> {
        let mut names = BTreeMap::new();
        for path in self.lock().keys() {
            if let Ok(rest) = path.strip_prefix(plain(folder)) {
                let mut parts = rest.components();
                if let Some(first) = parts.next() {
                    let kind = match parts.next() {
                        Some(_) => Kind::Folder,
                        None => Kind::File,
                    };
                    names.insert(folder.join(first), kind);
                }
            }
        }
        Ok(names.into_iter().collect())
    }

    fn is_folder(&self, path: &Path) -> bool {
        let path = plain(path);
        self.lock()
            .keys()
            .any(|file| file.starts_with(path) && file != path)
    }

    fn exists(&self, path: &Path) -> bool {
        self.lock().keys().any(|file| file.starts_with(plain(path)))
    }

    fn real(&self, path: &Path) -> io::Result<PathBuf> {
        Ok(plain(path).to_owned())
    }
}

#[cfg(test)]
mod tests {
    use super::day_of;
    use std::time::{Duration, SystemTime};

    #[test]
    fn a_clock_gone_wrong_has_no_day() {
        let at = |seconds: u64| SystemTime::UNIX_EPOCH + Duration::from_secs(seconds);
        let before = |seconds: u64| SystemTime::UNIX_EPOCH - Duration::from_secs(seconds);
        let day = |time| day_of(time).map(|day| day.to_string());
        assert_eq!(day(at(0)).as_deref(), Some("1970-01-01"));
        // Seconds from 1970 to the ends of the years 1 and 9999, by the proleptic Gregorian calendar:
        // 719,162 days back, 2,932,897 days on.
        assert_eq!(day(before(719_162 * 86_400)).as_deref(), Some("0001-01-01"));
        assert_eq!(day(before(719_162 * 86_400 + 1)), None);
        // The library keeps the last hours of the last year free for other zones.
        assert_eq!(day(at(2_932_895 * 86_400)).as_deref(), Some("9999-12-30"));
        assert_eq!(day(at(2_932_897 * 86_400)), None);
        assert_eq!(day(at(u64::from(u32::MAX) * 86_400)), None);
    }
}
