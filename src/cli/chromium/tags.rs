//! The tags that readers for the blind go by: each part is printed as a document of its own, and the file
//! has one.

use super::Fault;
use super::write::Writer;
use lopdf::{Dictionary, Document, Object, ObjectId, StringFormat, dictionary};
use std::collections::BTreeSet;

/// More than any tree of a printed part nests.
const MOST_LEVELS: usize = 64;
/// Tags of a later edition than the file's, and what they are here.
const ROLES: &[(&str, &str)] = &[("Strong", "Span"), ("Em", "Span")];

/// The tags of a part as it was printed.
#[derive(Default)]
pub struct Printed {
    /// The roots that the one document stands for.
    pub roots: Vec<ObjectId>,
    /// Lists that are written anew.
    pub lists: Vec<ObjectId>,
    /// Figures that only hold another one, which has the words in place of the picture.
    pub frames: BTreeSet<ObjectId>,
    kids: Vec<Object>,
    /// What belongs to the numbers of pages and links, and to the names of cells.
    parents: Vec<(Object, Object)>,
    names: Vec<(Object, Object)>,
    next: i64,
    roles: Dictionary,
}

impl Printed {
    pub fn of(part: &Document) -> Self {
        let mut tags = Self::default();
        let tree = part.catalog().and_then(|root| root.get(b"StructTreeRoot"));
        let Some((tree, root)) = tree.ok().and_then(|tree| reached(part, tree)) else {
            return tags;
        };
        tags.roots.extend(tree);
        for kid in listed(part, root.get(b"K").ok()) {
            match reached(part, &kid) {
                Some((id, kid)) if is(kid, b"Document") => {
                    tags.roots.extend(id);
                    tags.kids.extend(listed(part, kid.get(b"K").ok()));
                }
                _ => tags.kids.push(kid),
            }
        }
        let Self {
            lists,
            parents,
            names,
            ..
        } = &mut tags;
        pairs(part, root.get(b"ParentTree").ok(), b"Nums", parents, lists);
        pairs(part, root.get(b"IDTree").ok(), b"Names", names, lists);
        tags.next = root
            .get(b"ParentTreeNextKey")
            .and_then(Object::as_i64)
            .unwrap_or_default();
        if let Ok(roles) = root
            .get(b"RoleMap")
            .and_then(|roles| part.dereference(roles))
            && let Ok(roles) = roles.1.as_dict()
        {
            tags.roles = roles.clone();
        }
        tags.frames = frames(part);
        tags
    }
}

/// The tags of all parts.
pub struct Tags {
    root: ObjectId,
    pub document: ObjectId,
    kids: Vec<Object>,
    parents: Vec<Object>,
    names: Vec<Object>,
    /// The first free number of a page or link.
    pub next: i64,
    roles: Dictionary,
}

impl Tags {
    pub fn begun(out: &mut Writer<'_>) -> Self {
        let mut roles = Dictionary::new();
        for (tag, role) in ROLES {
            roles.set(*tag, Object::Name(role.as_bytes().to_vec()));
        }
        Self {
            root: out.reserve(),
            document: out.reserve(),
            kids: Vec::new(),
            parents: Vec::new(),
            names: Vec::new(),
            next: 0,
            roles,
        }
    }

    /// Adds those of a part, whose objects move.
    pub fn add(
        &mut self,
        mut part: Printed,
        prefix: &str,
        moved: &dyn Fn(&mut Object),
        out: &mut Writer<'_>,
    ) -> Result<(), Fault> {
        part.kids.iter_mut().for_each(moved);
        self.kids.append(&mut part.kids);
        let (mut next, before) = (part.next, self.next);
        for (key, value) in &mut part.parents {
            let own = key.as_i64().unwrap_or_default();
            next = next.max(own + 1);
            *key = (own + before).into();
            moved(value);
        }
        for (name, value) in &mut part.names {
            prefixed(name, prefix);
            moved(value);
        }
        self.next += next;
        self.parents.extend(leaf(part.parents, "Nums", out)?);
        self.names.extend(leaf(part.names, "Names", out)?);
        for (tag, role) in part.roles {
            self.roles.set(tag, role);
        }
        Ok(())
    }

    /// Writes what all parts share; gives the root of the tags.
    pub fn put(self, language: Option<&Object>, out: &mut Writer<'_>) -> Result<ObjectId, Fault> {
        let parents = out.add(dictionary! { "Kids" => self.parents }.into())?;
        let mut document = dictionary! {
            "Type" => "StructElem",
            "S" => "Document",
            "P" => self.root,
            "K" => self.kids,
        };
        if let Some(language) = language {
            document.set("Lang", language.clone());
        }
        out.put(self.document, document.into())?;
        let mut root = dictionary! {
            "Type" => "StructTreeRoot",
            "K" => self.document,
            "ParentTree" => parents,
            "ParentTreeNextKey" => self.next,
            "RoleMap" => self.roles,
        };
        if !self.names.is_empty() {
            let names = out.add(dictionary! { "Kids" => self.names }.into())?;
            root.set("IDTree", names);
        }
        out.put(self.root, root.into())?;
        Ok(self.root)
    }
}

/// Puts a part's name before the name of a cell, so that no two parts have the same.
pub fn prefixed(name: &mut Object, prefix: &str) {
    if let Object::String(name, _) = name {
        name.splice(0..0, prefix.bytes());
    }
}

/// A leaf of a tree of numbers or names.
fn leaf(
    pairs: Vec<(Object, Object)>,
    key: &str,
    out: &mut Writer<'_>,
) -> Result<Option<Object>, Fault> {
    let (Some((first, _)), Some((last, _))) = (pairs.first(), pairs.last()) else {
        return Ok(None);
    };
    let limits = vec![first.clone(), last.clone()];
    let pairs: Vec<Object> = pairs.into_iter().flat_map(|(a, b)| [a, b]).collect();
    let mut leaf = dictionary! { "Limits" => limits };
    leaf.set(key, pairs);
    Ok(Some(out.add(leaf.into())?.into()))
}

/// The pairs of a tree of numbers or names, and the objects it is made of.
fn pairs(
    part: &Document,
    tree: Option<&Object>,
    key: &[u8],
    pairs: &mut Vec<(Object, Object)>,
    lists: &mut Vec<ObjectId>,
) {
    let mut open: Vec<(Object, usize)> = tree.map(|tree| (tree.clone(), 0)).into_iter().collect();
    while let Some((node, depth)) = open.pop() {
        let Some((id, node)) = reached(part, &node).filter(|_| depth < MOST_LEVELS) else {
            continue;
        };
        lists.extend(id);
        let own = listed(part, node.get(key).ok());
        let mut own = own.into_iter();
        while let (Some(key), Some(value)) = (own.next(), own.next()) {
            pairs.push((key, value));
        }
        let kids = listed(part, node.get(b"Kids").ok());
        open.extend(kids.into_iter().rev().map(|kid| (kid, depth + 1)));
    }
}

/// Figures without words that hold one with words.
fn frames(part: &Document) -> BTreeSet<ObjectId> {
    let mut frames = BTreeSet::new();
    for figure in part.objects.values().filter_map(|o| o.as_dict().ok()) {
        if !is(figure, b"Figure") || !figure.has(b"Alt") {
            continue;
        }
        let mut inner = figure;
        for _ in 0..MOST_LEVELS {
            let outer = inner.get(b"P").ok().and_then(|outer| reached(part, outer));
            let Some((Some(id), outer)) = outer else {
                break;
            };
            if is(outer, b"Figure") && !outer.has(b"Alt") {
                frames.insert(id);
            }
            inner = outer;
        }
    }
    frames
}

fn is(tag: &Dictionary, name: &[u8]) -> bool {
    let own = tag.get(b"S").and_then(Object::as_name);
    own.is_ok_and(|own| own == name)
}

/// What is in a list, or the one that stands in its place.
fn listed(part: &Document, object: Option<&Object>) -> Vec<Object> {
    let Some(object) = object else {
        return Vec::new();
    };
    match part.dereference(object) {
        Ok((_, Object::Array(all))) => all.clone(),
        _ => vec![object.clone()],
    }
}

/// A dictionary, with its number where it has one.
fn reached<'p>(
    part: &'p Document,
    object: &'p Object,
) -> Option<(Option<ObjectId>, &'p Dictionary)> {
    let (id, object) = part.dereference(object).ok()?;
    Some((id, object.as_dict().ok()?))
}

/// A text that is ASCII.
pub fn text(text: &str) -> Object {
    Object::String(text.as_bytes().to_vec(), StringFormat::Literal)
}
