//! The contractor's mark as part of the page: nothing is fetched when the page is opened.

use super::config::Config;
use super::select;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::seam::Files;
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
) -> String {
    let Some(logo) = &config.logo else {
        return String::new();
    };
    let path = match select::path(files, folder, logo) {
        Ok(path) => path,
        Err(fault) => {
            told.push(*fault);
            return String::new();
        }
    };
    let mut refuse = |title: String, help: &str| {
        told.push(fault(logo.span, title, help));
        String::new()
    };
    let bytes = match files.read(&path) {
        Ok(bytes) => bytes,
        Err(error) => {
            return refuse(
                format!("the logo `{}` cannot be read: {error}", logo.value),
                "check the path, seen from pack.toml",
            );
        }
    };
    if bytes.len() > LARGEST {
        return refuse(
            format!("the logo `{}` has {} bytes", logo.value, bytes.len()),
            "a megabyte is the most; save it smaller",
        );
    }
    match kind(&bytes) {
        Some(kind) => format!("data:{kind};base64,{}", STANDARD.encode(&bytes)),
        None => refuse(
            format!("the logo `{}` is neither PNG nor SVG", logo.value),
            "save it as PNG or SVG",
        ),
    }
}

/// By its content, whatever its name says. An SVG in an `img` element can run no script and fetch nothing.
fn kind(bytes: &[u8]) -> Option<&'static str> {
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        return Some("image/png");
    }
    let text = std::str::from_utf8(bytes).ok()?;
    text.contains("<svg").then_some("image/svg+xml")
}
