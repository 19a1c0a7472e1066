//! Printing a page to PDF through an installed Chromium.
//!
//! The page is cut into parts. They are laid out once, which says on which page everything lies; then each
//! is printed with the numbers of its pages, and those that its contents name; then they are joined to one
//! file, which gets what a browser does not know of it: its day, its identity. Of all parts one is held at
//! a time.
#![allow(
    clippy::disallowed_methods,
    reason = "pages are printed from a folder of their own, made and removed here"
)]

mod artifacts;
mod browser;
mod contents;
mod join;
mod outline;
mod split;
mod tags;
mod write;

use crate::ground::date::Date;
use browser::{Chromium, Purpose};
use join::Joined;
use lopdf::{Document, ObjectId};
use split::{Parts, Sheets};
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

/// A second print lies as the first was laid out; more would say that it does not.
const MOST_PRINTS: usize = 3;

/// The scale of a page on which nothing is too wide, in millionths.
const FULL: u32 = 1_000_000;
/// Points of a printed pixel at that scale.
const PIXEL: f64 = 0.75;

/// What a printed page says of itself beside what stands on it. Title and language are the page's own.
#[derive(Clone, Copy, Debug)]
pub struct Printed {
    /// The day of issue; without one the file has no date, for today's is none of its own.
    pub issued: Option<Date>,
}

/// Why there is no PDF: a sentence for people, with what to do about it.
#[derive(Debug)]
pub struct Fault(String);

impl From<io::Error> for Fault {
    fn from(error: io::Error) -> Self {
        Self(format!(
            "a file of the print cannot be read or written: {error}; check the free space of TMPDIR and of the output folder"
        ))
    }
}

/// The file is Chromium's own, so that this is told as one fault.
impl From<lopdf::Error> for Fault {
    fn from(error: lopdf::Error) -> Self {
        Self(format!(
            "the printed file cannot be read back: {error}; print pack.html from a browser"
        ))
    }
}

/// How large a part is printed: what its first page is drawn at, which a browser sets twice, for the
/// paper and for what stands on it.
fn scale(part: &Document) -> Option<u32> {
    let page = part.page_iter().next()?;
    let drawing = part.get_page_content(page);
    let lines = drawing.split(|byte| *byte == b'\n').take(40);
    let sets = lines.filter(|line| line.ends_with(b" cm")).take(2);
    let factor = |line: &[u8]| {
        let first = std::str::from_utf8(line).ok()?.split(' ').next()?;
        first.parse::<f64>().ok()
    };
    let factors = sets.map(factor).collect::<Option<Vec<f64>>>()?;
    let scale = factors.iter().product::<f64>() / PIXEL * f64::from(FULL);
    (factors.len() == 2).then(|| scale.round().clamp(1.0, f64::from(FULL)) as u32)
}

/// Prints a page; hands out the bytes of the PDF, which are the same for the same page, Chromium and fonts,
/// and gives how many there are. `progress` is told each stage before it begins.
///
/// # Errors
/// A sentence for people: no Chromium, or what it did not do, and what to do about it. What was handed out
/// before is no PDF.
pub fn print(
    page: &Path,
    printed: &Printed,
    progress: &mut dyn FnMut(&str),
    out: &mut dyn FnMut(&[u8]) -> io::Result<()>,
) -> Result<u64, String> {
    printed_to(page, printed, progress, out).map_err(|fault| fault.0)
}

fn printed_to(
    page: &Path,
    printed: &Printed,
    progress: &mut dyn FnMut(&str),
    out: &mut dyn FnMut(&[u8]) -> io::Result<()>,
) -> Result<u64, Fault> {
    let press = Press {
        chromium: Chromium::new()?,
        page,
    };
    let parts = Parts::of(press.page, press.chromium.folder())?;
    let mut layout = Layout::default();
    let mut files = Vec::new();
    for _ in 0..MOST_PRINTS {
        let before = layout;
        (layout, _) = press.run(&parts, &before, Purpose::Measure, progress)?;
        if layout.scale == before.scale {
            break;
        }
    }
    let mut settled = false;
    for _ in 0..MOST_PRINTS {
        let before = layout;
        (layout, files) = press.run(&parts, &before, Purpose::Keep, progress)?;
        settled = layout == before;
        if settled {
            break;
        }
    }
    if !settled {
        return Err(unsettled());
    }
    progress(&format!("printing: writing {} pages", layout.count()));
    let mut joined = Joined::begun(out, &layout.anchors)?;
    for (part, file) in files.iter().enumerate() {
        joined.add(Document::load(file)?, &parts.headings(part)?)?;
    }
    joined.finish(printed)
}

fn unsettled() -> Fault {
    let told = "each print lays the pages out otherwise, so that the contents would name wrong pages; \
                print pack.html from the browser itself, without numbers";
    Fault(told.to_owned())
}

/// What prints, and what is printed.
struct Press<'a> {
    chromium: Chromium,
    page: &'a Path,
}

impl Press<'_> {
    /// Prints all parts as they were laid out before; gives how they lie now, and the files.
    fn run(
        &self,
        parts: &Parts,
        before: &Layout,
        purpose: Purpose,
        progress: &mut dyn FnMut(&str),
    ) -> Result<(Layout, Vec<PathBuf>), Fault> {
        let (mut layout, mut files) = (Layout::default(), Vec::new());
        for part in 0..parts.count() {
            let at = format!("part {} of {}", part + 1, parts.count());
            progress(&match purpose {
                Purpose::Measure => format!("printing: laying out {at}"),
                Purpose::Keep => format!("printing: {at}, {} pages in all", before.count()),
            });
            let sheets = Sheets {
                first: layout.count() + 1,
                of: before.count(),
                scale: before.scale,
            };
            let text = parts.text(part, sheets, &before.anchors)?;
            let name = format!("part-{}", part + 1);
            let file = self.chromium.print(&name, &text, purpose)?;
            layout.add(&Document::load(&file)?);
            files.push(file);
        }
        Ok((layout, files))
    }
}

/// Where everything lies in the whole.
#[derive(Debug, PartialEq, Eq)]
struct Layout {
    /// How large the smallest part is printed, in millionths.
    scale: u32,
    /// How many pages each part has.
    counts: Vec<usize>,
    /// The page, from 1, on which each anchor lies that a link goes to.
    anchors: BTreeMap<String, usize>,
}

impl Default for Layout {
    fn default() -> Self {
        Self {
            scale: FULL,
            counts: Vec::new(),
            anchors: BTreeMap::new(),
        }
    }
}

impl Layout {
    fn count(&self) -> usize {
        self.counts.iter().sum()
    }

    /// Adds a printed part.
    fn add(&mut self, part: &Document) {
        let before = self.count();
        let numbers: BTreeMap<ObjectId, usize> = part.page_iter().zip(before + 1..).collect();
        self.counts.push(numbers.len());
        self.scale = self.scale.min(scale(part).unwrap_or(FULL));
        let anchors = part.catalog().and_then(|catalog| catalog.get(b"Dests"));
        let anchors = anchors.and_then(|anchors| part.dereference(anchors)?.1.as_dict());
        let Ok(anchors) = anchors else { return };
        for (name, goal) in anchors {
            let goal = part.dereference(goal).and_then(|(_, goal)| goal.as_array());
            let page = goal.ok().and_then(|goal| goal.first());
            let page = page.and_then(|page| numbers.get(&page.as_reference().ok()?));
            if let Some(page) = page {
                let name = String::from_utf8_lossy(name).into_owned();
                self.anchors.insert(name, *page);
            }
        }
    }
}
