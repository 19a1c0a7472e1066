//! A text and its page, written into a folder: both, or nothing when a file there is not ours or of another CT.

use crate::document::{Paper, is_ours};
use crate::ground::seam::Files;
use crate::ground::source::sha256;
use crate::ground::stage::{Stage, is_link};
use crate::job::{Attached, Basis, FOLDER, RECORD, shown};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Where to, and how it is printed.
#[derive(clap::Args)]
pub struct Sheet {
    /// Folder to write the Markdown text and the HTML page into
    #[arg(short, long, value_name = "FOLDER", default_value = ".")]
    pub out: PathBuf,
    /// Sheet to print on
    #[arg(long, value_enum, ignore_case = true, default_value_t = Paper::A4)]
    pub paper: Paper,
}

impl Sheet {
    /// Writes both files; gives their paths, one a line.
    ///
    /// # Errors
    /// A sentence for people: what is in the way, or what cannot be written.
    pub fn write(
        &self,
        files: &dyn Files,
        slug: &str,
        markdown: &str,
        html: &str,
        beside: &[&Attached],
    ) -> Result<String, String> {
        // A folder cannot lie where a file is, nor within one.
        let is_file = |path: &&Path| files.exists(path) && !files.is_folder(path);
        if let Some(file) = self.out.ancestors().find(is_file) {
            return Err(format!(
                "not written: -o names the folder to write into, and {} is a file; name a folder, such as -o out",
                shown(file)
            ));
        }
        let both = [("md", markdown), ("html", html)];
        let both = both.map(|(ending, text)| (format!("{slug}.{ending}"), text));
        for (name, text) in &both {
            let path = self.out.join(name);
            if files.exists(&path) || is_link(&path) {
                let old = files.read(&path).unwrap_or_default();
                free(&shown(&path), &old, text)?;
            }
        }
        let copies = self.copies(files, beside)?;
        let put = || {
            let stage = Stage::within(&self.out)?;
            if !copies.is_empty() {
                stage.folder(Path::new(FOLDER))?;
            }
            for (name, one) in &copies {
                stage.put(Path::new(name), &one.read(files)?)?;
            }
            for (name, text) in &both {
                stage.put(Path::new(name), text.as_bytes())?;
            }
            let pages = both.iter().map(|(name, _)| name.as_str());
            let all: Vec<&str> = copies.keys().map(String::as_str).chain(pages).collect();
            stage.put_among(&all)
        };
        put().map_err(|error| format!("not written: {}: {error}", shown(&self.out)))?;
        let paths = both
            .iter()
            .map(|(name, _)| shown(&self.out.join(name)) + "\n");
        let paths = copies
            .keys()
            .map(|name| shown(&self.out.join(name)) + "\n")
            .chain(paths);
        Ok(paths.collect())
    }

    /// The files that have to be copied, by their names below the folder: what lies there already is not.
    fn copies<'f>(
        &self,
        files: &dyn Files,
        beside: &[&'f Attached],
    ) -> Result<BTreeMap<String, &'f Attached>, String> {
        let mut copies = BTreeMap::new();
        let folder = self.out.join(FOLDER);
        for one in beside {
            let Some(name) = one.copy() else { continue };
            let path = self.out.join(&name);
            let there = files.read(&path).ok().map(|bytes| sha256(&bytes));
            let odd = [&folder, &path].into_iter().find(|path| is_link(path));
            let odd =
                odd.or((files.exists(&path) && there.as_deref() != one.sum()).then_some(&path));
            if let Some(odd) = odd {
                return Err(format!(
                    "not written: {} is there already, and is not the file of the visit; move it, or choose another folder with -o",
                    shown(odd)
                ));
            }
            if there.is_none() {
                copies.insert(name, *one);
            }
        }
        Ok(copies)
    }
}

/// Whether a text may stand where an older one does: two ids may give one name of a file.
fn free(name: &str, old: &[u8], new: &str) -> Result<(), String> {
    if !is_ours(old) {
        return Err(format!(
            "not written: {name} is there already, and kneemark did not write it; move it, or choose another folder with -o"
        ));
    }
    let old = String::from_utf8_lossy(old);
    let (there, own) = (Owner::of(&old), Owner::of(new));
    if there != own {
        return Err(format!(
            "not written: {name} is there already, of {there} and not of {own}; move it, or choose another folder with -o"
        ));
    }
    Ok(())
}

/// Whose file it is.
#[derive(PartialEq, Eq)]
struct Owner<'t> {
    /// Its id, as the heading ends with it.
    id: &'t str,
    /// The file of its record; a worksheet does not say it.
    record: Option<String>,
}

impl<'t> Owner<'t> {
    fn of(text: &'t str) -> Self {
        let title = text
            .split_once("<title>")
            .and_then(|(_, rest)| rest.split_once("</title>"));
        let heading = || text.lines().find_map(|line| line.strip_prefix("# "));
        let heading = title
            .map(|(title, _)| title)
            .or_else(heading)
            .unwrap_or_default();
        let basis = Basis::joined(&Basis::all_in(text));
        Self {
            id: heading.rsplit(" \u{b7} ").next().unwrap_or_default(),
            record: basis.part(RECORD).map(|part| part.name.clone()),
        }
    }
}

impl std::fmt::Display for Owner<'_> {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // As the record has it, not as Markdown does.
        let mut escaped = false;
        let id = self.id.chars().filter(|c| {
            escaped = *c == '\\' && !escaped;
            !escaped
        });
        let id = id.collect::<String>();
        let id = id.strip_prefix("Worksheet: ").unwrap_or(&id);
        write!(out, "`{id}`")?;
        match &self.record {
            Some(record) => write!(out, " ({record})"),
            None => Ok(()),
        }
    }
}
