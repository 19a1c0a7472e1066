//! The folder that an archive is written to: a new one, an empty one, or one that holds an archive and nothing else.

use super::folders;
use crate::archive::columns::tables;
use crate::ground::seam::{Disk, Files as _};
use crate::ground::stage::{Stage, Standing, everything, is_link, is_stood_in};
use crate::job::{here, shown};
use std::io;
use std::path::{Path, PathBuf};

/// Where an archive is being made.
pub struct Target {
    out: PathBuf,
    pub stage: Stage,
}

impl Target {
    /// # Errors
    /// A sentence for people: what is in the way.
    pub fn open(out: &Path) -> Result<Self, String> {
        let place = Disk.resolve(here(out));
        let name = shown(out);
        if Disk.exists(&place) && !Disk.is_folder(&place) {
            return Err(format!(
                "not written: {name} is a file; name a folder with --to"
            ));
        }
        if !Disk.exists(&place) && is_link(out) {
            return Err(format!("not written: {name} is a link that leads nowhere"));
        }
        if is_stood_in(&place) {
            return Err(format!(
                "not written: {name} is the folder that you stand in, and is replaced as a whole; name another one with --to"
            ));
        }
        let target = |stage| Self {
            out: out.to_owned(),
            stage,
        };
        let stage = Stage::for_folder(&place).map_err(|error| cannot(out, &error))?;
        match strange(&place).map_err(|error| cannot(out, &error))? {
            None => Ok(target(stage)),
            Some(other) => Err(format!(
                "not written: {name} is replaced as a whole, and {} there is no file of an archive that this program writes; name another folder with --to",
                shown(&other)
            )),
        }
    }

    /// Why it could not be made.
    #[must_use]
    pub fn failed(&self, error: &io::Error) -> String {
        cannot(&self.out, error)
    }

    /// Puts the archive in its place; gives what somebody put there meanwhile, which is kept.
    ///
    /// # Errors
    /// A sentence for people. The folder stands as it was.
    pub fn finish(self) -> Result<Vec<PathBuf>, String> {
        let Self { out, stage } = self;
        let put = || {
            let _held = stage.alone()?;
            stage.replace(|name, _| is_ours(name))
        };
        put().map_err(|error| cannot(&out, &error))
    }
}

fn cannot(out: &Path, error: &io::Error) -> String {
    format!("not written: {}: {error}", shown(out))
}

/// A file in a folder that no archive has, or that another program wrote.
fn strange(place: &Path) -> io::Result<Option<PathBuf>> {
    for (name, standing) in everything(place)? {
        let is_ours = match standing {
            Standing::Folder => true,
            Standing::File(_) => is_ours(&name) && is_written_here(&place.join(&name))?,
            Standing::Other => false,
        };
        if !is_ours {
            return Ok(Some(name));
        }
    }
    Ok(None)
}

/// Whether a path below the folder is one that an archive has.
fn is_ours(name: &Path) -> bool {
    let parts: Vec<&str> = name.iter().filter_map(|part| part.to_str()).collect();
    let mut names = tables().into_iter().map(|table| table.name);
    match parts.as_slice() {
        ["archive.sqlite"] => true,
        [sheet] => names.any(|own| sheet.strip_suffix(".csv") == Some(own)),
        [table, site, part] => {
            let is_part = part.starts_with("part-") && part.ends_with(".parquet");
            names.any(|own| own == *table) && folders::is_one(site) && is_part
        }
        _ => false,
    }
}

/// Whether a file holds what is written here, and not what another program puts into a file of such a name. A build
/// knows the formats that it writes.
fn is_written_here(path: &Path) -> io::Result<bool> {
    match path.extension().and_then(|ending| ending.to_str()) {
        Some("csv") => super::csv::is_ours(path),
        #[cfg(feature = "archive")]
        Some("parquet") => Ok(super::parquet::is_ours(path)),
        #[cfg(feature = "archive")]
        Some("sqlite") => super::sqlite::is_ours(path),
        _ => Ok(false),
    }
}
