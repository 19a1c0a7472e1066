//! An installed Chromium: the only place that starts a process.

use super::Fault;
use crate::ground::address::address;
use crate::ground::seam::environment;
use std::fs::{self, File};
use std::io::Read as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;
use wait_timeout::ChildExt as _;

/// Names it is installed under.
const NAMES: &[&str] = &["chromium", "chromium-browser", "google-chrome"];
/// Names another program to print with.
const VARIABLE: &str = "KNEEMARK_CHROMIUM";
/// A part takes seconds; one that takes minutes has hung.
const LONGEST: Duration = Duration::from_secs(600);

/// Nothing is fetched, nothing asked, nothing kept.
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
];

/// What a print is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// To see where things lie; takes half as long.
    Measure,
    /// To be read: with tags, which readers for the blind need, and an outline.
    Keep,
}

impl Purpose {
    fn flag(self) -> &'static str {
        match self {
            Self::Measure => "--disable-pdf-tagging",
            Self::Keep => "--generate-pdf-document-outline",
        }
    }
}

/// A Chromium, and a folder to print in.
pub struct Chromium {
    program: PathBuf,
    folder: tempfile::TempDir,
}

impl Chromium {
    pub fn new() -> Result<Self, Fault> {
        let program = program()?;
        let folder = tempfile::Builder::new()
            .prefix("kneemark-print-")
            .tempdir()
            .map_err(|error| {
                Fault(format!(
                    "there is no folder to print in: {error}; set TMPDIR to one that can be written"
                ))
            })?;
        Ok(Self { program, folder })
    }

    /// The folder that is printed in, removed at the end.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Prints a text that is a page; gives the file.
    pub fn print(&self, name: &str, text: &str, purpose: Purpose) -> Result<PathBuf, Fault> {
        let program = self.program.display();
        let at = |name: &str| self.folder().join(name);
        let (page, told) = (at("page.html"), at("told.txt"));
        let pdf = at(&format!("{name}.pdf"));
        fs::write(&page, text)?;
        let _ = fs::remove_file(&pdf);
        let child = Command::new(&self.program)
            .args(FLAGS)
            .arg(purpose.flag())
            .arg(argument("--user-data-dir=", &at("profile")))
            .arg(argument("--print-to-pdf=", &pdf))
            .arg(address(&page.to_string_lossy()))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(File::create(&told)?)
            .spawn();
        let mut child = child.map_err(|error| {
            Fault(format!(
                "{program} cannot be started: {error}; name another Chromium in {VARIABLE}"
            ))
        })?;
        let Ok(Some(status)) = child.wait_timeout(LONGEST) else {
            let _ = child.kill();
            let _ = child.wait();
            return Err(Fault(format!(
                "{program} did not come to an end in {} minutes; print pack.html from a browser",
                LONGEST.as_secs() / 60
            )));
        };
        if is_pdf(&pdf) {
            return Ok(pdf);
        }
        let said = fs::read_to_string(&told).unwrap_or_default();
        let said = said.lines().rev().find(|line| !line.trim().is_empty());
        let said = said.map(|said| format!("; it said: {said}"));
        Err(Fault(format!(
            "{program} printed nothing ({status}){}; print pack.html from a browser, or name another Chromium in {VARIABLE}",
            said.unwrap_or_default()
        )))
    }
}

fn is_pdf(path: &Path) -> bool {
    let mut begin = [0; 4];
    let read = File::open(path).and_then(|mut file| file.read_exact(&mut begin));
    read.is_ok() && begin == *b"%PDF"
}

fn argument(flag: &str, path: &Path) -> std::ffi::OsString {
    let mut argument = std::ffi::OsString::from(flag);
    argument.push(path);
    argument
}

fn program() -> Result<PathBuf, Fault> {
    if let Some(named) = environment(VARIABLE).filter(|named| !named.is_empty()) {
        return Ok(PathBuf::from(named));
    }
    let found = NAMES.iter().find_map(|name| which::which(name).ok());
    found.ok_or_else(|| {
        Fault(format!(
            "no Chromium was found ({} on PATH): install one, or name it in {VARIABLE}; pack.html prints from any browser",
            NAMES.join(", ")
        ))
    })
}
