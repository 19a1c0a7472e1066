//! HTML of Markdown that carries marks. It is more than a plain conversion: headings get ids and
//! chapters, tables a box to scroll in and proper headers, pictures take their places, grades their
//! colours. Raw HTML comes out as text, links go to relative, http(s) and mailto targets only, and
//! no picture is fetched.

use super::block::{Picture, Pictures};
use super::links::{allowed, page_id};
use super::marks::{Mark, Piece, pieces};
use super::slug::free;
use super::table::{CellHtml, TableHtml};
use super::{escape_html, slug_or};
use pulldown_cmark::{
    CowStr, Event, HeadingLevel, Options, Parser, Tag, TagEnd, TextMergeStream, html::push_html,
};
use std::collections::BTreeSet;

/// Where a report lies, seen from the page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Links {
    /// On a page of its own.
    #[default]
    Pages,
    /// Further down on the same page.
    Within,
}

/// How a document stands in its page.
#[derive(Clone, Debug, Default)]
pub struct Within {
    /// Starts every id and every link within the document, so that several can stand in one page.
    pub prefix: String,
    /// By how many levels its headings are lowered.
    pub lower: usize,
    pub links: Links,
}

/// What has to be closed.
enum Open {
    /// A chapter, at the next heading of its level or a higher one.
    Chapter(HeadingLevel),
    /// A group or fold, by its own end; with its end tag.
    Group(&'static str),
}

struct Converter<'s> {
    pictures: &'s Pictures,
    within: &'s Within,
    out: String,
    open: Vec<Open>,
    /// Text of the last heading, to name tables by.
    heading: String,
    /// Caption for the next table, as HTML and as text.
    caption: Option<(String, String)>,
    /// Ids that headings have.
    anchors: BTreeSet<String>,
}

/// Converts a document.
pub fn html(marked: &str, pictures: &Pictures, within: &Within) -> String {
    joined(&chapters(marked), pictures, within)
}

/// The parts of a document, one after the other.
fn joined(parts: &[&str], pictures: &Pictures, within: &Within) -> String {
    let mut converter = Converter {
        pictures,
        within,
        out: String::new(),
        open: Vec::new(),
        heading: String::new(),
        caption: None,
        anchors: BTreeSet::new(),
    };
    for part in parts {
        let parsed = Parser::new_ext(part, Options::ENABLE_TABLES).map(without_html);
        converter.blocks(&mut TextMergeStream::new(parsed));
    }
    converter.close();
    converter.out
}

/// A text in parts that read alike by themselves, so that of a long one only a part is held as a tree: a
/// heading behind an empty line ends every block before it. What could reach across one (a fence, raw HTML,
/// a definition of a link, as a client's template may have them) keeps the text whole.
fn chapters(marked: &str) -> Vec<&str> {
    let reaches = |line: &str| {
        let line = line.trim_start();
        line.starts_with(['<', '`', '~']) || line.starts_with('[') && line.contains("]:")
    };
    if marked.lines().any(reaches) {
        return vec![marked];
    }
    let mut parts = Vec::new();
    let mut rest = marked;
    while let Some(at) = rest.find("\n\n#") {
        let (part, behind) = rest.split_at(at + 2);
        parts.push(part);
        rest = behind;
    }
    parts.push(rest);
    parts
}

/// Raw HTML is text like any other.
fn without_html(event: Event<'_>) -> Event<'_> {
    match event {
        Event::Html(text) | Event::InlineHtml(text) => Event::Text(text),
        Event::Start(Tag::HtmlBlock) => Event::Start(Tag::Paragraph),
        Event::End(TagEnd::HtmlBlock) => Event::End(TagEnd::Paragraph),
        other => other,
    }
}

/// The events up to an end, without it.
fn until<'m>(
    events: &mut impl Iterator<Item = Event<'m>>,
    is_end: impl Fn(&TagEnd) -> bool,
) -> Vec<Event<'m>> {
    events
        .take_while(|event| !matches!(event, Event::End(end) if is_end(end)))
        .collect()
}

/// The letters of some events, without marks.
fn letters(events: &[Event<'_>]) -> String {
    let mut out = String::new();
    for event in events {
        match event {
            Event::Text(text) | Event::Code(text) => {
                for piece in pieces(text) {
                    if let Piece::Text(text) = piece {
                        out.push_str(text);
                    }
                }
            }
            Event::SoftBreak | Event::HardBreak => out.push(' '),
            _ => {}
        }
    }
    out
}

/// Takes the marks off the front of a part.
fn marks(events: &mut [Event<'_>]) -> Vec<Mark> {
    let Some(Event::Text(text)) = events.first_mut() else {
        return Vec::new();
    };
    let mut found = Vec::new();
    let mut rest = String::new();
    for piece in pieces(text) {
        match piece {
            Piece::Mark(mark @ (Mark::Hide | Mark::Under | Mark::Break | Mark::Shown)) => {
                rest.push_str(&mark.to_string());
            }
            Piece::Mark(mark) if rest.is_empty() => found.push(mark),
            Piece::Mark(_) => {}
            Piece::Text(text) => rest.push_str(text),
        }
    }
    *text = CowStr::from(rest);
    found
}

/// The mark at the front of the next event's text.
fn first_mark(event: Option<&Event<'_>>) -> Option<Mark> {
    let Some(Event::Text(text)) = event else {
        return None;
    };
    match pieces(text).into_iter().next() {
        Some(Piece::Mark(mark)) => Some(mark),
        _ => None,
    }
}

impl Converter<'_> {
    fn blocks<'m>(&mut self, events: &mut impl Iterator<Item = Event<'m>>) {
        let mut plain: Vec<Event<'_>> = Vec::new();
        while let Some(event) = events.next() {
            match event {
                Event::Start(Tag::Heading { level, .. }) => {
                    self.flush(&mut plain);
                    let inner = until(events, |end| matches!(end, TagEnd::Heading(_)));
                    self.heading(level, inner);
                }
                Event::Start(Tag::Table(alignments)) => {
                    self.flush(&mut plain);
                    let table = self.table(alignments, events);
                    self.out.push_str(&table);
                }
                Event::Start(Tag::Paragraph) => {
                    let inner = until(events, |end| matches!(end, TagEnd::Paragraph));
                    self.paragraph(inner, &mut plain);
                }
                other => plain.push(other),
            }
        }
        self.flush(&mut plain);
    }

    fn close(&mut self) {
        while let Some(open) = self.open.pop() {
            self.end(&open);
        }
    }

    fn flush(&mut self, events: &mut Vec<Event<'_>>) {
        let events = std::mem::take(events);
        let shown = self.inline(events);
        push_html(&mut self.out, shown.into_iter());
    }

    fn text(&self, events: Vec<Event<'_>>) -> String {
        let mut out = String::new();
        push_html(&mut out, self.inline(events).into_iter());
        out
    }

    fn end(&mut self, open: &Open) {
        self.out.push_str(match open {
            Open::Chapter(_) => "</section>\n",
            Open::Group(end) => end,
        });
    }

    fn heading(&mut self, level: HeadingLevel, mut inner: Vec<Event<'_>>) {
        let ended = |open: &mut Open| matches!(open, Open::Chapter(own) if *own >= level);
        while let Some(open) = self.open.pop_if(ended) {
            self.end(&open);
        }
        let marks = marks(&mut inner);
        let text = letters(&inner);
        let name = marks.iter().find_map(|mark| match mark {
            Mark::Chapter(name) => Some(name.clone()),
            _ => None,
        });
        let id = self.id(name.as_deref().unwrap_or(&text));
        let title = self.text(inner);
        let tag = format!("h{}", (level as usize + self.within.lower).min(6));
        if level > HeadingLevel::H1 {
            let class = name.map(|name| format!(" class=\"{}\"", escape_html(&name)));
            let class = class.unwrap_or_default();
            self.out.push_str(&format!("<section{class}>\n"));
            self.open.push(Open::Chapter(level));
        }
        let shown = format!("<{tag} id=\"{id}\">{title}</{tag}>");
        if marks.contains(&Mark::Fold) {
            self.out
                .push_str(&format!("<details><summary>{shown}</summary>\n"));
            self.open.push(Open::Group("</details>\n"));
        } else {
            self.out.push_str(&format!("{shown}\n"));
        }
        self.heading = text;
    }

    fn id(&mut self, text: &str) -> String {
        let own = free(&slug_or(text, "part"), 1, |id| self.anchors.contains(id));
        let id = escape_html(&format!("{}{own}", self.within.prefix));
        self.anchors.insert(own);
        id
    }

    fn paragraph<'m>(&mut self, mut inner: Vec<Event<'m>>, plain: &mut Vec<Event<'m>>) {
        if let (1, Some(Event::Text(text))) = (inner.len(), inner.first())
            && let signs = pieces(text)
            && signs.iter().all(|piece| matches!(piece, Piece::Mark(_)))
        {
            self.flush(plain);
            for piece in signs {
                if let Piece::Mark(mark) = piece {
                    self.alone(&mark);
                }
            }
            return;
        }
        if first_mark(inner.get(1)) == Some(Mark::Caption) {
            self.flush(plain);
            let text = letters(&inner);
            self.caption = Some((escape_html(&text), text));
            return;
        }
        let class = match marks(&mut inner).first() {
            Some(Mark::Figure(key)) => {
                self.flush(plain);
                self.figure(key);
                return;
            }
            Some(Mark::Note) => " class=\"note\"",
            _ => "",
        };
        plain.push(Event::Html(CowStr::from(format!("<p{class}>"))));
        plain.extend(inner);
        plain.push(Event::Html(CowStr::Borrowed("</p>\n")));
    }

    /// A mark that is a block of its own.
    fn alone(&mut self, mark: &Mark) {
        match mark {
            Mark::Begin(class) => {
                let role = if class == "caution" {
                    " role=\"note\""
                } else {
                    ""
                };
                let class = escape_html(class);
                self.out
                    .push_str(&format!("<div class=\"{class}\"{role}>\n"));
                self.open.push(Open::Group("</div>\n"));
            }
            Mark::End => self.end_group(),
            Mark::NewPage => self.out.push_str("<hr class=\"page\">\n"),
            Mark::Figure(key) => self.figure(key),
            _ => {}
        }
    }

    /// Ends the innermost group. An end without a beginning, in a template of others, ends nothing.
    fn end_group(&mut self) {
        let is_group = |open: &Open| matches!(open, Open::Group(_));
        let Some(from) = self.open.iter().rposition(is_group) else {
            return;
        };
        for open in self.open.split_off(from).iter().rev() {
            self.end(open);
        }
    }

    fn figure(&mut self, key: &str) {
        let Some(Picture { element, caption }) = self.pictures.get(key) else {
            return;
        };
        let below = if caption.is_empty() {
            String::new()
        } else {
            format!("<figcaption>{}</figcaption>", escape_html(caption))
        };
        self.out
            .push_str(&format!("<figure>{element}{below}</figure>\n"));
    }

    fn table<'m>(
        &mut self,
        alignments: Vec<pulldown_cmark::Alignment>,
        events: &mut impl Iterator<Item = Event<'m>>,
    ) -> String {
        let mut table = TableHtml {
            alignments,
            ..TableHtml::default()
        };
        let mut row = Vec::new();
        let mut cell = Vec::new();
        for event in events {
            match event {
                Event::End(TagEnd::Table) => break,
                Event::End(TagEnd::TableCell) => row.push(self.cell(std::mem::take(&mut cell))),
                Event::End(TagEnd::TableHead) => table.head = std::mem::take(&mut row),
                Event::End(TagEnd::TableRow) => table.rows.push(std::mem::take(&mut row)),
                Event::Start(Tag::TableHead | Tag::TableRow | Tag::TableCell) => {}
                other => cell.push(other),
            }
        }
        let (caption, named) = self
            .caption
            .take()
            .unwrap_or_else(|| (String::new(), self.heading.clone()));
        table.html(&format!("Table: {named}"), &caption)
    }

    fn cell(&self, mut events: Vec<Event<'_>>) -> CellHtml {
        let marks = marks(&mut events);
        CellHtml {
            marks,
            letters: letters(&events),
            html: self.text(events),
        }
    }

    /// Links held to where they may lead, pictures left out, marks turned into what they stand for.
    fn inline<'m>(&self, events: Vec<Event<'m>>) -> Vec<Event<'m>> {
        let mut out: Vec<Event<'m>> = Vec::with_capacity(events.len());
        let mut links = Vec::new();
        let mut ahead = events.into_iter().peekable();
        let tag = |text: String| Event::InlineHtml(CowStr::from(text));
        while let Some(event) = ahead.next() {
            match event {
                Event::Start(Tag::Link { dest_url, .. }) => {
                    let target = self.target(first_mark(ahead.peek()), &dest_url);
                    links.push(target.is_some());
                    out.extend(
                        target.map(|target| tag(format!("<a href=\"{}\">", escape_html(&target)))),
                    );
                }
                Event::End(TagEnd::Link) => {
                    let shown = links.pop() == Some(true);
                    out.extend(shown.then(|| tag("</a>".to_owned())));
                }
                Event::Start(Tag::Image { .. }) | Event::End(TagEnd::Image) => {}
                Event::Start(Tag::Strong) => out.push(match first_mark(ahead.peek()) {
                    Some(Mark::Grade(grade)) => {
                        tag(format!("<strong class=\"word {}\">", grade.word()))
                    }
                    _ => Event::Start(Tag::Strong),
                }),
                Event::Start(Tag::Emphasis) => out.push(match first_mark(ahead.peek()) {
                    Some(Mark::NotStated) => tag("<em class=\"not-stated\">".to_owned()),
                    _ => Event::Start(Tag::Emphasis),
                }),
                Event::Text(text) => spans(&text, &mut out),
                other => out.push(other),
            }
        }
        out
    }

    fn target(&self, mark: Option<Mark>, written: &str) -> Option<String> {
        match (mark, self.within.links) {
            (Some(Mark::Page(path)), Links::Pages) => Some(format!("{path}.html")),
            (Some(Mark::Page(path)), Links::Within) => Some(format!("#{}", page_id(&path))),
            _ => allowed(written, &self.within.prefix),
        }
    }
}

/// So many letters are kept on one line at most: a longer word has to break in a narrow column.
const LONGEST_WHOLE: usize = 24;

/// Text in which no line ends within a date, a number of a certificate or a pair of terminals. A hyphen
/// at which no line ends would do it too, but nobody finds what is written with it.
fn whole(text: &str, out: &mut Vec<Event<'_>>) {
    let is_whole = |word: &str| {
        let digits = word.bytes().any(|b| b.is_ascii_digit());
        word.contains('-') && digits && word.chars().count() <= LONGEST_WHOLE
    };
    let mut plain = String::new();
    let flush = |plain: &mut String, out: &mut Vec<Event<'_>>| {
        if !plain.is_empty() {
            out.push(Event::Text(CowStr::from(std::mem::take(plain))));
        }
    };
    for piece in text.split_inclusive(char::is_whitespace) {
        let word = piece.trim_end();
        if !is_whole(word) {
            plain.push_str(piece);
            continue;
        }
        flush(&mut plain, out);
        out.push(Event::InlineHtml(CowStr::Borrowed(
            "<span class=\"whole\">",
        )));
        out.push(Event::Text(CowStr::from(word.to_owned())));
        out.push(Event::InlineHtml(CowStr::Borrowed("</span>")));
        plain.push_str(piece.get(word.len()..).unwrap_or(""));
    }
    flush(&mut plain, out);
}

/// Text with the marks in it carried out.
fn spans(text: &str, out: &mut Vec<Event<'_>>) {
    let mut hidden = false;
    let mut open = Vec::new();
    let tag = |text: &'static str| Event::InlineHtml(CowStr::Borrowed(text));
    for piece in pieces(text) {
        match piece {
            Piece::Text(text) if !hidden => whole(text, out),
            Piece::Mark(Mark::Hide) => hidden = true,
            Piece::Mark(Mark::Break) => out.push(tag("<br>")),
            Piece::Mark(Mark::Under) => {
                out.push(tag("<span class=\"value\">"));
                open.push("</span>");
            }
            Piece::Mark(Mark::Shown) if hidden => hidden = false,
            Piece::Mark(Mark::Shown) => out.extend(open.pop().map(tag)),
            _ => {}
        }
    }
    out.extend(open.into_iter().rev().map(tag));
}

#[cfg(test)]
mod tests {
    use super::*;

    proptest::proptest! {
        #[test]
        fn a_document_taken_apart_reads_as_the_whole(
            blocks in proptest::collection::vec(
                proptest::sample::select(&[
                    "# one\n\n", "## two\n\n", "### three\n", "text\n\n", "text\n", "- item\n", "- item\n\n",
                    "1. item\n\n", "  more\n\n", "    code\n\n", "> said\n\n", "#no heading\n\n", "\n", "***\n\n",
                    "| a | b |\n| --- | --- |\n| 1 | 2 |\n\n", "*open\n\n", "```\n", "<b>\n\n", "[a]: b\n\n", "[a]\n\n",
                ][..]),
                0..14,
            ),
        ) {
            let marked = blocks.concat();
            let (pictures, within) = (Pictures::new(), Within::default());
            let parts = chapters(&marked);
            proptest::prop_assert_eq!(parts.concat(), marked.as_str());
            let whole = joined(&[&marked], &pictures, &within);
            proptest::prop_assert_eq!(joined(&parts, &pictures, &within), whole);
        }
    }
}
