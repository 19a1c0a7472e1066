//! What earlier runs made, put by in the machine's folder for such things: under a key that names all it was made of,
//! so that another key finds nothing. What is lost here, torn or changed is made again and missed by nobody.
#![allow(
    clippy::disallowed_methods,
    reason = "what lies here is no input: it is taken under its own sum alone, and who can forge that can change the program"
)]

use super::seam::environment;
use super::source::{Sum, sha256};
use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{
    self, BufRead as _, BufReader, BufWriter, Read as _, Seek as _, SeekFrom, Write as _,
};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;
use tempfile::NamedTempFile;

/// So many files are kept, the newest of them.
pub const MOST_SHELVES: usize = 16;

/// How the name of a file begins until its run has ended.
const BEGUN: &str = "begun-";

/// Bytes of one thing; no more of a line is read at once.
const LONGEST_THING: u64 = 64 << 20;

/// No run takes longer than this: what it has begun, it has left.
const LONGEST: Duration = Duration::from_hours(24);

/// One file of them.
#[derive(Debug)]
pub struct Shelf {
    path: PathBuf,
    old: BTreeMap<String, Lies>,
    file: Mutex<Option<File>>,
    new: Mutex<New>,
}

/// What this run puts by.
#[derive(Debug)]
enum New {
    /// Nothing yet.
    Empty,
    Begun(BufWriter<NamedTempFile>),
    /// There is no room for it.
    Full,
}

/// Where a thing lies.
#[derive(Clone, Copy, Debug)]
struct Lies {
    at: u64,
    length: usize,
}

/// The machine's folder for what can be made again; `None` where it has none.
#[must_use]
pub fn folder() -> Option<PathBuf> {
    let named = |name: &str| environment(name).filter(|path| Path::new(path).is_absolute());
    let of_home = || Some(Path::new(&named("HOME")?).join(".cache"));
    let of_system = named("XDG_CACHE_HOME").or_else(|| named("LOCALAPPDATA"));
    Some(
        of_system
            .map(PathBuf::from)
            .or_else(of_home)?
            .join("kneemark/packs"),
    )
}

impl Shelf {
    /// The one of this name; `None` where nothing can be put there.
    pub fn open(folder: &Path, name: &str) -> Option<Self> {
        fs::create_dir_all(folder).ok()?;
        let path = folder.join(sha256(name.as_bytes()));
        // A pipe would be waited for, and a device has no end.
        let is_file = fs::symlink_metadata(&path).is_ok_and(|about| about.is_file());
        let file = is_file.then(|| File::open(&path).ok()).flatten();
        let old = file.as_ref().and_then(|file| lying(file).ok());
        Some(Self {
            path,
            old: old.unwrap_or_default(),
            file: Mutex::new(file),
            new: Mutex::new(New::Empty),
        })
    }

    /// What was put by under a key, if it is what it was.
    pub fn get(&self, key: &str) -> Option<String> {
        let lies = self.old.get(key)?;
        let mut line = vec![0; lies.length];
        {
            let mut file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
            let file = file.as_mut()?;
            file.seek(SeekFrom::Start(lies.at)).ok()?;
            file.read_exact(&mut line).ok()?;
        }
        let line = String::from_utf8(line).ok()?;
        let (sum, thing) = line.split_once(' ')?;
        (sum == sum_of(key, thing)).then(|| thing.to_owned())
    }

    /// Puts by one line under a key, for the next run.
    pub fn put(&self, key: &str, thing: &str) {
        let sum = sum_of(key, thing);
        let mut new = self.new.lock().unwrap_or_else(PoisonError::into_inner);
        if let New::Empty = *new {
            let begun = tempfile::Builder::new().prefix(BEGUN).to_owned();
            let file = self.path.parent().map(|folder| begun.tempfile_in(folder));
            let file = file.and_then(Result::ok);
            *new = file.map_or(New::Full, |file| New::Begun(BufWriter::new(file)));
        }
        // On a full disk nothing is put by, and all else goes on.
        if let New::Begun(file) = &mut *new
            && writeln!(file, "{key} {sum} {thing}").is_err()
        {
            *new = New::Full;
        }
    }

    /// Keeps what this run put by, if anything, in place of what the last one did.
    pub fn close(self) {
        let new = self.new.into_inner();
        let New::Begun(new) = new.unwrap_or_else(PoisonError::into_inner) else {
            return;
        };
        // Some systems replace no file that is open.
        drop(self.file);
        let new = new.into_inner().ok();
        if new.is_some_and(|new| new.persist(&self.path).is_ok())
            && let Some(folder) = self.path.parent()
        {
            thin_out(folder);
        }
    }
}

/// Of a thing under its key, so that it is no other one's.
fn sum_of(key: &str, thing: &str) -> String {
    let mut sum = Sum::default();
    for part in [key, " ", thing] {
        sum.add(part.as_bytes());
    }
    sum.text()
}

/// Where each thing of a file lies, by its key.
fn lying(file: &File) -> io::Result<BTreeMap<String, Lies>> {
    let (mut found, mut at) = (BTreeMap::new(), 0);
    let mut lines = BufReader::new(file);
    let mut line = Vec::new();
    loop {
        line.clear();
        let length = lines
            .by_ref()
            .take(LONGEST_THING)
            .read_until(b'\n', &mut line)?;
        if length == 0 {
            return Ok(found);
        }
        let end = line.iter().position(|byte| *byte == b' ');
        let key = end.and_then(|end| std::str::from_utf8(line.get(..end)?).ok());
        if let (Some(key), Some(b'\n')) = (key, line.last()) {
            let before = key.len() + 1;
            let lies = Lies {
                at: at + before as u64,
                length: length - before - 1,
            };
            found.insert(key.to_owned(), lies);
        }
        at += length as u64;
    }
}

/// Takes the oldest away, and what runs that were killed have begun.
fn thin_out(folder: &Path) {
    let files = fs::read_dir(folder).into_iter().flatten().flatten();
    let dated = files.filter_map(|file| Some((file.metadata().ok()?.modified().ok()?, file)));
    let (mut shelves, mut begun) = (Vec::new(), Vec::new());
    for (time, file) in dated {
        let name = file.file_name();
        let name = name.to_string_lossy();
        // What has another name is somebody else's.
        if name.len() == 64 && name.bytes().all(|byte| byte.is_ascii_hexdigit()) {
            shelves.push((time, file.path()));
        } else if name.starts_with(BEGUN) {
            begun.push((time, file.path()));
        }
    }
    shelves.sort();
    let oldest = shelves.into_iter().rev().skip(MOST_SHELVES);
    begun.retain(|(time, _)| time.elapsed().is_ok_and(|ago| ago > LONGEST));
    for (_, path) in oldest.chain(begun) {
        let _ = fs::remove_file(path);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::SystemTime;

    fn put(folder: &Path, things: &[(&str, &str)]) {
        let shelf = Shelf::open(folder, "x").unwrap();
        for (key, thing) in things {
            shelf.put(key, thing);
        }
        shelf.close();
    }

    #[test]
    fn what_was_put_by_is_found_by_its_key_until_the_next_run() {
        let folder = tempfile::tempdir().unwrap();
        put(
            folder.path(),
            &[("a", "one thing"), ("b", ""), ("c", "größer")],
        );
        let shelf = Shelf::open(folder.path(), "x").unwrap();
        let got = ["a", "b", "c", "d"].map(|key| shelf.get(key));
        assert_eq!(
            got.each_ref().map(Option::as_deref),
            [Some("one thing"), Some(""), Some("größer"), None]
        );
        // Nobody closed it: what it would have put by is gone, what was there stands.
        shelf.put("d", "lost");
        drop(shelf);
        let shelf = Shelf::open(folder.path(), "x").unwrap();
        assert!(shelf.get("a").is_some() && shelf.get("d").is_none());
        shelf.put("e", "new");
        shelf.close();
        let shelf = Shelf::open(folder.path(), "x").unwrap();
        assert!(shelf.get("a").is_none() && shelf.get("e").is_some());
        assert!(Shelf::open(folder.path(), "y").unwrap().get("e").is_none());
        // A run that puts nothing by leaves all as it was.
        shelf.close();
        let shelf = Shelf::open(folder.path(), "x").unwrap();
        assert!(shelf.get("e").is_some());
    }

    #[test]
    fn a_changed_or_torn_thing_is_not_taken() {
        let folder = tempfile::tempdir().unwrap();
        put(folder.path(), &[("a", "one thing"), ("b", "another")]);
        let path = folder.path().join(sha256(b"x"));
        let text = fs::read_to_string(&path).unwrap();
        fs::write(&path, text.replace("one thing", "one think")).unwrap();
        let shelf = Shelf::open(folder.path(), "x").unwrap();
        assert!(shelf.get("a").is_none() && shelf.get("b").is_some());
        for end in 0..text.len() {
            fs::write(&path, &text.as_bytes()[..end]).unwrap();
            let shelf = Shelf::open(folder.path(), "x").unwrap();
            assert!(shelf.get("b").is_none(), "{end}");
        }
        // A thing of another key is no thing of this one.
        fs::write(&path, text.replace("\nb ", "\nc ").replacen("a ", "b ", 1)).unwrap();
        let shelf = Shelf::open(folder.path(), "x").unwrap();
        assert!(["a", "b", "c"].iter().all(|key| shelf.get(key).is_none()));
        fs::write(&path, b"\xff\xfe\n \n\n a\n").unwrap();
        assert!(Shelf::open(folder.path(), "x").unwrap().get("a").is_none());
    }

    #[cfg(unix)]
    #[test]
    fn a_device_is_no_shelf() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(sha256(b"x"));
        std::os::unix::fs::symlink("/dev/zero", &path).unwrap();
        put(folder.path(), &[("a", "thing")]);
        let shelf = Shelf::open(folder.path(), "x").unwrap();
        assert!(shelf.get("a").is_some() && path.symlink_metadata().unwrap().is_file());
    }

    #[test]
    fn the_oldest_go() {
        let folder = tempfile::tempdir().unwrap();
        for at in 0..MOST_SHELVES + 3 {
            let shelf = Shelf::open(folder.path(), &at.to_string()).unwrap();
            shelf.put("a", "thing");
            shelf.close();
        }
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), MOST_SHELVES);
        // What killed runs have begun counts for none, and goes in a day.
        let begun = |name: &str| folder.path().join(format!("{BEGUN}{name}"));
        for name in ["now", "once"] {
            fs::write(begun(name), "x").unwrap();
        }
        fs::write(folder.path().join("mine.txt"), "x").unwrap();
        let once = File::options().write(true).open(begun("once")).unwrap();
        once.set_modified(SystemTime::now() - 2 * LONGEST).unwrap();
        thin_out(folder.path());
        assert!(begun("now").exists() && !begun("once").exists());
        let all = fs::read_dir(folder.path()).unwrap().count();
        assert_eq!(all, MOST_SHELVES + 2, "and what is somebody else's");
        let last = Shelf::open(folder.path(), &(MOST_SHELVES + 2).to_string()).unwrap();
        assert!(last.get("a").is_some());
    }

    #[test]
    fn a_folder_that_cannot_be_had_is_no_error() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("file");
        fs::write(&file, "").unwrap();
        assert!(Shelf::open(&file, "x").is_none());
    }
}
