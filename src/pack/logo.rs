//! The contractor's mark as part of the page: nothing is fetched when the page is opened.

use super::config::Config;
use super::select;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::Files;
use crate::ground::source::sha256;
use crate::job::Basis;
use crate::record::config::fault;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use std::path::Path;

/// Largest file taken: it stands in two pages of every pack.
const LARGEST: usize = 1 << 20;

/// The mark as a `data:` address; empty without one, or when it cannot be used, which is told.
pub fn read(
    files: &dyn Files,
    folder: &Path,
    config: &Config,
    told: &mut Vec<Diagnostic>,
    basis: &mut Basis,
) -> String {
    let Some(logo) = &config.logo else {
        return String::new();
    };
    let data = select::path(files, folder, logo).and_then(|path| {
        address(files, &path, &logo.value, basis)
            .map_err(|(title, help)| Box::new(fault(logo.span, title, help)))
    });
    data.unwrap_or_else(|fault| {
        told.push(*fault);
        String::new()
    })
}

/// The file as an address, or what is wrong with it and what to do.
fn address(
    files: &dyn Files,
    path: &Path,
    name: &str,
    basis: &mut Basis,
) -> Result<String, (String, &'static str)> {
    let bytes = files.read(path).map_err(|error| {
        let title = format!("the logo `{name}` cannot be read: {error}");
        (title, "check the path, seen from pack.toml")
    })?;
    if bytes.len() > LARGEST {
        let title = format!("the logo `{name}` has {} bytes", bytes.len());
        return Err((title, "a megabyte is the most; save it smaller"));
    }
    let kind = kind(&bytes).ok_or_else(|| {
        let title = format!("the logo `{name}` is neither PNG nor SVG");
        (title, "save it as PNG or SVG")
    })?;
    basis.add("logo", name, &sha256(&bytes));
    Ok(format!("data:{kind};base64,{}", STANDARD.encode(&bytes)))
}

/// By its content, whatever its name says. An SVG in an `img` element can run no script and fetch nothing.
fn kind(bytes: &[u8]) -> Option<&'static str> {
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        return Some("image/png");
    }
    let text = std::str::from_utf8(bytes).ok()?;
    text.contains("<svg").then_some("image/svg+xml")
}
