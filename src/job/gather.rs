//! The text of a record, with what holds in its folder.

use super::Diagnosed;
use super::paths::{shown, unreadable};
use super::setting::Setting;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::Files;
use crate::ground::source::Source;
use crate::record::Record;
use crate::record::jobs::Jobs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A hand on each record before it is derived, with what it has to say.
pub type Prepare = dyn Fn(&mut Record, &mut Vec<Diagnostic>) + Send + Sync;

/// How a job looks at its records.
#[derive(Clone)]
pub struct Terms {
    /// Names are shown as seen from here, so that a pack has the same bytes from wherever it is built.
    pub root: PathBuf,
    /// The folder of the job and what its visits take over, where that is not to be looked for: what holds below it
    /// lies there.
    pub job: Option<(PathBuf, Arc<Jobs>)>,
    pub prepare: Arc<Prepare>,
}

impl Default for Terms {
    fn default() -> Self {
        Self {
            root: PathBuf::new(),
            job: None,
            prepare: Arc::new(|_, _| ()),
        }
    }
}

/// A record file that was read, before its lines are.
#[derive(Clone, Debug)]
pub(super) struct Text {
    pub path: PathBuf,
    pub source: Source,
    pub diagnostics: Vec<Diagnostic>,
    pub setting: Setting,
}

impl Text {
    /// Reads a record file; says what could not be read.
    pub(super) fn read(
        files: &dyn Files,
        path: &Path,
        root: &Path,
        setting: Setting,
    ) -> Result<Self, Box<Diagnosed>> {
        let bytes = files
            .read(path)
            .map_err(|error| Box::new(unreadable(path, &error)))?;
        let name = shown(path.strip_prefix(root).unwrap_or(path));
        let (source, diagnostics) = Source::new(&name, &bytes);
        Ok(Self {
            path: path.to_owned(),
            source,
            diagnostics,
            setting,
        })
    }
}
