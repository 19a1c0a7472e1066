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
