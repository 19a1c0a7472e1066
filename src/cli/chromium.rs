//! Printing a page to PDF through an installed Chromium: the only place that starts a process.
#![allow(
    clippy::disallowed_methods,
    reason = "the printed file is read from a folder of its own, made and removed here"
)]

use crate::ground::seam::environment;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

/// Names it is installed under.
const NAMES: &[&str] = &["chromium", "chromium-browser", "google-chrome"];
/// Names another program to print with.
const VARIABLE: &str = "KNEEMARK_CHROMIUM";
/// A pack of thousands of pages takes minutes; one that takes longer has hung.
const LONGEST: Duration = Duration::from_secs(300);
const STEP: Duration = Duration::from_millis(50);

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
        .arg(format!("file://{}", address(&page)))
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn();
    let mut child =
        child.map_err(|error| format!("{} cannot be started: {error}", program.display()))?;
    let mut waited = Duration::ZERO;
    let status = loop {
        match child.try_wait() {
            Ok(Some(status)) => break status,
            Ok(None) if waited < LONGEST => {
                std::thread::sleep(STEP);
                waited += STEP;
            }
            _ => {
                let _ = child.kill();
                let _ = child.wait();
                return Err(format!("{} did not come to an end", program.display()));
            }
        }
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
    let path = environment("PATH").unwrap_or_default();
    let mut found = std::env::split_paths(&path)
        .flat_map(|folder| NAMES.iter().map(move |name| folder.join(name)));
    found.find(|candidate| candidate.is_file()).ok_or_else(|| {
        format!(
            "no Chromium was found ({} on PATH, or {VARIABLE}); pack.html prints from any browser",
            NAMES.join(", ")
        )
    })
}

/// A path as the address of a file: everything that means something in an address is encoded.
fn address(path: &Path) -> String {
    let mut out = String::new();
    for byte in path.to_string_lossy().replace('\\', "/").bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'-' | b'_' | b'.' | b'~' | b':' => {
                out.push(char::from(byte))
            }
            other => out.push_str(&format!("%{other:02X}")),
        }
    }
    if out.starts_with('/') {
        out
    } else {
        format!("/{out}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_encode_what_means_something() {
        assert_eq!(
            address(Path::new("/a b/ä#1?.html")),
            "/a%20b/%C3%A4%231%3F.html"
        );
        assert_eq!(
            address(Path::new("C:\\out\\pack.html")),
            "/C:/out/pack.html"
        );
    }
}
