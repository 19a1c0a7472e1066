//! The outline beside the pages: one for all parts, nested by the levels of the page's headings.

use super::Fault;
use super::write::Writer;
use lopdf::{Dictionary, Document, Object, ObjectId, text_string};

/// How deep the outline stands open: the report, its chapters and CTs. Deeper levels open on request.
const OPEN_LEVELS: usize = 1;
/// More than any outline nests.
const MOST_LEVELS: usize = 16;

/// A heading of a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Heading {
    pub level: usize,
    pub text: String,
}

impl Heading {
    /// The headings of a page in their order.
    pub fn all(page: &str) -> Vec<Self> {
        let of = |rest: &str| {
            let level = usize::from(*rest.as_bytes().first()?).checked_sub(usize::from(b'0'))?;
            let begin = rest.get(1..)?;
            if !(1..=6).contains(&level) || !begin.starts_with([' ', '>']) {
                return None;
            }
            let inner = begin.split_once('>')?.1;
            let inner = inner.split_once(&format!("</h{level}>"))?.0;
            Some(Self {
                level,
                text: plain(inner),
            })
        };
        page.split("<h").skip(1).filter_map(of).collect()
    }
}

/// What is read of a piece of a page.
fn plain(html: &str) -> String {
    let mut pieces = html.split('<');
    let mut text = pieces.next().unwrap_or_default().to_owned();
    for piece in pieces {
        text.push_str(piece.split_once('>').map_or("", |(_, text)| text));
    }
    let plain = [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#39;", "'"),
        ("&amp;", "&"),
    ];
    for (entity, character) in plain {
        text = text.replace(entity, character);
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// An entry: a level, a title, a goal.
struct Entry {
    level: usize,
    entry: Dictionary,
}

/// The entries of all parts.
#[derive(Default)]
pub struct Outline(Vec<Entry>);

impl Outline {
    /// Adds the entries that were printed for a part; gives their objects, which are not needed any more.
    /// A browser drops the space at which a long heading is broken, and nests a part by itself: title and
    /// level are those of the page's heading.
    pub fn add(
        &mut self,
        part: &Document,
        headings: &[Heading],
        moved: &dyn Fn(&mut Object),
    ) -> Vec<ObjectId> {
        let Some(root) = reference(part.catalog().ok(), b"Outlines") else {
            return Vec::new();
        };
        let mut printed = vec![(root, 0)];
        gather(part, root, 1, &mut printed);
        let mut headings = headings.iter();
        for (id, depth) in printed.iter().skip(1) {
            let Ok(entry) = part.get_dictionary(*id) else {
                continue;
            };
            let title = entry.get(b"Title").and_then(lopdf::decode_text_string);
            let title = title.unwrap_or_default();
            let mut ahead = headings.clone();
            let heading = ahead.find(|heading| squeezed(&heading.text) == squeezed(&title));
            if heading.is_some() {
                headings = ahead;
            }
            let mut kept = Dictionary::new();
            let title = heading.map_or(title, |heading| heading.text.clone());
            kept.set("Title", text_string(&title));
            for key in [b"Dest".as_slice(), b"SE"] {
                if let Ok(goal) = entry.get(key) {
                    let mut goal = goal.clone();
                    moved(&mut goal);
                    kept.set(key, goal);
                }
            }
            self.0.push(Entry {
                level: heading.map_or(*depth, |heading| heading.level),
                entry: kept,
            });
        }
        printed.into_iter().map(|(id, _)| id).collect()
    }

    /// Writes the outline; gives its root, or nothing where there are no entries.
    pub fn put(self, out: &mut Writer<'_>) -> Result<Option<ObjectId>, Fault> {
        if self.0.is_empty() {
            return Ok(None);
        }
        let root = out.reserve();
        let mut nodes = vec![Node::new(root, 0, Dictionary::new())];
        // Where the last entry of each level that is still open stands.
        let mut open = vec![0];
        for Entry { level, entry } in self.0 {
            let is_within =
                |at: &usize| *at == 0 || nodes.get(*at).is_some_and(|node| node.level < level);
            open.retain(is_within);
            let (id, at) = (out.reserve(), nodes.len());
            let mut node = Node::new(id, level, entry);
            node.depth = open.len();
            let parent = open.last().copied().unwrap_or_default();
            if let Some(parent) = nodes.get_mut(parent) {
                node.entry.set("Parent", parent.id);
                parent.children.push(at);
            }
            nodes.push(node);
            open.push(at);
        }
        for at in (0..nodes.len()).rev() {
            link(&mut nodes, at);
        }
        for node in nodes {
            out.put(node.id, node.entry.into())?;
        }
        Ok(Some(root))
    }
}

struct Node {
    id: ObjectId,
    level: usize,
    /// 0 for the root, 1 for what stands in it.
    depth: usize,
    entry: Dictionary,
    children: Vec<usize>,
    /// How many entries below it are seen while it stands open.
    seen: i64,
}

impl Node {
    fn new(id: ObjectId, level: usize, entry: Dictionary) -> Self {
        Self {
            id,
            level,
            depth: 0,
            entry,
            children: Vec::new(),
            seen: 0,
        }
    }
}

/// Ties an entry to its children, whose own children were tied before.
fn link(nodes: &mut [Node], at: usize) {
    let Some(node) = nodes.get(at) else { return };
    let (children, depth) = (node.children.clone(), node.depth);
    let ids = children.iter().filter_map(|child| nodes.get(*child));
    let ids: Vec<(ObjectId, i64)> = ids.map(|child| (child.id, child.seen)).collect();
    let (Some(first), Some(last)) = (ids.first(), ids.last()) else {
        return;
    };
    let is_open = depth <= OPEN_LEVELS;
    let direct = i64::try_from(ids.len()).unwrap_or(i64::MAX);
    let seen = direct + ids.iter().map(|(_, seen)| seen).sum::<i64>();
    if let Some(node) = nodes.get_mut(at) {
        node.entry.set("First", first.0);
        node.entry.set("Last", last.0);
        node.entry
            .set("Count", if is_open { seen } else { -direct });
        node.seen = if is_open { seen } else { 0 };
    }
    let (mut before, behind) = (None, ids.iter().skip(1).map(|(id, _)| Some(*id)));
    let behind = behind.chain([None]);
    for (child, next) in children.into_iter().zip(behind) {
        let Some(child) = nodes.get_mut(child) else {
            continue;
        };
        if let Some(next) = next {
            child.entry.set("Next", next);
        }
        if let Some(before) = before.replace(child.id) {
            child.entry.set("Prev", before);
        }
    }
}

/// The entries below one, with their depths.
fn gather(part: &Document, entry: ObjectId, depth: usize, printed: &mut Vec<(ObjectId, usize)>) {
    let mut next = reference(part.get_dictionary(entry).ok(), b"First");
    while let Some(child) = next.filter(|_| depth < MOST_LEVELS) {
        printed.push((child, depth));
        gather(part, child, depth + 1, printed);
        next = reference(part.get_dictionary(child).ok(), b"Next");
    }
}

fn reference(dictionary: Option<&Dictionary>, key: &[u8]) -> Option<ObjectId> {
    dictionary?.get(key).ok()?.as_reference().ok()
}

fn squeezed(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_read_as_people_read_them() {
        let page = "<header>x</header><h1 id=\"a\">A &lt; B\n<em>c</em></h1><p>x</p><h3>C</h3><hr>";
        let of = |level, text: &str| Heading {
            level,
            text: text.to_owned(),
        };
        assert_eq!(Heading::all(page), [of(1, "A < B c"), of(3, "C")]);
    }
}
