//! The client's own templates: files below one folder, each in place of the built-in one of its name.

use super::config::Config;
use super::select;
use crate::document::{TemplateFault, Templates};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::Files;
use crate::record::config::fault;
use std::collections::BTreeMap;
use std::path::Path;

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
    /// The cover.
    Cover,
    /// Nothing: no template has this name.
    Nothing,
}

impl Own {
    /// The first fault of templates of a use.
    pub fn fault(&self, of: Use) -> Option<&TemplateFault> {
        self.faults.iter().find(|fault| used_for(&fault.file) == of)
    }
}

/// What a template of this name is used for.
pub fn used_for(name: &str) -> Use {
    match name {
        "pack.md" | "pack.css" => Use::Cover,
        "ct.md" => Use::Ct,
        "page.html" | "style.css" => Use::Page,
        _ => Use::Nothing,
    }
}

/// Reads the folder that pack.toml names; without one, the built-in templates.
pub fn read(files: &dyn Files, folder: &Path, config: &Config, told: &mut Vec<Diagnostic>) -> Own {
    let mut texts = BTreeMap::new();
    if let Some(own) = &config.templates {
        match select::path(files, folder, own) {
            Ok(path) if files.is_folder(&path) => {
                collect(files, &path, "", &mut texts, &mut |name, error| {
                    told.push(fault(
                        own.span,
                        format!("the template {name} cannot be read: {error}"),
                        "save it as UTF-8 text",
                    ));
                })
            }
            Ok(_) => told.push(fault(
                own.span,
                format!("there is no folder `{}`", own.value),
                "write the path as seen from pack.toml",
            )),
            Err(outside) => told.push(*outside),
        }
    }
    let mut faults = Vec::new();
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

/// Text files of the folder and the folders in it, by their names as seen from it.
fn collect(
    files: &dyn Files,
    folder: &Path,
    prefix: &str,
    texts: &mut BTreeMap<String, String>,
    refuse: &mut dyn FnMut(&str, String),
) {
    for (path, is_folder) in files.list(folder).unwrap_or_default() {
        let Some(file) = path
            .file_name()
            .map(|name| name.to_string_lossy().into_owned())
        else {
            continue;
        };
        let name = format!("{prefix}{file}");
        if file.starts_with('.') {
            continue;
        }
        if is_folder {
            if prefix.is_empty() {
                collect(files, &path, &format!("{name}/"), texts, refuse);
            }
            continue;
        }
        // Files that are no templates may lie there: a picture, a note of the client's.
        if ![".md", ".html", ".css"]
            .iter()
            .any(|ending| name.ends_with(ending))
        {
            continue;
        }
        match files
            .read(&path)
            .map_err(|error| error.to_string())
            .and_then(|bytes| String::from_utf8(bytes).map_err(|e| e.to_string()))
        {
            Ok(text) => drop(texts.insert(name, text)),
            Err(error) => refuse(&name, error),
        }
    }
}
