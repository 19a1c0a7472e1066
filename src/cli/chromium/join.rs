//! The printed parts as one file. A part is read, moved behind those that were written, and dropped.

use super::artifacts;
use super::outline::{Heading, Outline};
use super::split::ELSEWHERE;
use super::tags::{self, Tags};
use super::write::Writer;
use super::{Fault, Printed};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, dictionary, text_string};
use percent_encoding::percent_decode_str;
use sha2::{Digest as _, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::io;

/// A file that parts are joined to.
pub struct Joined<'a> {
    out: Writer<'a>,
    /// The page on which each anchor lies, for the words of a link.
    anchors: &'a BTreeMap<String, usize>,
    pages: ObjectId,
    parts: Vec<Object>,
    count: i64,
    tags: Tags,
    outline: Outline,
    /// Where each anchor lies.
    goals: Dictionary,
    /// Fonts and the like that several parts hold, by their SHA-256.
    shared: BTreeMap<[u8; 32], ObjectId>,
    /// What the first part says of itself: language, title.
    catalog: Dictionary,
    info: Dictionary,
}

impl<'a> Joined<'a> {
    pub fn begun(
        out: &'a mut dyn FnMut(&[u8]) -> io::Result<()>,
        anchors: &'a BTreeMap<String, usize>,
    ) -> Result<Self, Fault> {
        let mut out = Writer::begun(out)?;
        Ok(Self {
            anchors,
            pages: out.reserve(),
            parts: Vec::new(),
            count: 0,
            tags: Tags::begun(&mut out),
            outline: Outline::default(),
            goals: Dictionary::new(),
            shared: BTreeMap::new(),
            catalog: Dictionary::new(),
            info: Dictionary::new(),
            out,
        })
    }

    /// Adds a part.
    pub fn add(&mut self, mut part: Document, headings: &[Heading]) -> Result<(), Fault> {
        let printed = tags::Printed::of(&part);
        let mut moves = Moves {
            by: self.out.taken(),
            to: BTreeMap::new(),
            links: self.tags.next,
            prefix: format!("{:04}-", self.parts.len() + 1),
            anchors: self.anchors,
        };
        self.out.take(part.max_id);
        let roots = printed.roots.iter();
        moves
            .to
            .extend(roots.map(|root| (*root, self.tags.document)));
        self.share(&part, &mut moves);

        let catalog = part.catalog()?.clone();
        let pages = catalog.get(b"Pages")?.as_reference()?;
        let mut gone: BTreeSet<ObjectId> = moves.to.keys().copied().collect();
        gone.extend(&printed.lists);
        gone.extend(part.trailer.get(b"Root").and_then(Object::as_reference));
        if let Ok(info) = part.trailer.get(b"Info").and_then(Object::as_reference) {
            gone.insert(info);
            if self.parts.is_empty() {
                self.info = part.get_dictionary(info)?.clone();
            }
        }
        if self.parts.is_empty() {
            for key in [b"Lang".as_slice(), b"MarkInfo"] {
                if let Ok(value) = catalog.get(key) {
                    let mut value = value.clone();
                    moves.object(&mut value);
                    self.catalog.set(key, value);
                }
            }
        }
        if let Ok((id, goals)) = catalog
            .get(b"Dests")
            .and_then(|goals| part.dereference(goals))
        {
            gone.extend(id);
            let mut goals = goals.clone();
            moves.object(&mut goals);
            for (anchor, goal) in goals.as_dict()? {
                self.goals.set(anchor.clone(), goal.clone());
            }
        }
        let moved = |object: &mut Object| moves.object(object);
        gone.extend(self.outline.add(&part, headings, &moved));

        let drawings = drawings(&part);
        self.count += part.get_dictionary(pages)?.get(b"Count")?.as_i64()?;
        self.parts.push(moves.id(pages).into());
        let frames = printed.frames.clone();
        for (id, mut object) in std::mem::take(&mut part.objects) {
            if gone.contains(&id) {
                continue;
            }
            moves.object(&mut object);
            match &mut object {
                Object::Dictionary(root) if id == pages => root.set("Parent", self.pages),
                Object::Dictionary(frame) if frames.contains(&id) => {
                    frame.set("S", Object::Name(b"Div".to_vec()));
                }
                Object::Stream(drawing) if drawings.contains(&id) => {
                    let marked = artifacts::marked(&drawing.get_plain_content()?);
                    drawing.set_plain_content(marked);
                    drawing.compress()?;
                }
                _ => {}
            }
            self.out.put(moves.id(id), object)?;
        }
        self.tags.add(printed, &moves.prefix, &moved, &mut self.out)
    }

    /// Ends the file; gives its length.
    pub fn finish(mut self, printed: &Printed) -> Result<u64, Fault> {
        let pages = dictionary! { "Type" => "Pages", "Count" => self.count, "Kids" => self.parts };
        self.out.put(self.pages, pages.into())?;
        let mut catalog = std::mem::take(&mut self.catalog);
        catalog.set("Type", Object::Name(b"Catalog".to_vec()));
        catalog.set("Pages", self.pages);
        let language = catalog.get(b"Lang").ok();
        let tags = self.tags.put(language, &mut self.out)?;
        catalog.set("StructTreeRoot", tags);
        if let Some(outline) = self.outline.put(&mut self.out)? {
            catalog.set("Outlines", outline);
            catalog.set("PageMode", Object::Name(b"UseOutlines".to_vec()));
        }
        catalog.set("Dests", self.out.add(self.goals.into())?);
        // The title is shown in the window, not the name of the file.
        catalog.set(
            "ViewerPreferences",
            dictionary! { "DisplayDocTitle" => true },
        );
        let root = self.out.add(catalog.into())?;
        describe(&mut self.info, printed);
        let info = self.out.add(self.info.into())?;
        self.out.finish(root, info)
    }

    /// What an earlier part has byte by byte is not written again.
    fn share(&mut self, part: &Document, moves: &mut Moves<'_>) {
        for (id, object) in &part.objects {
            let Object::Stream(stream) = object else {
                continue;
            };
            let Some(sum) = sum(stream) else { continue };
            match self.shared.get(&sum) {
                Some(known) => {
                    moves.to.insert(*id, *known);
                }
                None => {
                    self.shared.insert(sum, moves.id(*id));
                }
            }
        }
    }
}

/// The SHA-256 of a stream that names no other object.
fn sum(stream: &Stream) -> Option<[u8; 32]> {
    let is_alone = |(_, value): (_, &Object)| {
        matches!(
            value,
            Object::Integer(_) | Object::Name(_) | Object::Boolean(_)
        )
    };
    if !stream.dict.iter().all(is_alone) || stream.dict.has(b"Resources") {
        return None;
    }
    let mut sum = Sha256::new();
    sum.update(format!("{:?}", stream.dict));
    sum.update(&stream.content);
    Some(sum.finalize().into())
}

/// The streams that the pages are drawn by.
fn drawings(part: &Document) -> BTreeSet<ObjectId> {
    let pages = part.page_iter();
    pages
        .flat_map(|page| part.get_page_contents(page))
        .collect()
}

/// Where the objects of a part go.
struct Moves<'a> {
    /// What is added to their numbers.
    by: u32,
    /// Those that others stand for.
    to: BTreeMap<ObjectId, ObjectId>,
    /// What is added to the numbers by which pages and links find their tags.
    links: i64,
    /// What goes before the names of cells.
    prefix: String,
    anchors: &'a BTreeMap<String, usize>,
}

impl Moves<'_> {
    fn id(&self, id: ObjectId) -> ObjectId {
        let known = self.to.get(&id).copied();
        known.unwrap_or((id.0.saturating_add(self.by), 0))
    }

    fn object(&self, object: &mut Object) {
        match object {
            Object::Reference(id) => *id = self.id(*id),
            Object::Array(all) => all.iter_mut().for_each(|one| self.object(one)),
            Object::Dictionary(dictionary) => self.dictionary(dictionary),
            Object::Stream(stream) => self.dictionary(&mut stream.dict),
            _ => {}
        }
    }

    fn dictionary(&self, dictionary: &mut Dictionary) {
        for (key, value) in dictionary.iter_mut() {
            match (key.as_slice(), value) {
                (b"StructParent" | b"StructParents", Object::Integer(number)) => {
                    *number += self.links;
                }
                (b"ID", name @ Object::String(..)) => tags::prefixed(name, &self.prefix),
                (b"Headers", Object::Array(names)) => {
                    let names = names.iter_mut();
                    names.for_each(|name| tags::prefixed(name, &self.prefix));
                }
                (_, value) => self.object(value),
            }
        }
        let kind = dictionary.get(b"Subtype").and_then(Object::as_name);
        if kind.is_ok_and(|kind| kind == b"Link") {
            self.link(dictionary);
        }
    }

    /// A link leads to a page of the file or to an address, and says where; a file beside the printed page
    /// lay in the folder that was printed in, which is gone.
    fn link(&self, link: &mut Dictionary) {
        let action = link.get(b"A").and_then(Object::as_dict);
        let address = action.and_then(|action| action.get(b"URI")?.as_str());
        let address = address.map(|address| String::from_utf8_lossy(address).into_owned());
        let address = address.unwrap_or_default();
        if let Some(anchor) = address.strip_prefix(ELSEWHERE) {
            let anchor = percent_decode_str(anchor).collect();
            link.remove(b"A");
            link.set("Dest", Object::Name(anchor));
        }
        let anchor = link.get(b"Dest").and_then(Object::as_name);
        let anchor = anchor.map(|anchor| String::from_utf8_lossy(anchor).into_owned());
        let page = anchor.ok().and_then(|anchor| self.anchors.get(&anchor));
        let says = match page {
            Some(page) => format!("Page {page}"),
            None => address.rsplit('/').next().unwrap_or_default().to_owned(),
        };
        if address.starts_with("file:") {
            link.remove(b"A");
        }
        let says = match address.starts_with("http") {
            true => address,
            false => says,
        };
        link.set("Contents", text_string(&says));
    }
}

/// Day and maker of the file.
fn describe(info: &mut Dictionary, printed: &Printed) {
    info.set(
        "Creator",
        tags::text(concat!("kneemark ", env!("CARGO_PKG_VERSION"))),
    );
    for key in ["CreationDate", "ModDate"] {
        match printed.issued {
            Some(day) => info.set(
                key,
                tags::text(&format!("D:{}000000Z", day.to_string().replace('-', ""))),
            ),
            None => {
                info.remove(key.as_bytes());
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::date;

    /// A part as a browser prints it: a page with a figure in a frame, a cell that names its head, a link into
    /// another part and one to a file, an anchor, an outline.
    fn part(own: &str, other: &str, title: &str) -> Document {
        let mut pdf = Document::with_version("1.4");
        let [pages, page, tree, document, frame, head] = [(); 6].map(|()| pdf.new_object_id());
        let font = pdf.add_object(Stream::new(
            dictionary! { "Length1" => 4 },
            b"font".to_vec(),
        ));
        let drawing = b"BT\n<01> Tj\nET\n/TH <</MCID 0 >>BDC\nBT\n<02> Tj\nET\nEMC\n".to_vec();
        let drawing = pdf.add_object(Stream::new(Dictionary::new(), drawing));
        let link = |address: String, number: i64| {
            dictionary! {
                "Subtype" => "Link",
                "StructParent" => number,
                "A" => dictionary! { "S" => "URI", "URI" => tags::text(&address) },
            }
        };
        let links: Vec<Object> = vec![
            pdf.add_object(link(format!("kneemark:{other}"), 1)).into(),
            pdf.add_object(link("file:///tmp/x/ct.html".to_owned(), 2))
                .into(),
        ];
        let names = dictionary! { "O" => "Table", "Headers" => vec![tags::text("node1")] };
        let cell =
            pdf.add_object(dictionary! { "S" => "TD", "P" => frame, "A" => vec![names.into()] });
        let figure = dictionary! { "S" => "Figure", "P" => frame, "Alt" => tags::text("a curve") };
        let figure = pdf.add_object(figure);
        let all: Vec<(ObjectId, Dictionary)> = vec![
            (
                page,
                dictionary! {
                    "Type" => "Page", "Parent" => pages, "Contents" => drawing, "Annots" => links,
                    "StructParents" => 0, "Font" => font,
                },
            ),
            (
                pages,
                dictionary! { "Type" => "Pages", "Count" => 1, "Kids" => vec![page.into()] },
            ),
            (
                head,
                dictionary! { "S" => "TH", "P" => frame, "Pg" => page, "K" => 0, "ID" => tags::text("node1") },
            ),
            (
                frame,
                dictionary! {
                    "S" => "Figure", "P" => document,
                    "K" => vec![head.into(), cell.into(), figure.into()],
                },
            ),
            (
                document,
                dictionary! { "S" => "Document", "P" => tree, "K" => vec![frame.into()] },
            ),
            (
                tree,
                dictionary! {
                    "K" => document,
                    "ParentTree" => dictionary! { "Nums" => vec![0.into(), vec![head.into()].into()] },
                    "ParentTreeNextKey" => 3,
                    "IDTree" => dictionary! { "Names" => vec![tags::text("node1"), head.into()] },
                },
            ),
        ];
        for (id, object) in all {
            pdf.set_object(id, object);
        }
        let goal: Vec<Object> = vec![page.into(), Object::Name(b"XYZ".to_vec())];
        let entry = pdf.add_object(
            dictionary! { "Title" => tags::text(title), "Dest" => goal.clone(), "SE" => head },
        );
        let outline = pdf.add_object(dictionary! { "First" => entry, "Last" => entry });
        let mut goals = Dictionary::new();
        goals.set(own, goal);
        let root = pdf.add_object(dictionary! {
            "Type" => "Catalog", "Pages" => pages, "Outlines" => outline, "StructTreeRoot" => tree,
            "Dests" => goals, "Lang" => tags::text("en"),
            "MarkInfo" => dictionary! { "Marked" => true },
        });
        let info = dictionary! {
            "Title" => tags::text("T"), "CreationDate" => tags::text("D:20260101000000Z"),
        };
        let info = pdf.add_object(info);
        pdf.trailer.set("Root", root);
        pdf.trailer.set("Info", info);
        pdf
    }

    fn heading(level: usize, text: &str) -> Heading {
        Heading {
            level,
            text: text.to_owned(),
        }
    }

    fn joined(issued: Option<&str>) -> Vec<u8> {
        let anchors = [("a".to_owned(), 1), ("b".to_owned(), 2)].into();
        let mut bytes = Vec::new();
        let mut out = |more: &[u8]| {
            bytes.extend(more);
            Ok(())
        };
        let mut joined = Joined::begun(&mut out, &anchors).unwrap();
        let add = |joined: &mut Joined<'_>, part: Document, heading: Heading| {
            joined.add(part, &[heading]).unwrap();
        };
        add(
            &mut joined,
            part("a", "b", "A longtitle"),
            heading(1, "A long title"),
        );
        add(&mut joined, part("b", "a", "B"), heading(2, "B"));
        add(&mut joined, part("c", "a", "C"), heading(3, "C"));
        add(&mut joined, part("d", "a", "D"), heading(4, "D"));
        let issued = issued.map(|day| date::read(day).unwrap());
        let length = joined.finish(&Printed { issued }).unwrap();
        assert_eq!(length, bytes.len() as u64);
        bytes
    }

    fn read() -> (Document, Dictionary) {
        let pdf = Document::load_mem(&joined(None)).unwrap();
        let catalog = pdf.catalog().unwrap().clone();
        (pdf, catalog)
    }

    fn at<'d>(pdf: &'d Document, from: &'d Dictionary, key: &[u8]) -> &'d Dictionary {
        let (_, found) = pdf.dereference(from.get(key).unwrap()).unwrap();
        found.as_dict().unwrap()
    }

    fn number(from: &Dictionary, key: &[u8]) -> i64 {
        from.get(key).unwrap().as_i64().unwrap()
    }

    #[test]
    fn a_link_leads_into_another_part_and_says_where() {
        let (pdf, catalog) = read();
        let pages = pdf.get_pages();
        let links = pdf.get_page_annotations(pages[&1]).unwrap();
        assert_eq!(links[0].get(b"Dest").unwrap().as_name().unwrap(), b"b");
        assert_eq!(
            links[0].get(b"Contents").unwrap().as_str().unwrap(),
            b"Page 2"
        );
        assert!(!links[0].has(b"A") && !links[1].has(b"A"));
        let goal = at(&pdf, &catalog, b"Dests").get(b"b").unwrap();
        let goal = goal.as_array().unwrap();
        assert_eq!(goal[0].as_reference().unwrap(), pages[&2]);
        assert_eq!(pages.len(), 4);
    }

    #[test]
    fn the_tags_are_one_tree() {
        let (pdf, catalog) = read();
        let tree = at(&pdf, &catalog, b"StructTreeRoot");
        let document = at(&pdf, tree, b"K");
        let frames = document.get(b"K").unwrap().as_array().unwrap();
        assert_eq!(frames.len(), 4);
        let second = pdf
            .get_dictionary(frames[1].as_reference().unwrap())
            .unwrap();
        assert_eq!(at(&pdf, second, b"P"), document);
        assert_eq!(second.get(b"S").unwrap().as_name().unwrap(), b"Div");
        let page = pdf.get_dictionary(pdf.get_pages()[&2]).unwrap();
        assert_eq!(number(page, b"StructParents"), 3);
        let link = &pdf.get_page_annotations(pdf.get_pages()[&2]).unwrap()[1];
        assert_eq!(number(link, b"StructParent"), 5);
        let leaves = at(&pdf, tree, b"ParentTree").get(b"Kids").unwrap();
        let leaf = leaves.as_array().unwrap()[1].as_reference().unwrap();
        let leaf = pdf.get_dictionary(leaf).unwrap();
        assert_eq!(
            leaf.get(b"Nums").unwrap().as_array().unwrap()[0]
                .as_i64()
                .unwrap(),
            3
        );
        assert_eq!(number(tree, b"ParentTreeNextKey"), 12);
        let all = format!("{:?}", pdf.objects);
        assert_eq!(
            all.matches("(0002-node1)").count(),
            5,
            "tag, list with limits, cell"
        );
    }

    /// The report and its chapters are seen, what lies below is closed; a title has its spaces.
    #[test]
    fn the_outline_nests_what_the_parts_hold() {
        let (pdf, catalog) = read();
        let mut at_entry = at(&pdf, &catalog, b"Outlines");
        let mut seen = vec![number(at_entry, b"Count")];
        let mut titles = Vec::new();
        while at_entry.has(b"First") {
            at_entry = at(&pdf, at_entry, b"First");
            titles.push(lopdf::decode_text_string(at_entry.get(b"Title").unwrap()).unwrap());
            seen.extend(at_entry.get(b"Count").and_then(Object::as_i64));
        }
        assert_eq!(seen, [2, 1, -1, -1]);
        assert_eq!(titles, ["A long title", "B", "C", "D"]);
    }

    #[test]
    fn what_two_parts_hold_is_written_once_and_what_has_no_tag_is_marked() {
        let (pdf, _) = read();
        let streams = pdf.objects.values().filter_map(|o| o.as_stream().ok());
        let fonts = streams.filter(|stream| stream.content == b"font");
        assert_eq!(fonts.count(), 1);
        let drawing = pdf.get_page_content(pdf.get_pages()[&3]);
        assert!(drawing.starts_with(b"/Artifact BMC\nBT\n<01> Tj\nET\nEMC\n/TH"));
    }

    #[test]
    fn the_file_has_the_day_of_issue_and_no_other() {
        let day = |bytes: &[u8]| {
            let pdf = Document::load_mem(bytes).unwrap();
            let info = at(&pdf, &pdf.trailer, b"Info").clone();
            let day = info.get(b"CreationDate").and_then(Object::as_str);
            day.map(|day| String::from_utf8(day.to_vec()).unwrap()).ok()
        };
        let bytes = joined(Some("2026-11-20"));
        assert_eq!(day(&bytes).as_deref(), Some("D:20261120000000Z"));
        assert_eq!(day(&joined(None)), None);
        assert_eq!(bytes, joined(Some("2026-11-20")));
        let pdf = Document::load_mem(&bytes).unwrap();
        assert!(pdf.trailer.has(b"ID") && !format!("{:?}", pdf.objects).contains("/tmp/x"));
    }
}
