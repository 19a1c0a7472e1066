//! The texts of a job, each with what holds in its folder.

use super::Diagnosed;
use super::paths::{find, shown, unreadable};
use super::setting::{Setting, Settings};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::Files;
use crate::ground::source::Source;
use crate::record::Record;
use std::path::{Path, PathBuf};

/// How a job looks at its records.
#[derive(Clone, Copy)]
pub struct Terms<'a> {
    /// Names are shown as seen from here, so that a pack has the same bytes from wherever it is built.
    pub root: &'a Path,
    /// A hand on each record before it is checked and derived.
    pub prepare: &'a (dyn Fn(&mut Record) + Sync),
}

impl Default for Terms<'_> {
    fn default() -> Self {
        Self {
            root: Path::new(""),
            prepare: &|_| (),
        }
    }
}

/// A record file that was read, before its lines are.
#[derive(Debug)]
pub struct Text {
    pub path: PathBuf,
    pub source: Source,
    pub diagnostics: Vec<Diagnostic>,
    pub setting: Setting,
}

/// Reads every record file under the paths; what cannot be read comes back beside them, and so do
/// configuration files with something to say.
pub fn gather(files: &dyn Files, paths: &[PathBuf], root: &Path) -> (Vec<Text>, Vec<Diagnosed>) {
    let (found, mut others) = find(files, paths);
    let mut settings = Settings::new(files);
    let mut texts = Vec::new();
    for path in found {
        match files.read(&path) {
            Ok(bytes) => {
                let name = shown(path.strip_prefix(root).unwrap_or(&path));
                let (source, diagnostics) = Source::new(&name, &bytes);
                let setting = settings.of(path.parent().unwrap_or(Path::new("")));
                texts.push(Text {
                    path,
                    source,
                    diagnostics,
                    setting,
                });
            }
            Err(error) => others.push(unreadable(&path, &error)),
        }
    }
    others.append(&mut settings.others);
    (texts, others)
}
