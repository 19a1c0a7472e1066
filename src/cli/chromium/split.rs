//! A page of a whole pack cut into parts that are printed one after the other, so that printing takes no
//! more room for a thousand CTs than for fifty.
//!
//! A part begins where a new sheet begins: at a bay or a CT. A front that is longer than a part is cut at
//! its sections as well. A link into another part is printed as an address of our own, which becomes a way
//! within the file when the parts are joined. Files beside the page do not come along on paper: pictures are
//! fetched from there, links to others are left out.

use super::Fault;
use super::contents;
use super::outline::Heading;
use crate::ground::address::address;
use crate::job::FOLDER;
use std::collections::{BTreeMap, BTreeSet};
use std::fs::{self, File};
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};

/// Bytes of text behind which a part ends: some fifty printed pages.
const LONGEST: usize = 600_000;
/// What a bay or a CT begins with; each begins a new sheet.
const SHEET: &str = "<div class=\"in-pack\"";
/// What a chapter of the front or a bay of its matrix begins with.
const SECTION: &str = "<section class=\"";
/// Elements that a part can begin within.
const CONTAINERS: &[&str] = &["main", "div", "article", "section"];
/// A link on the page; of an anchor on the same page.
const LINK: &str = "<a href=\"#";
/// A link to a file that lies beside the page, up to the folder of such files.
const FILE: &str = "<a href=\"";
/// A picture that does.
const PICTURE: &str = "<img class=\"attached\" src=\"";
/// The address of an anchor that lies in another part.
pub const ELSEWHERE: &str = "kneemark:";

/// The parts of a page, in a folder.
pub struct Parts {
    /// The page up to where its body begins.
    head: String,
    files: Vec<PathBuf>,
    /// The part that holds each anchor that a link goes to.
    anchors: BTreeMap<String, usize>,
}

/// Where the pages of a part stand in the whole.
#[derive(Clone, Copy, Debug)]
pub struct Sheets {
    /// The number of its first page.
    pub first: usize,
    /// How many pages the whole has.
    pub of: usize,
    /// How large it is printed, in millionths.
    pub scale: u32,
}

impl Parts {
    /// Cuts a page.
    pub fn of(page: &Path, folder: &Path) -> Result<Self, Fault> {
        Self::cut(page, folder, LONGEST)
    }

    fn cut(page: &Path, folder: &Path, longest: usize) -> Result<Self, Fault> {
        let mut text = BufReader::new(File::open(page)?);
        let (head, mut line) = head(&mut text)?;
        let mut files = Vec::new();
        let mut part = Part::begun(folder, &mut files, "")?;
        let mut within: Vec<String> = Vec::new();
        let (mut found, mut linked) = (BTreeMap::new(), BTreeSet::new());
        let mut is_front = true;
        let beside = Beside::of(page);
        while !line.is_empty() {
            let is_sheet = line.starts_with(SHEET);
            is_front &= !is_sheet;
            let may_begin = is_sheet || (is_front && line.starts_with(SECTION));
            if may_begin && part.length >= longest {
                part = Part::begun(folder, &mut files, &within.concat())?;
            }
            follow(&line, &mut within);
            for id in values(&line, " id=\"") {
                found.entry(id.to_owned()).or_insert(files.len() - 1);
            }
            linked.extend(values(&line, LINK).map(str::to_owned));
            line = beside.on_paper(&line);
            part.length += line.len();
            part.file.write_all(line.as_bytes())?;
            line.clear();
            text.read_line(&mut line)?;
        }
        found.retain(|id, _| linked.contains(id));
        Ok(Self {
            head,
            files,
            anchors: found,
        })
    }

    pub fn count(&self) -> usize {
        self.files.len()
    }

    /// A part as it is printed, with the pages that its contents name.
    pub fn text(
        &self,
        part: usize,
        sheets: Sheets,
        pages: &BTreeMap<String, usize>,
    ) -> Result<String, Fault> {
        let body = self.body(part)?;
        let body = contents::numbered(&body, pages);
        // A browser counts from 1 and knows no other part.
        let head = self
            .head
            .replace("counter(pages)", &format!("\"{}\"", sheets.of));
        let mut text = format!(
            "{head}<style>@page:first{{counter-increment:page {}}}\n{}</style>\n",
            sheets.first,
            contents::STYLE
        );
        // A browser prints a page smaller that holds something too wide, and would do so part by part;
        // it compares the width with that of the sheet in whole pixels, rounded up,
        // of which 100% is one less. The hundredth goes against rounding down.
        text.push_str(&format!(
            "<div style=\"position:absolute;width:calc((100% + 1px)*1000000/{} + .01px);height:1px\"></div>",
            sheets.scale.max(1)
        ));
        // Only an anchor that is linked to from its own part has a place in the file that is printed.
        text.push_str("<div hidden>");
        for (id, _) in self.anchors.iter().filter(|(_, held)| **held == part) {
            text.push_str(&format!("{LINK}{id}\">{id}</a>"));
        }
        text.push_str("</div>\n");
        let mut links = body.split(LINK);
        text.push_str(links.next().unwrap_or_default());
        for link in links {
            let id = link.split('"').next().unwrap_or_default();
            let is_elsewhere = self.anchors.get(id).is_some_and(|held| *held != part);
            text.push_str(match is_elsewhere {
                true => "<a href=\"",
                false => LINK,
            });
            text.push_str(if is_elsewhere { ELSEWHERE } else { "" });
            text.push_str(link);
        }
        Ok(text)
    }

    /// The headings of a part in their order.
    pub fn headings(&self, part: usize) -> Result<Vec<Heading>, Fault> {
        Ok(Heading::all(&self.body(part)?))
    }

    fn body(&self, part: usize) -> Result<String, Fault> {
        let none = || std::io::Error::other("a part is missing");
        Ok(fs::read_to_string(self.files.get(part).ok_or_else(none)?)?)
    }
}

/// A part that is being written.
struct Part {
    file: std::io::BufWriter<File>,
    length: usize,
}

impl Part {
    fn begun(folder: &Path, files: &mut Vec<PathBuf>, within: &str) -> Result<Self, Fault> {
        let path = folder.join(format!("part-{}.txt", files.len() + 1));
        let mut file = std::io::BufWriter::new(File::create(&path)?);
        file.write_all(within.as_bytes())?;
        files.push(path);
        Ok(Self { file, length: 0 })
    }
}

/// A page up to where its body begins, and what stands behind that on the same line.
fn head(text: &mut BufReader<File>) -> Result<(String, String), Fault> {
    let mut head = String::new();
    while text.read_line(&mut head)? > 0 {
        let body = head.find("<body");
        let end = body.and_then(|at| Some(at + head.get(at..)?.find('>')? + 1));
        if let Some(end) = end {
            let behind = head.split_off(end);
            return Ok((head, behind));
        }
    }
    Ok((String::new(), head))
}

/// Keeps the tags of the containers that stand open behind a line, as another part opens them again: what
/// is said of the whole element is said once.
fn follow(line: &str, within: &mut Vec<String>) {
    for tag in line.split('<').skip(1) {
        let is_end = tag.starts_with('/');
        let name = tag.trim_start_matches('/');
        let name = name.split(|c: char| !c.is_ascii_alphanumeric()).next();
        if !name.is_some_and(|name| CONTAINERS.contains(&name)) {
            continue;
        }
        if is_end {
            within.pop();
            continue;
        }
        let class = values(tag, " class=\"").next();
        let class = class.map(|class| format!(" class=\"{class}\""));
        let (name, class) = (name.unwrap_or_default(), class.unwrap_or_default());
        within.push(format!("<{name}{class}>"));
    }
}

/// The files beside a page, as its lines name them and as a page in another folder does.
struct Beside {
    link: String,
    picture: String,
    there: String,
}

impl Beside {
    fn of(page: &Path) -> Self {
        let folder = page.parent().unwrap_or(Path::new("")).join(FOLDER);
        let there = address(&folder.to_string_lossy());
        Self {
            link: format!("{FILE}{FOLDER}/"),
            picture: format!("{PICTURE}{FOLDER}/"),
            there: format!("{PICTURE}{there}/"),
        }
    }

    /// A line without links to the files, and with its pictures where they are.
    fn on_paper(&self, line: &str) -> String {
        let mut pieces = line.split(self.link.as_str());
        let mut out = pieces.next().unwrap_or_default().to_owned();
        for piece in pieces {
            let text = piece.split_once('>').map_or(piece, |(_, text)| text);
            out.push_str(&text.replacen("</a>", "", 1));
        }
        out.replace(&self.picture, &self.there)
    }
}

/// What stands in quotes behind each `before`.
fn values<'a>(text: &'a str, before: &'a str) -> impl Iterator<Item = &'a str> {
    text.split(before)
        .skip(1)
        .filter_map(|rest| Some(rest.split_once('"')?.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = "<html><head><style>x:counter(pages)</style></head><body>\n<main>\n\
        <article data-basis='[]' class=\"pack\" id=\"index\">\n<section class=\"contents\">\n<p><a href=\"#b\">B</a></p></section>\n\
        <section class=\"matrix\">\n<h2 id=\"m\">M</h2>\n<section class=\"bay\">\n<p>1</p></section>\n</section>\n</article>\n\
        <div class=\"in-pack\" id=\"a\">\n<section class=\"s\">\n<p><a href=\"#a\">A</a> <a href=\"#m\">M</a></p></section>\n</div>\n\
        <div class=\"in-pack\" id=\"b\">\n<p><a href=\"#none\">N</a> <a href=\"https://x\">X</a></p></div>\n<p>End</p>\n</main></body></html>\n";

    fn parts(longest: usize) -> (tempfile::TempDir, Parts, Vec<String>) {
        let folder = tempfile::tempdir().unwrap();
        let page = folder.path().join("pack.html");
        fs::write(&page, PAGE).unwrap();
        let parts = Parts::cut(&page, folder.path(), longest).unwrap();
        let pages = [("b".to_owned(), 9)].into();
        let sheets = Sheets {
            first: 5,
            of: 12,
            scale: 900_000,
        };
        let texts = (0..parts.count()).map(|part| parts.text(part, sheets, &pages).unwrap());
        let texts = texts.collect();
        (folder, parts, texts)
    }

    #[test]
    fn a_short_page_is_one_part() {
        let (_folder, parts, texts) = parts(10_000);
        assert_eq!(parts.count(), 1);
        let text = texts.first().unwrap();
        assert!(text.contains("x:\"12\"") && text.contains("counter-increment:page 5"));
        assert!(text.contains("width:calc((100% + 1px)*1000000/900000 + .01px)"));
        assert!(text.ends_with("</main></body></html>\n") && !text.contains(ELSEWHERE));
    }

    #[test]
    fn parts_begin_at_sheets_and_open_what_they_stand_in() {
        let (_folder, parts, texts) = parts(1);
        let begins: Vec<&str> = texts
            .iter()
            .map(|text| text.split_once("</div>\n").unwrap().1)
            .collect();
        assert_eq!(begins.len(), 6);
        let begins_with = |part: usize, text: &str| begins[part].starts_with(text);
        assert!(begins_with(
            2,
            "<main><article class=\"pack\"><section class=\"matrix\">"
        ));
        assert!(begins_with(
            3,
            "<main><article class=\"pack\"><section class=\"matrix\"><section class=\"bay\">"
        ));
        assert!(begins_with(4, "<main><div class=\"in-pack\" id=\"a\">"));
        assert!(begins_with(5, "<main><div class=\"in-pack\" id=\"b\">"));
        let titles = parts.headings(2).unwrap();
        assert_eq!(titles.first().map(|title| title.text.as_str()), Some("M"));
    }

    #[test]
    fn a_link_knows_whether_its_goal_is_in_the_part() {
        let (_folder, _, texts) = parts(1);
        assert!(texts[1].contains("<a href=\"kneemark:b\">B<span"));
        assert!(texts[2].contains("<div hidden><a href=\"#m\">m</a></div>"));
        assert!(texts[4].contains("<a href=\"#a\">A</a> <a href=\"kneemark:m\">M</a>"));
        assert!(texts[5].contains("<a href=\"#none\">N</a> <a href=\"https://x\">X</a>"));
    }

    #[test]
    fn files_beside_the_page_are_named_and_its_pictures_found() {
        let beside = Beside::of(Path::new("/out of/pack.html"));
        let line = "<td><a href=\"attached/a-1.csv\">a.csv</a> <a href=\"#m\">M</a></td>\
                    <img class=\"attached\" src=\"attached/b-2.png\" alt=\"b\"><a href=\"attached/c\">c</a>";
        assert_eq!(
            beside.on_paper(line),
            "<td>a.csv <a href=\"#m\">M</a></td>\
             <img class=\"attached\" src=\"file:///out%20of/attached/b-2.png\" alt=\"b\">c"
        );
    }
}
