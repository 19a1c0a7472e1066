//! The client's own templates: files below one folder, each in place of the built-in one of its name.

use super::config::Config;
use super::select;
use crate::document::{TemplateFault, Templates, stranger};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::{Files, Kind};
use crate::ground::source::sha256;
use crate::job::{Basis, shown};
use crate::record::config::fault;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// All templates of a pack.
#[derive(Debug)]
pub struct Own {
    pub templates: Templates,
    /// Those that cannot be used. The pages made from them say so.
    pub faults: Vec<TemplateFault>,
}

/// What a template is used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Use {
    /// Every page.
    Page,
    /// The reports of the CTs.
    Ct,
    /// The pages of the bays.
    Bay,
    /// The cover.
    Cover,
    /// Nothing: no template has this name.
    Nothing,
}

impl Own {
    /// The templates, unless one of this use cannot be used.
    ///
    /// # Errors
    /// The first fault of them.
    pub fn usable(&self, of: Use) -> Result<&Templates, TemplateFault> {
        let mut faults = self.faults.iter();
        match faults.find(|fault| used_for(&fault.file) == of) {
            Some(fault) => Err(fault.clone()),
            None => Ok(&self.templates),
        }
    }
}

/// What a template of this name is used for.
pub fn used_for(name: &str) -> Use {
    match name {
        "pack.md" | "pack.css" => Use::Cover,
        "ct.md" => Use::Ct,
        "bay.md" => Use::Bay,
        "page.html" | "style.css" => Use::Page,
        _ => Use::Nothing,
    }
}

/// Reads the folder that pack.toml names; without one, the built-in templates.
pub fn read(
    files: &dyn Files,
    folder: &Path,
    config: &Config,
    told: &mut Vec<Diagnostic>,
    basis: &mut Basis,
) -> Own {
    let (mut texts, mut faults) = (BTreeMap::new(), Vec::new());
    if let Some(own) = &config.templates {
        match select::path(files, folder, own) {
            Ok(path) if files.is_folder(&path) => {
                for (name, path, kind) in collect(files, &path) {
                    // What no template is called is not read.
                    if !Templates::is_one(&name) {
                        faults.push(stranger(&name));
                        continue;
                    }
                    if kind == Kind::Link {
                        told.push(fault(
                            own.span,
                            format!("the template {name} is a link, and links are not followed"),
                            "put the file itself there",
                        ));
                        continue;
                    }
                    let bytes = files.read(&path).map_err(|error| error.to_string());
                    let text = bytes.and_then(|bytes| {
                        String::from_utf8(bytes).map_err(|error| error.to_string())
                    });
                    match text {
                        Ok(text) => {
                            basis.add("template", &name, &sha256(text.as_bytes()));
                            texts.insert(name, text);
                        }
                        Err(error) => told.push(fault(
                            own.span,
                            format!("the template {name} cannot be read: {error}"),
                            "save it as UTF-8 text",
                        )),
                    }
                }
            }
            Ok(_) => told.push(fault(
                own.span,
                format!("there is no folder `{}`", own.value),
                "write the path as seen from pack.toml",
            )),
            Err(outside) => told.push(*outside),
        }
    }
    let templates = loop {
        match Templates::with(texts.clone()) {
            Ok(templates) => break templates,
            Err(fault) => {
                let known = texts.remove(&fault.file).is_some();
                faults.push(fault);
                if !known {
                    // A fault that no file of the client's explains: nothing is left to leave out.
                    break Templates::built_in();
                }
            }
        }
    };
    Own { templates, faults }
}

/// Text files of the folder and the folders in it, by their names as seen from it, with their paths. Files that are
/// no templates may lie there too: a picture, a note of the client's.
fn collect(files: &dyn Files, folder: &Path) -> Vec<(String, PathBuf, Kind)> {
    let list = |folder: &Path| {
        let mut found = files.list(folder).unwrap_or_default();
        found.retain(|(path, _)| !name(path).starts_with('.'));
        found
    };
    let all = list(folder)
        .into_iter()
        .flat_map(|(path, kind)| match kind {
            Kind::Folder => list(&path),
            kind => vec![(path, kind)],
        });
    let is_text = |(path, kind): &(PathBuf, Kind)| {
        let ending = path.extension().unwrap_or_default();
        *kind != Kind::Folder && ["md", "html", "css"].iter().any(|known| ending == *known)
    };
    let named = |(path, kind): (PathBuf, Kind)| {
        (
            shown(path.strip_prefix(folder).unwrap_or(&path)),
            path,
            kind,
        )
    };
    all.filter(is_text).map(named).collect()
}

fn name(path: &Path) -> std::borrow::Cow<'_, str> {
    path.file_name().unwrap_or_default().to_string_lossy()
}
