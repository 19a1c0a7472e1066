//! Where the files of a pack go, one after the other: nothing of them is held.

use crate::ground::shelf::Shelf;
use crate::ground::source::sha256;
use std::collections::BTreeMap;
use std::io;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// A file of a pack: its name below the output folder, and the SHA-256 of its bytes.
pub type Placed = (String, String);

/// Takes files by their names below the output folder.
pub trait Sink: Sync {
    /// Puts a file; gives the SHA-256 of its bytes.
    ///
    /// # Errors
    /// When it cannot be written.
    fn put(&self, name: &str, bytes: &[u8]) -> io::Result<String>;

    /// Puts files of an earlier build again, all of them or none; `false` where one is not there as it was.
    fn again(&self, _pages: &[Placed]) -> bool {
        false
    }

    /// Where things are put by for the next build.
    fn shelf(&self) -> Option<&Shelf> {
        None
    }

    /// Keeps a part of a long file, behind those that were kept before.
    ///
    /// # Errors
    /// When there is no room for it.
    fn keep(&self, part: &str) -> io::Result<()>;

    /// Puts a file that holds the kept parts, with what stands before and behind them.
    ///
    /// # Errors
    /// When it cannot be written.
    fn put_kept(&self, name: &str, before: &str, behind: &str) -> io::Result<()>;
}

/// Files in memory: all, or those that hold a text.
#[derive(Debug, Default)]
pub struct InMemory {
    wanted: String,
    held: Mutex<Held>,
}

#[derive(Debug, Default)]
struct Held {
    files: BTreeMap<String, Vec<u8>>,
    kept: String,
}

impl InMemory {
    /// Keeps only files that hold this text.
    pub fn with(text: &str) -> Self {
        Self {
            wanted: text.to_owned(),
            held: Mutex::default(),
        }
    }

    fn held(&self) -> MutexGuard<'_, Held> {
        self.held.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub fn into_files(self) -> BTreeMap<String, Vec<u8>> {
        let held = self.held.into_inner();
        held.unwrap_or_else(PoisonError::into_inner).files
    }
}

impl Sink for InMemory {
    fn put(&self, name: &str, bytes: &[u8]) -> io::Result<String> {
        if self.wanted.is_empty() || String::from_utf8_lossy(bytes).contains(&self.wanted) {
            self.held().files.insert(name.to_owned(), bytes.to_vec());
        }
        Ok(sha256(bytes))
    }

    fn keep(&self, part: &str) -> io::Result<()> {
        self.held().kept.push_str(part);
        Ok(())
    }

    fn put_kept(&self, name: &str, before: &str, behind: &str) -> io::Result<()> {
        let mut held = self.held();
        let text = [before, &std::mem::take(&mut held.kept), behind].concat();
        held.files.insert(name.to_owned(), text.into_bytes());
        Ok(())
    }
}
