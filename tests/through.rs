//! Files that a test looks at, or changes, on their way.

use kneemark::ground::seam::{Files, Kind};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

type Read = io::Result<Vec<u8>>;
type Listed = Vec<(PathBuf, Kind)>;

/// What a test does on the way; nothing, unless it says so.
pub trait Way: Sync {
    /// Something was asked.
    fn asked(&self) {}
    fn read(&self, _path: &Path, read: Read) -> Read {
        read
    }
    fn listed(&self, listed: Listed) -> Listed {
        listed
    }
}

/// Files, and what is done on the way to them.
#[derive(Default)]
pub struct Through<F, W> {
    pub files: F,
    pub way: W,
}

impl<F: Files, W: Way> Files for Through<F, W> {
    fn read(&self, path: &Path) -> Read {
        self.way.asked();
        self.way.read(path, self.files.read(path))
    }
    fn list(&self, folder: &Path) -> io::Result<Listed> {
        self.way.asked();
        self.files.list(folder).map(|names| self.way.listed(names))
    }
    fn is_folder(&self, path: &Path) -> bool {
        self.way.asked();
        self.files.is_folder(path)
    }
    fn exists(&self, path: &Path) -> bool {
        self.way.asked();
        self.files.exists(path)
    }
    fn real(&self, path: &Path) -> io::Result<PathBuf> {
        self.way.asked();
        self.files.real(path)
    }
}

/// Counts how often a record is read: once when a job is looked over, once more when it is compiled.
#[derive(Default)]
pub struct RecordsRead(AtomicUsize);

impl RecordsRead {
    pub fn count(&self) -> usize {
        self.0.load(Ordering::Relaxed)
    }
}

impl Way for RecordsRead {
    fn read(&self, path: &Path, read: Read) -> Read {
        let is_record = path.extension().is_some_and(|ending| ending == "ctr");
        self.0.fetch_add(usize::from(is_record), Ordering::Relaxed);
        read
    }
}
