//! Paths to the record files under them, and paths as messages show them.

use super::Diagnosed;
use crate::ground::calm::steers;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::seam::{Files, Kind};
use crate::ground::source::Source;
use crate::ground::span::Span;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// The ending of a record's file name.
const ENDING: &str = "ctr";
/// Deepest nesting of folders that is searched.
const DEEPEST: usize = 32;

/// The record files under the given paths, in their order and each once: files as they are, folders
/// through all their levels. Links are not followed. What cannot be listed comes back as diagnosed.
pub fn find(files: &dyn Files, paths: &[PathBuf]) -> (Vec<PathBuf>, Vec<Diagnosed>) {
    let (mut found, mut others) = (Vec::new(), Vec::new());
    for path in paths {
        if files.is_folder(path) {
            walk(files, path, 0, &mut found, &mut others);
        } else {
            found.push(path.clone());
        }
    }
    // A file that is also below a given folder keeps the name it was first given by.
    if paths.len() > 1 {
        let mut known = BTreeSet::new();
        found.retain(|path| known.insert(files.resolve(path)));
    }
    found.sort();
    if let (true, true, Some(first)) = (found.is_empty(), others.is_empty(), paths.first()) {
        let told = Diagnostic::new(
            Code::PackEmpty,
            Span::default(),
            "no file named *.ctr was found here",
        )
        .help("this folder and those below it were searched; the name of a record ends in .ctr");
        others.push(about(&shown(first), told));
    }
    (found, others)
}

/// The records that lie around the ones found under some paths: those of their jobs, else of their folders.
pub(super) fn around(files: &dyn Files, paths: &[PathBuf], found: &[PathBuf]) -> Vec<PathBuf> {
    let mut known: BTreeSet<PathBuf> = found.iter().map(|path| files.resolve(path)).collect();
    let folders = paths.iter().filter(|path| files.is_folder(path));
    let searched: Vec<PathBuf> = folders.map(|path| files.resolve(path)).collect();
    let own = found.iter().filter_map(|path| path.parent());
    let own: BTreeSet<&Path> = own.map(here).collect();
    let jobs = own.into_iter().map(|folder| match job_of(files, folder) {
        Some(job) => (as_given(files, folder, job), DEEPEST),
        None => (folder.to_owned(), 0),
    });
    let jobs: BTreeSet<(PathBuf, usize)> = jobs.collect();
    let (mut around, mut untold) = (Vec::new(), Vec::new());
    for (job, levels) in jobs {
        let place = files.resolve(&job);
        if !searched.iter().any(|folder| place.starts_with(folder)) {
            walk(files, &job, DEEPEST - levels, &mut around, &mut untold);
        }
    }
    around.retain(|path| known.insert(files.resolve(path)));
    around
}

/// Where what a job is made of lies: folders with all that is below them, and folders of which only the files count.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Places {
    pub whole: BTreeSet<PathBuf>,
    pub files: BTreeSet<PathBuf>,
}

/// Where the records under some paths lie, those around them, and what holds for all of these; above all of it the folder
/// that tells when one of them comes back.
pub fn places(files: &dyn Files, paths: &[PathBuf]) -> Places {
    let mut places = Places::default();
    for path in paths {
        let is_folder = files.is_folder(path);
        let own = match is_folder {
            true => path.as_path(),
            false => path.parent().unwrap_or(Path::new("")),
        };
        let own = files.resolve(here(own));
        let top = top_of(files, &own);
        let above = own.ancestors().take_while(|above| above.starts_with(&top));
        let above = above.chain(top.parent()).map(Path::to_owned);
        places
            .files
            .extend(above.filter(|folder| files.is_folder(folder)));
        places.whole.extend(job_of(files, &own));
        places.whole.extend(is_folder.then_some(own));
    }
    places
}

/// A folder above another one, in the words of that one where they reach up to it.
fn as_given(files: &dyn Files, folder: &Path, above: PathBuf) -> PathBuf {
    let mut given = folder.ancestors().map(here);
    let same = given.find(|one| files.resolve(one) == above);
    same.map_or(above, Path::to_owned)
}

/// The file that makes a folder the folder of a job.
pub(super) const JOB: &str = "pack.toml";

/// The folder of the job that a folder belongs to: the nearest one at or above it with a pack.toml, but none
/// beyond the repository that it lies in.
pub(crate) fn job_of(files: &dyn Files, folder: &Path) -> Option<PathBuf> {
    jobs_of(files, folder).into_iter().next()
}

/// All such folders, the nearest first: a part of a job may have a pack of its own.
pub(crate) fn jobs_of(files: &dyn Files, folder: &Path) -> Vec<PathBuf> {
    let own = files.resolve(here(folder));
    let repository = repository(files, &own);
    let is_within = |above: &&Path| repository.is_none_or(|top| above.starts_with(top));
    let within = own.ancestors().take_while(is_within);
    let is_job = |above: &&Path| {
        let pack = above.join(JOB);
        files.exists(&pack) && !files.is_folder(&pack)
    };
    within.filter(is_job).map(Path::to_owned).collect()
}

/// The folder that what holds for a record is looked for up to: that of its job, else its repository, else its own.
pub(super) fn top_of(files: &dyn Files, own: &Path) -> PathBuf {
    let job = job_of(files, own);
    let repository = || repository(files, own).map(Path::to_owned);
    job.or_else(repository).unwrap_or_else(|| own.to_owned())
}

fn repository<'p>(files: &dyn Files, own: &'p Path) -> Option<&'p Path> {
    own.ancestors()
        .find(|above| files.exists(&above.join(".git")))
}

fn walk(
    files: &dyn Files,
    folder: &Path,
    depth: usize,
    found: &mut Vec<PathBuf>,
    others: &mut Vec<Diagnosed>,
) {
    let entries = match files.list(folder) {
        Ok(entries) => entries,
        Err(error) => {
            others.push(unreadable(folder, &error));
            return;
        }
    };
    for (path, kind) in entries {
        let name = path.file_name().unwrap_or_default();
        let is_hidden = name.to_string_lossy().starts_with('.');
        match kind {
            Kind::Folder if is_hidden => {}
            Kind::Folder if depth == DEEPEST => {
                let title =
                    format!("folders are searched {DEEPEST} levels deep, and this one lies deeper");
                others.push(left_out(&path, title, "move the records up"));
            }
            Kind::Folder => walk(files, &path, depth + 1, found, others),
            Kind::File if is_record(&path) => found.push(path),
            Kind::File if reads_like_record(&path) => {
                let title = format!("the name of a record ends in .{ENDING}, in small letters");
                others.push(left_out(&path, title, "rename the file"));
            }
            Kind::Link if !is_hidden && (reads_like_record(&path) || files.is_folder(&path)) => {
                let title = "this is a link, and links are not followed".to_owned();
                let help = "put the file or folder itself here, or name it on the command line";
                others.push(left_out(&path, title, help));
            }
            Kind::File | Kind::Link => {}
        }
    }
}

/// Whether a file is a record by its name.
pub fn is_record(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending == ENDING)
}

/// The same, whatever its letters are.
fn reads_like_record(path: &Path) -> bool {
    path.extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case(ENDING))
}

/// Something that looks like a part of the job and is none.
pub(super) fn left_out(path: &Path, title: String, help: &str) -> Diagnosed {
    let told = Diagnostic::new(Code::FileLeftOut, Span::default(), title);
    about(&shown(path), told.label("left out").help(help))
}

/// A configuration file that does not hold, although its owner meant it to.
pub(super) fn not_used(name: &str, title: String) -> Diagnosed {
    let told = Diagnostic::new(Code::ConfigUnreadable, Span::default(), title);
    about(name, told.label("not used").help("rename the file"))
}

/// The folder, when its path is empty: where we stand.
pub fn here(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    }
}

/// A path as messages, pages and wire formats show it: nothing in a name steers a terminal or breaks a line.
pub fn shown(path: &Path) -> String {
    let text = path.to_string_lossy().replace('\\', "/");
    let text = text.strip_prefix("./").unwrap_or(&text);
    let seen = |c| if steers(c) { '\u{fffd}' } else { c };
    text.chars().map(seen).collect()
}

/// A file that could not be read, as something told about an empty text.
pub fn unreadable(path: &Path, error: &std::io::Error) -> Diagnosed {
    // The system's own words differ from machine to machine.
    let why = match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::PermissionDenied => "reading it is not allowed".to_owned(),
        _ => error.to_string(),
    };
    let title = format!("the file cannot be read: {why}");
    let told = Diagnostic::new(Code::FileUnreadable, Span::default(), title)
        .label("not read")
        .help("check the path and its permissions");
    about(&shown(path), told)
}

/// A file that is not what it was a moment ago.
pub(super) fn changed() -> Diagnostic {
    let title = "the file was changed or taken away while the job was read";
    Diagnostic::new(Code::FileUnreadable, Span::default(), title)
        .label("not read")
        .help("run the command again when nobody writes to it")
}

fn about(name: &str, told: Diagnostic) -> Diagnosed {
    Diagnosed {
        path: None,
        source: Source::new(name, b"").0,
        diagnostics: vec![told],
    }
}
