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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ground::date;
    use lopdf::dictionary;

    /// Two pages, an anchor on the second, a link to a file, and an outline of four levels.
    fn printed() -> Vec<u8> {
        let mut pdf = Document::with_version("1.4");
        let pages = pdf.new_object_id();
        let link = pdf.add_object(dictionary! {
            "Subtype" => "Link",
            "A" => dictionary! { "S" => "URI", "URI" => text("file:///tmp/x/ct.html") },
        });
        let mut page = || {
            pdf.add_object(
                dictionary! { "Type" => "Page", "Parent" => pages, "Annots" => vec![link.into()] },
            )
        };
        let (first, second) = (page(), page());
        let kids: Vec<Object> = vec![first.into(), second.into()];
        pdf.set_object(
            pages,
            dictionary! { "Type" => "Pages", "Count" => 2, "Kids" => kids },
        );
        let mut child: Option<ObjectId> = None;
        for level in (1..=4).rev() {
            let mut entry = dictionary! { "Title" => text(&format!("level {level}")) };
            if let Some(child) = child {
                entry.set("First", child);
                entry.set("Last", child);
                entry.set("Count", 4 - level);
            }
            child = Some(pdf.add_object(entry));
        }
        let top = child.unwrap();
        let outline = pdf.add_object(dictionary! { "First" => top, "Last" => top, "Count" => 4 });
        let goal: Vec<Object> = vec![second.into(), Object::Name(b"XYZ".to_vec())];
        let root = pdf.add_object(dictionary! {
            "Type" => "Catalog",
            "Pages" => pages,
            "Outlines" => outline,
            "Dests" => dictionary! { "h07" => goal },
        });
        let info = pdf.add_object(
            dictionary! { "Title" => text("T"), "CreationDate" => text("D:20260101000000Z") },
        );
        pdf.trailer.set("Root", root);
        pdf.trailer.set("Info", info);
        let mut bytes = Vec::new();
        pdf.save_to(&mut bytes).unwrap();
        bytes
    }

    fn finished(issued: Option<&str>) -> Vec<u8> {
        let issued = issued.map(|day| date::read(day).unwrap());
        let pdf = Pdf::read(&printed()).unwrap();
        pdf.finished(&Printed { issued }).unwrap()
    }

    #[test]
    fn an_anchor_is_found_on_its_page() {
        let pdf = Pdf::read(&printed()).unwrap();
        assert_eq!(pdf.count(), 2);
        assert_eq!(pdf.pages_of_anchors(), [("h07".to_owned(), 2)].into());
    }

    #[test]
    fn the_file_has_the_day_of_issue_and_no_other() {
        let day = |bytes: &[u8]| {
            let pdf = Document::load_mem(bytes).unwrap();
            let info = pdf.trailer.get(b"Info").unwrap().as_reference().unwrap();
            let info = pdf.get_dictionary(info).unwrap().clone();
            let day = info.get(b"CreationDate").and_then(Object::as_str);
            day.map(|day| String::from_utf8(day.to_vec()).unwrap()).ok()
        };
        let bytes = finished(Some("2026-11-20"));
        assert_eq!(day(&bytes).as_deref(), Some("D:20261120000000Z"));
        assert_eq!(day(&finished(None)), None);
        assert_eq!(bytes, finished(Some("2026-11-20")));
        let all = String::from_utf8_lossy(&bytes).into_owned();
        assert!(all.contains("/ID") && !all.contains("/tmp/x"));
    }

    /// The report and its chapters are seen, what lies below is closed.
    #[test]
    fn the_outline_opens_at_the_chapters() {
        let pdf = Document::load_mem(&finished(None)).unwrap();
        let mut at = pdf
            .catalog()
            .unwrap()
            .get(b"Outlines")
            .unwrap()
            .as_reference()
            .unwrap();
        let mut counts = Vec::new();
        loop {
            let entry = pdf.get_dictionary(at).unwrap();
            counts.push(entry.get(b"Count").and_then(Object::as_i64).ok());
            match entry.get(b"First").and_then(Object::as_reference) {
                Ok(first) => at = first,
                Err(_) => break,
            }
        }
        assert_eq!(counts, [Some(2), Some(1), Some(-1), Some(-1), None]);
    }
}
