//! Printing a page to PDF through an installed Chromium: the only place that starts a process.
//!
//! The page is printed, the pages of its contents are read back from the PDF, written into it, and it is
//! printed again. The file then gets what a browser does not know of it: its day, its identity.
#![allow(
    clippy::disallowed_methods,
    reason = "pages are printed from a folder of their own, made and removed here"
)]

mod contents;
mod finish;

use crate::ground::date::Date;
use crate::ground::seam::environment;
use finish::Pdf;
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use std::fs::File;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;
use wait_timeout::ChildExt as _;

/// Names it is installed under.
const NAMES: &[&str] = &["chromium", "chromium-browser", "google-chrome"];
/// Names another program to print with.
const VARIABLE: &str = "KNEEMARK_CHROMIUM";
/// A pack of thousands of pages takes minutes; one that takes longer has hung.
const LONGEST: Duration = Duration::from_secs(600);
/// The contents grow by a page number each, never by a line; a third print would say that they do.
const MOST_PRINTS: usize = 3;

/// Nothing is fetched, nothing asked, nothing kept. With tags, which readers for the blind need.
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
    "--generate-pdf-document-outline",
];

/// What a printed page says of itself beside what stands on it. Title and language are the page's own.
#[derive(Clone, Copy, Debug)]
pub struct Printed {
    /// The day of issue; without one the file has no date, for today's is none of its own.
    pub issued: Option<Date>,
}

/// Prints a page; gives the bytes of the PDF: the same for the same page, Chromium and fonts. `progress`
/// is told each stage before it begins.
///
/// # Errors
/// A sentence for people: no Chromium, or what it did not do, and what to do about it.
pub fn print(
    page: &Path,
    printed: &Printed,
    progress: &mut dyn FnMut(&str),
) -> Result<Vec<u8>, String> {
    let chromium = Chromium::new()?;
    let text = std::fs::read_to_string(page)
        .map_err(|error| format!("{} cannot be read: {error}", page.display()))?;
    let mut filled = contents::prepared(&text);
    progress("printing: laying out the pages");
    let mut pdf = Pdf::read(&chromium.print(&filled)?)?;
    if contents::is_numbered(&filled) {
        for _ in 1..MOST_PRINTS {
            let numbers = pdf.pages_of_anchors();
            let again = contents::numbered(&filled, &numbers);
            if again == filled {
                break;
            }
            let count = pdf.count();
            progress(&format!(
                "printing: {count} pages, once more with their numbers in the contents"
            ));
            filled = again;
            pdf = Pdf::read(&chromium.print(&filled)?)?;
        }
    }
    progress(&format!("printing: writing {} pages", pdf.count()));
    pdf.finished(printed)
}

/// An installed Chromium, and a folder to print in.
struct Chromium {
    program: PathBuf,
    folder: tempfile::TempDir,
}

impl Chromium {
    fn new() -> Result<Self, String> {
        let program = program()?;
        let folder = tempfile::Builder::new()
            .prefix("kneemark-print-")
            .tempdir()
            .map_err(|error| {
                format!(
                    "there is no folder to print in: {error}; set TMPDIR to one that can be written"
                )
            })?;
        Ok(Self { program, folder })
    }

    /// Prints a text that is a page.
    fn print(&self, text: &str) -> Result<Vec<u8>, String> {
        let name = self.program.display();
        let at = |name: &str| self.folder.path().join(name);
        let (page, pdf, told) = (at("page.html"), at("page.pdf"), at("told.txt"));
        let io = |error: std::io::Error| format!("{}: {error}", self.folder.path().display());
        std::fs::write(&page, text).map_err(io)?;
        let _ = std::fs::remove_file(&pdf);
        let child = Command::new(&self.program)
            .args(FLAGS)
            .arg(argument("--user-data-dir=", &at("profile")))
            .arg(argument("--print-to-pdf=", &pdf))
            .arg(address(&page))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(File::create(&told).map_err(io)?)
            .spawn();
        let mut child = child.map_err(|error| {
            format!("{name} cannot be started: {error}; name another Chromium in {VARIABLE}")
        })?;
        let Ok(Some(status)) = child.wait_timeout(LONGEST) else {
            let _ = child.kill();
            let _ = child.wait();
            return Err(format!(
                "{name} did not come to an end in {} minutes; print pack.html from a browser, or fewer CTs in one pack",
                LONGEST.as_secs() / 60
            ));
        };
        match std::fs::read(&pdf) {
            Ok(bytes) if bytes.starts_with(b"%PDF") => Ok(bytes),
            _ => {
                let said = std::fs::read_to_string(&told).unwrap_or_default();
                let said = said.lines().rev().find(|line| !line.trim().is_empty());
                let said = said.map(|said| format!("; it said: {said}"));
                Err(format!(
                    "{name} printed nothing ({status}){}; print pack.html from a browser, or name another Chromium in {VARIABLE}",
                    said.unwrap_or_default()
                ))
            }
        }
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
            "no Chromium was found ({} on PATH): install one, or name it in {VARIABLE}; pack.html prints from any browser",
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
