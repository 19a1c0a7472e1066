//! Paths to compiled records: finds the files, their `instruments.toml` and `criteria.toml` by walking
//! up, reads and assesses every record. One broken record never stops the others.

use crate::ground::diagnostic::{Code, Diagnostic, sort};
use crate::ground::seam::Files;
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::judge::{Assessment, assess};
use crate::record::criteria::{self, Criteria};
use crate::record::instruments::{self, Instruments};
use crate::record::{self, Record, check, like};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The ending of a record's file name.
pub const ENDING: &str = "ctr";

/// The configuration that holds for a folder.
#[derive(Clone, Debug, Default)]
pub struct Setting {
    pub instruments: Option<Arc<Instruments>>,
    pub criteria: Arc<Criteria>,
}

/// A text with what is to be said about it: a record or a configuration file.
#[derive(Debug)]
pub struct Told {
    pub source: Source,
    pub diagnostics: Vec<Diagnostic>,
}

/// One compiled record.
#[derive(Debug)]
pub struct Unit {
    pub path: PathBuf,
    pub source: Source,
    pub record: Record,
    pub diagnostics: Vec<Diagnostic>,
    pub setting: Setting,
    pub assessment: Assessment,
}

impl Unit {
    /// Whether everything in it could be read.
    pub fn is_complete(&self) -> bool {
        !self.diagnostics.iter().any(Diagnostic::is_error)
    }
}

/// Everything gathered from some paths.
#[derive(Debug, Default)]
pub struct Gathered {
    /// In the order of their paths.
    pub units: Vec<Unit>,
    /// Configuration files with something to say, and files that could not be read.
    pub others: Vec<Told>,
}

/// Finds record files under the given paths: files as they are, folders through all their levels.
/// Links are not followed. What cannot be listed comes back as told.
pub fn find(files: &dyn Files, paths: &[PathBuf]) -> (Vec<PathBuf>, Vec<Told>) {
    let (mut found, mut told) = (Vec::new(), Vec::new());
    for path in paths {
        if files.is_folder(path) {
            walk(files, path, 0, &mut found, &mut told);
        } else {
            found.push(path.clone());
        }
    }
    found.sort();
    found.dedup();
    if let (true, true, Some(first)) = (found.is_empty(), told.is_empty(), paths.first()) {
        told.push(empty(first));
    }
    (found, told)
}

fn empty(path: &Path) -> Told {
    let (source, _) = Source::new(&shown(path), b"");
    let told = Diagnostic::new(Code::PackEmpty, Span::default(), "there is no record here")
        .help("the names of records end in .ctr");
    Told {
        source,
        diagnostics: vec![told],
    }
}

/// Deepest nesting of folders that is searched.
const DEEPEST: usize = 32;

fn walk(
    files: &dyn Files,
    folder: &Path,
    depth: usize,
    found: &mut Vec<PathBuf>,
    told: &mut Vec<Told>,
) {
    let entries = match files.list(folder) {
        Ok(entries) => entries,
        Err(error) => {
            told.push(unreadable(folder, &error));
            return;
        }
    };
    for (path, is_folder) in entries {
        let hidden = path
            .file_name()
            .is_some_and(|name| name.to_string_lossy().starts_with('.'));
        if is_folder && !hidden && depth < DEEPEST {
            walk(files, &path, depth + 1, found, told);
        } else if !is_folder && path.extension().is_some_and(|ending| ending == ENDING) {
            found.push(path);
        }
    }
}

/// A path as messages show it.
pub fn shown(path: &Path) -> String {
    let text = path.to_string_lossy().replace('\\', "/");
    text.strip_prefix("./").map(str::to_owned).unwrap_or(text)
}

/// A file that could not be read, as something told about an empty text.
pub fn unreadable(path: &Path, error: &std::io::Error) -> Told {
    let (source, _) = Source::new(&shown(path), b"");
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
    Told {
        source,
        diagnostics: vec![told],
    }
}

/// Reads and assesses every record under the given paths.
pub fn gather(files: &dyn Files, paths: &[PathBuf]) -> Gathered {
    gather_under(files, paths, Path::new(""), &|_| ())
}

/// The same, with names shown as seen from `root` (so that a pack has the same bytes from wherever it
/// is built), and with a hand on each record before it is assessed.
pub fn gather_under(
    files: &dyn Files,
    paths: &[PathBuf],
    root: &Path,
    prepare: &dyn Fn(&mut Record),
) -> Gathered {
    let (found, mut others) = find(files, paths);
    let mut settings = Settings {
        files,
        known: BTreeMap::new(),
        told: Vec::new(),
        read: BTreeMap::new(),
    };
    let mut read = Vec::new();
    for path in found {
        match files.read(&path) {
            Ok(bytes) => {
                let setting = settings.of(path.parent().unwrap_or(Path::new("")));
                read.push((path, bytes, setting));
            }
            Err(error) => others.push(unreadable(&path, &error)),
        }
    }
    others.append(&mut settings.told);
    let mut units: Vec<(PathBuf, Source, Record, Vec<Diagnostic>, Setting)> = Vec::new();
    for (path, bytes, setting) in read {
        let (source, mut found) =
            Source::new(&shown(path.strip_prefix(root).unwrap_or(&path)), &bytes);
        let (record, mut more) = record::read(&source, &[]);
        found.append(&mut more);
        units.push((path, source, record, found, setting));
    }
    let neighbours = neighbours(files, &units);
    let plates: Vec<Record> = units
        .iter()
        .map(|unit| unit.2.clone())
        .chain(neighbours)
        .collect();
    let by_reference: Vec<&Record> = plates.iter().collect();
    let units = units
        .into_iter()
        .map(|unit| compile(unit, &by_reference, prepare))
        .collect();
    let mut gathered = Gathered { units, others };
    duplicate_ids(&mut gathered.units);
    gathered
}

fn compile(
    (path, source, mut record, mut found, setting): (
        PathBuf,
        Source,
        Record,
        Vec<Diagnostic>,
        Setting,
    ),
    plates: &[&Record],
    prepare: &dyn Fn(&mut Record),
) -> Unit {
    if like::is_needed(&record) {
        // Only now is the named plate at hand, and with it the terminals that the tests speak of.
        (record, found) = record::read(&source, plates);
    }
    prepare(&mut record);
    if !source.refused {
        check::against_instruments(&record, setting.instruments.as_deref(), &mut found);
    }
    sort(&mut found);
    let assessment = assess(&record, setting.instruments.as_deref(), &setting.criteria);
    Unit {
        path,
        source,
        record,
        diagnostics: found,
        setting,
        assessment,
    }
}

/// Records beside the given ones, read only when a `like:` asks for a unit that is not among them.
fn neighbours(
    files: &dyn Files,
    units: &[(PathBuf, Source, Record, Vec<Diagnostic>, Setting)],
) -> Vec<Record> {
    let known: Vec<&String> = units
        .iter()
        .filter_map(|unit| unit.2.plate.id.value())
        .collect();
    let asked = |record: &Record| {
        record
            .cores
            .iter()
            .any(|core| core.like.value().is_some_and(|id| !known.contains(&id)))
    };
    let mut folders: Vec<&Path> = units
        .iter()
        .filter(|unit| asked(&unit.2))
        .filter_map(|unit| unit.0.parent())
        .collect();
    folders.sort_unstable();
    folders.dedup();
    let mut found = Vec::new();
    for folder in folders {
        let folder = if folder.as_os_str().is_empty() {
            Path::new(".")
        } else {
            folder
        };
        for (path, is_folder) in files.list(folder).unwrap_or_default() {
            let record_file = !is_folder && path.extension().is_some_and(|ending| ending == ENDING);
            let given = units
                .iter()
                .any(|unit| files.resolve(&unit.0) == files.resolve(&path));
            if let (true, false, Ok(bytes)) = (record_file, given, files.read(&path)) {
                found.push(record::read(&Source::new(&shown(&path), &bytes).0, &[]).0);
            }
        }
    }
    found
}

fn duplicate_ids(units: &mut [Unit]) {
    let mut first: BTreeMap<String, String> = BTreeMap::new();
    for unit in units {
        let Some(id) = unit.record.plate.id.get().cloned() else {
            continue;
        };
        let at = format!("{}:{}", unit.source.name, unit.source.line(id.span.start));
        match first.get(&id.value) {
            None => {
                first.insert(id.value, at);
            }
            Some(other) => {
                let told = Diagnostic::new(
                    Code::IdDuplicate,
                    id.span,
                    format!("another record has the id `{}`", id.value),
                )
                .label(format!("also at {other}"))
                .help(
                    "one file holds one CT for its whole life; join the records, or correct the id",
                );
                unit.diagnostics.push(told);
                sort(&mut unit.diagnostics);
            }
        }
    }
}

struct Settings<'a> {
    files: &'a dyn Files,
    known: BTreeMap<PathBuf, Setting>,
    told: Vec<Told>,
    /// Each configuration file is read once.
    read: BTreeMap<PathBuf, Setting>,
}

impl Settings<'_> {
    /// The nearest configuration files at or above a folder.
    fn of(&mut self, folder: &Path) -> Setting {
        if let Some(setting) = self.known.get(folder) {
            return setting.clone();
        }
        let absolute = self.files.resolve(if folder.as_os_str().is_empty() {
            Path::new(".")
        } else {
            folder
        });
        let mut setting = Setting::default();
        if let Some(path) = self.nearest(&absolute, "instruments.toml") {
            setting.instruments = self
                .read_once(&path, |text, setting| {
                    let (instruments, told) = instruments::read(text);
                    setting.instruments = Some(Arc::new(instruments));
                    told
                })
                .instruments;
        }
        if let Some(path) = self.nearest(&absolute, "criteria.toml") {
            setting.criteria = self
                .read_once(&path, |text, setting| {
                    let (criteria, told) = criteria::read(text);
                    setting.criteria = Arc::new(criteria);
                    told
                })
                .criteria;
        }
        self.known.insert(folder.to_owned(), setting.clone());
        setting
    }

    fn nearest(&self, folder: &Path, name: &str) -> Option<PathBuf> {
        folder
            .ancestors()
            .map(|above| above.join(name))
            .find(|path| self.files.exists(path))
    }

    fn read_once(
        &mut self,
        path: &Path,
        read: impl Fn(&Source, &mut Setting) -> Vec<Diagnostic>,
    ) -> Setting {
        if let Some(setting) = self.read.get(path) {
            return setting.clone();
        }
        let mut setting = Setting::default();
        match self.files.read(path) {
            Ok(bytes) => {
                // The name alone: where the file lies on this machine is nobody's business.
                let name = path
                    .file_name()
                    .map(|name| name.to_string_lossy().into_owned())
                    .unwrap_or_default();
                let (source, mut told) = Source::new(&name, &bytes);
                if !source.refused {
                    told.append(&mut read(&source, &mut setting));
                }
                if !told.is_empty() {
                    self.told.push(Told {
                        source,
                        diagnostics: told,
                    });
                }
            }
            Err(error) => self.told.push(unreadable(path, &error)),
        }
        self.read.insert(path.to_owned(), setting.clone());
        setting
    }
}
