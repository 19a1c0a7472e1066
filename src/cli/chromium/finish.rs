//! A printed PDF read back: on which page each anchor lies, and what the file says of itself.

use super::Printed;
use lopdf::{Dictionary, Document, Object, ObjectId, SaveOptions, StringFormat};
use sha2::{Digest as _, Sha256};
use std::collections::BTreeMap;

/// How deep the outline stands open: the report, its chapters and CTs. Deeper levels open on request.
const OPEN_LEVELS: usize = 1;
/// More than any outline nests.
const MOST_LEVELS: usize = 16;

/// A PDF as printed.
pub struct Pdf(Document);

/// The file is Chromium's own, so that this is told as one fault.
fn odd(error: &lopdf::Error) -> String {
    format!("the printed file cannot be read back: {error}; print pack.html from a browser")
}

impl Pdf {
    pub fn read(bytes: &[u8]) -> Result<Self, String> {
        let document = Document::load_mem(bytes).map_err(|error| odd(&error))?;
        Ok(Self(document))
    }

    /// How many pages it has.
    pub fn count(&self) -> usize {
        self.0.get_pages().len()
    }

    /// The page, from 1, on which each anchor lies that a link goes to.
    pub fn pages_of_anchors(&self) -> BTreeMap<String, u32> {
        let numbers = self.0.get_pages();
        let numbers: BTreeMap<ObjectId, u32> =
            numbers.into_iter().map(|(at, id)| (id, at)).collect();
        let anchors = self.0.catalog().and_then(|catalog| catalog.get(b"Dests"));
        let anchors = anchors.and_then(|anchors| self.0.dereference(anchors)?.1.as_dict());
        let Ok(anchors) = anchors else {
            return BTreeMap::new();
        };
        let page = |goal: &Object| {
            let (_, goal) = self.0.dereference(goal).ok()?;
            let page = goal.as_array().ok()?.first()?.as_reference().ok()?;
            numbers.get(&page).copied()
        };
        let named = anchors.iter().filter_map(|(name, goal)| {
            let name = String::from_utf8_lossy(name).into_owned();
            Some((name, page(goal)?))
        });
        named.collect()
    }

    /// The bytes, with the day of issue, without what changes from print to print.
    pub fn finished(mut self, printed: &Printed) -> Result<Vec<u8>, String> {
        self.describe(printed).map_err(|error| odd(&error))?;
        self.fold_outline().map_err(|error| odd(&error))?;
        self.forget_files();
        // Object streams: the tags of a whole pack are many small objects, and most of its length.
        let packed = SaveOptions::builder()
            .use_object_streams(true)
            .use_xref_streams(true)
            .compression_level(9)
            .build();
        let written = |document: &mut Document| {
            let mut bytes = Vec::new();
            document
                .save_with_options(&mut bytes, packed.clone())
                .map(|()| bytes)
                .map_err(|error| format!("the printed file cannot be written: {error}"))
        };
        let bytes = written(&mut self.0)?;
        // The identity is that of the bytes without it.
        let digest = Sha256::digest(&bytes);
        let id = Object::String(
            digest.iter().take(16).copied().collect(),
            StringFormat::Hexadecimal,
        );
        self.0.trailer.set("ID", vec![id.clone(), id]);
        written(&mut self.0)
    }

    /// Day and maker of the file; the title shown in the window, the outline beside the page.
    fn describe(&mut self, printed: &Printed) -> Result<(), lopdf::Error> {
        let info = self.0.trailer.get(b"Info")?.as_reference()?;
        let info = self.0.get_object_mut(info)?.as_dict_mut()?;
        info.set(
            "Creator",
            text(concat!("kneemark ", env!("CARGO_PKG_VERSION"))),
        );
        for key in ["CreationDate", "ModDate"] {
            match printed.issued {
                Some(day) => info.set(
                    key,
                    text(&format!("D:{}000000Z", day.to_string().replace('-', ""))),
                ),
                None => {
                    info.remove(key.as_bytes());
                }
            }
        }
        let mut shown = Dictionary::new();
        shown.set("DisplayDocTitle", true);
        let catalog = self.0.catalog_mut()?;
        catalog.set("ViewerPreferences", shown);
        if catalog.has(b"Outlines") {
            catalog.set("PageMode", Object::Name(b"UseOutlines".to_vec()));
        }
        Ok(())
    }

    /// A link to a file beside the page leads into the folder that was printed in, which is gone.
    fn forget_files(&mut self) {
        let is_file = |object: &Object| {
            let action = object.as_dict().and_then(|link| link.get(b"A")?.as_dict());
            let address = action.and_then(|action| action.get(b"URI")?.as_str());
            address.is_ok_and(|address| address.starts_with(b"file:"))
        };
        for object in self.0.objects.values_mut() {
            if is_file(object)
                && let Ok(link) = object.as_dict_mut()
            {
                link.remove(b"A");
            }
        }
    }

    /// Closes what lies below the chapters: hundreds of lines that stand open show nobody where he is.
    fn fold_outline(&mut self) -> Result<(), lopdf::Error> {
        let Ok(root) = self.0.catalog()?.get(b"Outlines") else {
            return Ok(());
        };
        let root = root.as_reference()?;
        let count = self.fold(root, 0)?;
        self.0.get_dictionary_mut(root)?.set("Count", count);
        Ok(())
    }

    /// Folds what lies below an entry; gives how many entries then stand open there.
    fn fold(&mut self, entry: ObjectId, level: usize) -> Result<i64, lopdf::Error> {
        let mut next = self.reference(entry, b"First");
        let (mut direct, mut open) = (0, 0);
        while let Some(child) = next.filter(|_| level < MOST_LEVELS) {
            direct += 1;
            open += 1 + self.fold(child, level + 1)?.max(0);
            next = self.reference(child, b"Next");
        }
        if level == 0 || direct == 0 {
            return Ok(open);
        }
        let count = if level > OPEN_LEVELS { -direct } else { open };
        self.0.get_dictionary_mut(entry)?.set("Count", count);
        Ok(count)
    }

    fn reference(&self, entry: ObjectId, key: &[u8]) -> Option<ObjectId> {
        let entry = self.0.get_dictionary(entry).ok()?;
        entry.get(key).ok()?.as_reference().ok()
    }
}

fn text(text: &str) -> Object {
    Object::string_literal(text)
}
