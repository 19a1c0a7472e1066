//! Printing a page to PDF through an installed Chromium: the only place that starts a process.
#![allow(
    clippy::disallowed_methods,
    reason = "the printed file is read from a folder of its own, made and removed here"
)]

use crate::ground::seam::environment;
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;
use wait_timeout::ChildExt as _;

/// Names it is installed under.
const NAMES: &[&str] = &["chromium", "chromium-browser", "google-chrome"];
/// Names another program to print with.
const VARIABLE: &str = "KNEEMARK_CHROMIUM";
/// A pack of thousands of pages takes minutes; one that takes longer has hung.
const LONGEST: Duration = Duration::from_secs(300);

/// Nothing is fetched, nothing asked, nothing kept. Without tags: they make the file of a whole pack
/// five times as long, too long for a letter; who needs them reads the HTML.
const FLAGS: &[&str] = &[
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-pdf-header-footer",
    "--disable-pdf-tagging",
];

/// Prints a page; gives the bytes of the PDF.
///
/// # Errors
/// A sentence for people: no Chromium, or what it did not do.
pub fn print(page: &Path) -> Result<Vec<u8>, String> {
    let program = program()?;
    let folder = tempfile::Builder::new()
        .prefix("kneemark-print-")
        .tempdir()
        .map_err(|error| format!("no folder to print in: {error}"))?;
    let pdf = folder.path().join("pack.pdf");
    let page = std::path::absolute(page).map_err(|error| error.to_string())?;
    let child = Command::new(&program)
        .args(FLAGS)
        .arg(argument("--user-data-dir=", &folder.path().join("profile")))
        .arg(argument("--print-to-pdf=", &pdf))
        .arg(address(&page))
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    let mut child =
        child.map_err(|error| format!("{} cannot be started: {error}", program.display()))?;
    let Ok(Some(status)) = child.wait_timeout(LONGEST) else {
        let _ = child.kill();
        let _ = child.wait();
        return Err(format!("{} did not come to an end", program.display()));
    };
    match std::fs::read(&pdf) {
        Ok(bytes) if bytes.starts_with(b"%PDF") => Ok(bytes),
        _ => Err(format!("{} printed nothing ({status})", program.display())),
    }
}

fn argument(flag: &str, path: &Path) -> std::ffi::OsString {
    let mut argument = std::ffi::OsString::from(flag);
    argument.push(path);
    argument
}

fn program() -> Result<PathBuf, String> {
    if let Some(named) = environment(VARIABLE).filter(|named| !named.is_empty()) {
        return Ok(PathBuf::from(named));
    }
    let found = NAMES.iter().find_map(|name| which::which(name).ok());
    found.ok_or_else(|| {
        format!(
            "no Chromium was found ({} on PATH, or {VARIABLE}); pack.html prints from any browser",
            NAMES.join(", ")
        )
    })
}

/// What a path may hold that means nothing in the address of a file.
const PLAIN: &AsciiSet = &NON_ALPHANUMERIC
    .remove(b'/')
    .remove(b'-')
    .remove(b'_')
    .remove(b'.')
    .remove(b'~')
    .remove(b':');

/// The address of a file.
fn address(path: &Path) -> String {
    let path = path.to_string_lossy().replace('\\', "/");
    let root = if path.starts_with('/') { "" } else { "/" };
    format!("file://{root}{}", utf8_percent_encode(&path, PLAIN))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_encode_what_means_something() {
        assert_eq!(
            address(Path::new("/a b/ä#1?.html")),
            "file:///a%20b/%C3%A4%231%3F.html"
        );
        assert_eq!(
            address(Path::new("C:\\out\\pack.html")),
            "file:///C:/out/pack.html"
        );
    }
}
