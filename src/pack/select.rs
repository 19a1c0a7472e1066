//! The records that a pack's patterns name. Nothing outside the pack's folder is ever reached, by
//! `..`, by an absolute path or through a link.

use super::config::Config;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::seam::Files;
use crate::ground::span::Located;
use crate::job::{Diagnosed, find, here, shown};
use crate::record::config::fault;
use glob::{MatchOptions, Pattern};
use std::collections::BTreeMap;
use std::path::{Component, Path, PathBuf};

/// Patterns of a pack.
pub const MOST_PATTERNS: usize = 1000;
/// Bytes of one.
pub const LONGEST_PATTERN: usize = 1000;
/// Stars in one, `**` counted once: what matching costs grows with each.
pub const MOST_STARS: usize = 16;

/// Files that the patterns match, sorted and each once; with what is to be said about the patterns.
pub fn records(
    files: &dyn Files,
    folder: &Path,
    config: &Config,
) -> (Vec<PathBuf>, Vec<Diagnostic>, Vec<Diagnosed>) {
    let (mut found, mut told, mut others) = (Vec::new(), Vec::new(), Vec::new());
    if let Some(beyond) = config.records.get(MOST_PATTERNS) {
        let count = config.records.len();
        let title =
            format!("{count} patterns; a pack takes {MOST_PATTERNS}, and the rest is not read");
        let help = "write patterns with * and **: \"site/**/*.ctr\"";
        told.push(fault(beyond.span, title, help));
    }
    // Several patterns search one folder.
    let mut searched = BTreeMap::new();
    for pattern in config.records.iter().take(MOST_PATTERNS) {
        match matcher(pattern).and_then(|matcher| Ok((matcher, base(files, folder, pattern)?))) {
            Ok((matcher, base)) => {
                let under = searched.entry(base).or_insert_with_key(|base| {
                    let (found, mut unlisted) = under(files, folder, base);
                    others.append(&mut unlisted);
                    found
                });
                let matching = under.iter();
                let matching = matching.filter(|(name, _)| matcher.matches_with(name, BY_FOLDER));
                let before = found.len();
                found.extend(matching.map(|(_, path)| path.clone()));
                if found.len() == before {
                    told.push(empty(pattern));
                }
            }
            Err(fault) => told.push(*fault),
        }
    }
    found.sort();
    found.dedup();
    (found, told, others)
}

fn matcher(pattern: &Located<String>) -> Result<Pattern, Box<Diagnostic>> {
    inside(pattern)?;
    let stars = pattern
        .value
        .split(|c| c != '*')
        .filter(|run| !run.is_empty())
        .count();
    if pattern.value.len() > LONGEST_PATTERN || stars > MOST_STARS {
        let title = format!("a pattern has {LONGEST_PATTERN} bytes and {MOST_STARS} stars at most");
        let help = "write a path with * for any name and ** for any folders: \"site/**/*.ctr\"";
        return Err(Box::new(fault(pattern.span, title, help)));
    }
    Pattern::new(from_here(&pattern.value)).map_err(|error| {
        let (written, why) = (&pattern.value, error.msg);
        let title = format!("the pattern `{written}` cannot be read: {why}");
        let help = "write a path with * for any name and ** for any folders: \"site/**/*.ctr\"";
        Box::new(fault(pattern.span, title, help))
    })
}

/// A path without the `./` that says no more than it.
fn from_here(mut path: &str) -> &str {
    while let Some(rest) = path.strip_prefix("./") {
        path = rest;
    }
    path
}

/// `*` stays in one folder.
const BY_FOLDER: MatchOptions = MatchOptions {
    case_sensitive: true,
    require_literal_separator: true,
    require_literal_leading_dot: false,
};

/// Refuses what leads out of the folder by its words alone.
pub fn inside(path: &Located<String>) -> Result<(), Box<Diagnostic>> {
    let drive = path.value.as_bytes().get(1) == Some(&b':');
    let outward = |part| !matches!(part, Component::Normal(_) | Component::CurDir);
    let outward = Path::new(&path.value).components().any(outward);
    if outward || drive || path.value.contains('\\') || path.value.is_empty() {
        let title = format!("`{}` leads outside the folder of pack.toml", path.value);
        let help = "everything of a pack lies below its pack.toml; write the path from there with forward slashes, without ..";
        return Err(Box::new(fault(path.span, title, help)));
    }
    Ok(())
}

/// A path of the pack, made sure of: also its links stay inside.
pub fn path(
    files: &dyn Files,
    folder: &Path,
    path: &Located<String>,
) -> Result<PathBuf, Box<Diagnostic>> {
    inside(path)?;
    let joined = folder.join(&path.value);
    let (real, root) = (files.resolve(&joined), files.resolve(here(folder)));
    if real.starts_with(&root) {
        return Ok(joined);
    }
    let written = &path.value;
    let title = format!("`{written}` is a link that leads outside the folder of pack.toml");
    let help = "put the file itself into the pack's folder";
    Err(Box::new(fault(path.span, title, help)))
}

/// The folder above which the pattern cannot match: only that is searched.
fn base(
    files: &dyn Files,
    folder: &Path,
    pattern: &Located<String>,
) -> Result<PathBuf, Box<Diagnostic>> {
    let special = |part: &&str| part.contains(['*', '?', '[']);
    let literal: Vec<&str> = pattern
        .value
        .split('/')
        .take_while(|part| !special(part))
        .filter(|part| *part != ".")
        .collect();
    if literal.is_empty() {
        return Ok(folder.to_owned());
    }
    let literal = Located::new(literal.join("/"), pattern.span);
    path(files, folder, &literal)
}

/// The records below a folder, each with its path from the pack's folder before it.
fn under(
    files: &dyn Files,
    folder: &Path,
    base: &Path,
) -> (Vec<(String, PathBuf)>, Vec<Diagnosed>) {
    if !files.exists(here(base)) {
        return (Vec::new(), Vec::new());
    }
    let (found, told) = find(files, &[here(base).to_owned()]);
    let root = format!("{}/", shown(here(folder)));
    let named = found.into_iter().map(|path| {
        let name = shown(&path);
        (name.strip_prefix(&root).unwrap_or(&name).to_owned(), path)
    });
    (named.collect(), told)
}

fn empty(pattern: &Located<String>) -> Diagnostic {
    let title = format!("the pattern `{}` matches no record", pattern.value);
    let told = Code::PackEmpty
        .at(pattern.span, title)
        .label("matches nothing");
    told.help("records end in .ctr; links and folders that begin with a dot are not searched; `*` stays in one folder, `**` goes through all")
}
