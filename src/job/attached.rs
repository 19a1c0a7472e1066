//! The files that belong to the visits of a record: whether each lies where it is said to, and is what it was. None is
//! looked at that lies outside the folder of the record or of its job, whatever its name or a link says.

use super::paths::here;
use crate::document::slug_or;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::seam::Files;
use crate::ground::source::sha256;
use crate::ground::span::Located;
use crate::record::attachments::{Attachment, ends_in_folder, is_hidden, leads_out};
use std::collections::BTreeMap;
use std::io;
use std::path::{MAIN_SEPARATOR, Path, PathBuf};

/// Where a file lies, as it was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Lies {
    Here {
        path: PathBuf,
        sum: String,
    },
    /// With the name of a file that lies there and differs by the case of letters alone.
    Missing(Option<String>),
    Unreadable(String),
    /// A part of its path, or of where a link leads, begins with a dot.
    Hidden,
    Outside,
}

/// A file of a visit.
#[derive(Clone, Debug)]
pub struct Attached {
    pub row: Attachment,
    pub lies: Lies,
}

/// How a page shows a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shown {
    /// In its place, and linked.
    Picture,
    /// In its place alone. In an `img` element an SVG runs no script and fetches nothing; opened by itself it may.
    Drawing,
    Linked,
    /// By its name: a browser might take it for a page and run what stands in it.
    Named,
}

/// Endings of files that a browser shows or saves, and does not run.
const LINKED: [&str; 21] = [
    "pdf", "txt", "csv", "tsv", "json", "tif", "tiff", "gif", "webp", "bmp", "heic", "zip", "xls",
    "xlsx", "ods", "doc", "docx", "odt", "cfg", "dat", "cff",
];

/// Folder of a report or a pack that the files are copied into.
pub const FOLDER: &str = "attached";

impl Attached {
    /// Its name as written; empty where there is none.
    pub fn file(&self) -> &str {
        self.row.file.value().map_or("", String::as_str)
    }

    /// The SHA-256 of its bytes, where it lies there.
    pub fn sum(&self) -> Option<&str> {
        match &self.lies {
            Lies::Here { sum, .. } => Some(sum),
            Lies::Missing(_) | Lies::Unreadable(_) | Lies::Hidden | Lies::Outside => None,
        }
    }

    /// Whether it is there and another than the one whose sum is written.
    pub fn is_changed(&self) -> bool {
        let written = !self.row.sha256.is_missing();
        written && self.sum().is_some() && self.row.sum().as_deref() != self.sum()
    }

    /// Its name as a copy beside a page: by its sum, so that no copy is ever another file's. `None` of one that is
    /// not shown.
    pub fn copy(&self) -> Option<String> {
        let sum = self.sum().filter(|_| !self.is_changed())?;
        let name = self.file().rsplit('/').next().unwrap_or("");
        let stem = name.rsplit_once('.').map_or(name, |(stem, _)| stem);
        let stem: String = slug_or(stem, "file").chars().take(40).collect();
        let ending = self.ending();
        let dot = if ending.is_empty() { "" } else { "." };
        Some(format!("{FOLDER}/{stem}-{sum}{dot}{ending}"))
    }

    fn ending(&self) -> String {
        let ending = self
            .file()
            .rsplit_once('.')
            .map_or("", |(_, ending)| ending);
        let is_plain = ending.len() <= 8 && ending.bytes().all(|byte| byte.is_ascii_alphanumeric());
        let ending = if is_plain { ending } else { "" };
        ending.to_ascii_lowercase()
    }

    /// How a page shows it, by its ending.
    pub fn shown(&self) -> Shown {
        match self.ending().as_str() {
            "png" | "jpg" | "jpeg" => Shown::Picture,
            "svg" => Shown::Drawing,
            ending if LINKED.contains(&ending) => Shown::Linked,
            _ => Shown::Named,
        }
    }

    /// How it lies, in words.
    pub fn state(&self) -> &'static str {
        match &self.lies {
            Lies::Here { .. } if self.is_changed() => "changed",
            Lies::Here { .. } if self.row.sha256.is_missing() => "no sum written",
            Lies::Here { .. } => "as written",
            Lies::Missing(_) => "missing",
            Lies::Unreadable(_) => "not readable",
            Lies::Hidden => "hidden",
            Lies::Outside => "outside",
        }
    }

    /// What tells it from every other.
    pub(super) fn stands_on(&self) -> String {
        let sum = self.sum().unwrap_or("none");
        format!("{} {} {sum}", self.file(), self.state())
    }

    /// Its bytes, which have to be those that were seen.
    ///
    /// # Errors
    /// When it cannot be read, or was changed meanwhile.
    pub fn read(&self, files: &dyn Files) -> io::Result<Vec<u8>> {
        let Lies::Here { path, sum } = &self.lies else {
            return Err(io::Error::from(io::ErrorKind::NotFound));
        };
        let bytes = files.read(path)?;
        match sha256(&bytes) == *sum {
            true => Ok(bytes),
            false => {
                let name = path.file_name().unwrap_or_default().to_string_lossy();
                let told = format!(
                    "{} was changed while it was copied",
                    super::shown(Path::new(&*name))
                );
                Err(io::Error::other(told))
            }
        }
    }
}

/// Looks for the files that a record names; `top` is the folder of its job.
pub(super) fn find(
    files: &dyn Files,
    record: &Path,
    top: &Path,
    rows: Vec<Attachment>,
) -> Vec<Attached> {
    let folder = here(record.parent().unwrap_or(Path::new("")));
    let named = rows.into_iter().filter(|row| row.file.value().is_some());
    // One file may stand at many visits; it is read once.
    let mut seen = BTreeMap::new();
    let found = named.map(|row| {
        let name = row.file.value().map_or("", String::as_str);
        let lies = match place(files, folder, top, name) {
            Ok(path) => seen
                .entry(path)
                .or_insert_with_key(|path| read(files, path))
                .clone(),
            Err(lies) => lies,
        };
        Attached { row, lies }
    });
    found.collect()
}

/// Where a file really is, so that no link leads out between look and reading; or why it is not read.
fn place(files: &dyn Files, folder: &Path, top: &Path, name: &str) -> Result<PathBuf, Lies> {
    if leads_out(name) {
        return Err(Lies::Outside);
    }
    if is_hidden(name) {
        return Err(Lies::Hidden);
    }
    if ends_in_folder(name) {
        return Err(Lies::Unreadable("its path names a folder".to_owned()));
    }
    let real = |path: &Path| files.real(path).map_err(|error| not_read(&error));
    let path = real(&folder.join(name))?;
    let Ok(in_job) = path.strip_prefix(top) else {
        return Err(Lies::Outside);
    };
    // A record may lie in a hidden folder itself.
    let below = path.strip_prefix(real(folder)?).unwrap_or(in_job);
    match is_hidden(&below.to_string_lossy().replace(MAIN_SEPARATOR, "/")) {
        true => Err(Lies::Hidden),
        false => Ok(path),
    }
}

fn read(files: &dyn Files, path: &Path) -> Lies {
    match files.read(path) {
        Ok(bytes) => Lies::Here {
            path: path.to_owned(),
            sum: sha256(&bytes),
        },
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            Lies::Missing(in_other_case(files, path))
        }
        Err(error) => not_read(&error),
    }
}

fn not_read(error: &io::Error) -> Lies {
    match error.kind() {
        io::ErrorKind::NotFound => Lies::Missing(None),
        io::ErrorKind::PermissionDenied => Lies::Unreadable("reading it is not allowed".to_owned()),
        _ => Lies::Unreadable(error.to_string()),
    }
}

/// The file in the same folder whose name is this one but for the case of its letters.
fn in_other_case(files: &dyn Files, path: &Path) -> Option<String> {
    let name = path.file_name()?.to_string_lossy().to_lowercase();
    let beside = files.list(path.parent()?).ok()?;
    let mut names = beside.iter().filter_map(|(path, _)| path.file_name());
    let near = names.find(|near| near.to_string_lossy().to_lowercase() == name)?;
    Some(near.to_string_lossy().into_owned())
}

/// Tells what of them is not as it should be.
pub(super) fn tell(all: &[Attached], found: &mut Vec<Diagnostic>) {
    // Named twice with different sums, it was told as that.
    let is_same = |one: &Attached, other: &Attached| {
        one.lies == other.lies && !other.is_changed() && other.row.sum().is_some()
    };
    let other = |one: &Attached| one.is_changed() && all.iter().any(|other| is_same(one, other));
    found.extend(all.iter().filter(|one| !other(one)).filter_map(told));
}

fn told(one: &Attached) -> Option<Diagnostic> {
    let Located { value, span } = one.row.file.get()?;
    match &one.lies {
        Lies::Missing(Some(near)) => {
            let meant = match value.rsplit_once('/') {
                Some((folder, _)) => format!("{folder}/{near}"),
                None => near.clone(),
            };
            let title = "this attached file is not there, and one is whose name differs by the case of letters";
            let told = Code::AttachmentMissing.at(*span, title);
            Some(told.label("no such file").instead(*span, &meant, false))
        }
        Lies::Missing(None) => {
            let help = "put it there, as seen from the folder of the record; a sum that is written stays, and tells whether it is the same";
            let told = Code::AttachmentMissing.at(*span, "this attached file is not there");
            Some(told.label("no such file").help(help))
        }
        Lies::Unreadable(why) => {
            let told = Code::AttachmentMissing
                .at(*span, format!("this attached file cannot be read: {why}"));
            Some(
                told.label("not read")
                    .help("name a file that may be read; a folder is none"),
            )
        }
        // By its words alone it was told with its line.
        Lies::Outside | Lies::Hidden if leads_out(value) || is_hidden(value) => None,
        Lies::Hidden => {
            let told = Code::AttachmentOutside.at(
                *span,
                "a link leads from this attached file to a hidden one",
            );
            Some(
                told.label("not looked at")
                    .help("what is hidden belongs to programs: put the file itself there"),
            )
        }
        Lies::Outside => {
            let told = Code::AttachmentOutside
                .at(*span, "a link leads from this attached file out of the job");
            Some(
                told.label("not looked at")
                    .help("put the file itself there"),
            )
        }
        Lies::Here { sum, .. } => match one.row.sha256.get() {
            None if one.row.sha256.is_missing() => {
                let told = Code::AttachmentUnsummed
                    .at(*span, "no SHA-256 of this attached file is written");
                let help = format!("write {sum} into the column `SHA-256`");
                Some(told.label("may change unseen").help(help))
            }
            // What is no sum was told with its line.
            Some(written) if one.is_changed() && one.row.sum().is_some() => {
                let told = Code::AttachmentChanged
                    .at(written.span, "this attached file is another than it was");
                let help = format!(
                    "written {}, there {sum}: put the file back that the visit had, or write the sum of this one and say why in a `note:`",
                    written.value.to_ascii_lowercase()
                );
                Some(
                    told.label("the sum of another file")
                        .other(*span, "the file")
                        .help(help),
                )
            }
            _ => None,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::seam::{Kind, Memory};
    use crate::ground::source::Source;
    use crate::record;
    use std::sync::atomic::{AtomicUsize, Ordering};

    fn all(files: &dyn Files, rows: &str) -> (Vec<Attached>, Vec<&'static str>) {
        let text = format!(
            "format: 1\n[ct]\nid: A\n[visit 2026-03-14]\n[attachments]\nfile | shows | SHA-256\n{rows}"
        );
        let source = Source::new("a/a.ctr", text.as_bytes()).0;
        let tree = crate::syntax::read(&source, record::is_section).0;
        let rows = record::identity(&source, &tree).attachments;
        let found = find(files, Path::new("a/a.ctr"), Path::new("a"), rows);
        let mut told = Vec::new();
        tell(&found, &mut told);
        (found, told.iter().map(|told| told.code.name()).collect())
    }

    #[test]
    fn a_file_is_shown_where_it_is_what_it_was() {
        let files = Memory::default();
        files.put("a/box.jpg", "box");
        files.put("b.jpg", "secret");
        let sum = sha256(b"box");
        let state = |rows: &str| {
            let (found, told) = all(&files, rows);
            let one = found.first().map(|one| (one.state(), one.copy().is_some()));
            (one, told)
        };
        let upper = sum.to_ascii_uppercase();
        assert_eq!(
            state(&format!("box.jpg | box | {sum}\n")),
            (Some(("as written", true)), vec![])
        );
        assert_eq!(
            state(&format!("box.jpg | box | {upper}\n")),
            (Some(("as written", true)), vec![])
        );
        assert_eq!(
            state("box.jpg | box | -\n"),
            (Some(("no sum written", true)), vec!["attachment-unsummed"])
        );
        let other = sha256(b"other");
        assert_eq!(
            state(&format!("box.jpg | box | {other}\n")),
            (Some(("changed", false)), vec!["attachment-changed"])
        );
        assert_eq!(
            state("no.jpg | box | -\n"),
            (Some(("missing", false)), vec!["attachment-missing"])
        );
        let (found, told) = all(&files, "Box.JPG | box | -\n");
        let near = Lies::Missing(Some("box.jpg".to_owned()));
        assert_eq!(found.first().map(|one| &one.lies), Some(&near));
        assert_eq!(told, ["attachment-missing"]);
        assert_eq!(
            state("../b.jpg | box | -\n"),
            (Some(("outside", false)), vec![])
        );
    }

    #[test]
    fn what_is_hidden_or_a_folder_is_not_read() {
        let files = Memory::default();
        files.put("a/.git/config", "secret");
        files.put("a/box.jpg", "box");
        for (name, state, told) in [
            (".git/config", "hidden", vec![]),
            ("box.jpg/", "not readable", vec!["attachment-missing"]),
            ("box.jpg/.", "not readable", vec!["attachment-missing"]),
        ] {
            let (found, told_of) = all(&files, &format!("{name} | x | -\n"));
            let states: Vec<&str> = found.iter().map(Attached::state).collect();
            assert_eq!((states, told_of), (vec![state], told), "{name}");
        }
    }

    #[test]
    fn a_file_of_many_rows_is_read_once() {
        struct Counted(Memory, AtomicUsize);
        impl Files for Counted {
            fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
                self.1.fetch_add(1, Ordering::Relaxed);
                self.0.read(path)
            }
            fn list(&self, folder: &Path) -> io::Result<Vec<(PathBuf, Kind)>> {
                self.0.list(folder)
            }
            fn is_folder(&self, path: &Path) -> bool {
                self.0.is_folder(path)
            }
            fn exists(&self, path: &Path) -> bool {
                self.0.exists(path)
            }
            fn real(&self, path: &Path) -> io::Result<PathBuf> {
                self.0.real(path)
            }
        }
        let files = Counted(Memory::default(), AtomicUsize::new(0));
        files.0.put("a/box.jpg", "box");
        let (found, _) = all(&files, &"box.jpg | box | -\n".repeat(20));
        let sum = sha256(b"box");
        assert_eq!(found.len(), 20);
        assert!(found.iter().all(|one| one.sum() == Some(&*sum)));
        assert_eq!(files.1.into_inner(), 1);
    }

    #[test]
    fn a_copy_has_a_name_that_says_nothing_but_letters_and_digits() {
        let files = Memory::default();
        let name = "<b> \"x\" Ω.JPG";
        files.put(format!("a/{name}"), "box");
        let (found, _) = all(&files, &format!("{name} | box | -\n"));
        let copy = found.first().and_then(Attached::copy).unwrap_or_default();
        assert!(
            copy.starts_with("attached/") && copy.ends_with(&format!("-{}.jpg", sha256(b"box"))),
            "{copy}"
        );
        assert!(
            copy.chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || "/-.".contains(c)),
            "{copy}"
        );
    }

    #[test]
    fn only_what_a_browser_does_not_run_is_linked() {
        let files = Memory::default();
        let names = ["a.PNG", "a.svg", "a.pdf", "a.html", "a", "a.xml", "a.b/c"];
        let rows: String = names
            .iter()
            .map(|name| format!("{name} | x | -\n"))
            .collect();
        let shown = all(&files, &rows)
            .0
            .iter()
            .map(Attached::shown)
            .collect::<Vec<_>>();
        let named = Shown::Named;
        assert_eq!(
            shown,
            [
                Shown::Picture,
                Shown::Drawing,
                Shown::Linked,
                named,
                named,
                named,
                named
            ]
        );
    }
}
