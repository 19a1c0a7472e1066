//! HTML of Markdown that carries marks. It is more than a plain conversion: headings get ids and
//! chapters, tables a box to scroll in and proper headers, pictures take their places, grades their
//! colours. Raw HTML comes out as text, links go to relative, http(s) and mailto targets only, and
//! no picture is fetched.

use super::block::{Picture, Pictures};
use super::links::{allowed, page_id};
use super::marks::{Mark, Piece, front, pieces};
use super::slug::free;
use super::slug_or;
use crate::ground::calm::put_html;
use pulldown_cmark::{Event, HeadingLevel, Options, Parser, Tag, TagEnd, html::push_html};
use pulldown_cmark_escape::escape_html_body_text;
use std::borrow::Cow;
use std::collections::BTreeSet;
use std::fmt::Write as _;

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

/// Makes the page while the Markdown is read: of a part (a heading, a paragraph, a cell) the events are held
/// until its end, since its first mark says what it is; the HTML goes straight behind what is there.
pub(super) struct Converter<'s> {
    pictures: &'s Pictures,
    within: &'s Within,
    pub(super) out: String,
    open: Vec<Open>,
    /// Text of the last heading, to name tables by.
    pub(super) heading: String,
    /// Caption for the next table.
    pub(super) caption: Option<String>,
    /// Ids that headings have.
    anchors: BTreeSet<String>,
}

/// Converts a document.
pub fn html(marked: &str, pictures: &Pictures, within: &Within) -> String {
    joined(&chapters(marked), pictures, within)
}

/// The parts of a document, one after the other.
fn joined(parts: &[&str], pictures: &Pictures, within: &Within) -> String {
    let text: usize = parts.iter().map(|part| part.len()).sum();
    let drawn = pictures.values().map(|picture| picture.element.len());
    let mut converter = Converter {
        pictures,
        within,
        // A page is about twice as long as its text.
        out: String::with_capacity(2 * text + drawn.sum::<usize>()),
        open: Vec::new(),
        heading: String::new(),
        caption: None,
        anchors: BTreeSet::new(),
    };
    for part in parts {
        let parsed = Parser::new_ext(part, Options::ENABLE_TABLES);
        converter.blocks(&mut parsed.map(without_html));
    }
    converter.close();
    converter.out
}

/// A text in parts that read alike by themselves, so that of a long one only a part is held as a tree: a
/// heading behind an empty line ends every block before it. What could reach across one (a fence, raw HTML,
/// a definition of a link, as a client's template may have them) keeps the text whole.
fn chapters(marked: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut rest = marked;
    let (mut read, mut is_behind_blank) = (0, false);
    for line in marked.split_inclusive('\n') {
        let shown = line.trim_start();
        if shown.starts_with(['<', '`', '~']) || shown.starts_with('[') && line.contains("]:") {
            return vec![marked];
        }
        if is_behind_blank && line.starts_with('#') {
            let (part, behind) = rest.split_at(read);
            parts.push(part);
            (rest, read) = (behind, 0);
        }
        is_behind_blank = line == "\n" && read > 0;
        read += line.len();
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

fn is_text(event: &Event<'_>) -> bool {
    matches!(event, Event::Text(_))
}

/// The letters of a part, without marks.
pub(super) fn letters(part: &[Event<'_>]) -> String {
    let mut out = String::new();
    for event in part {
        match event {
            Event::Text(text) | Event::Code(text) => {
                out.extend(pieces(text).filter_map(|piece| match piece {
                    Piece::Text(text) => Some(text),
                    Piece::Mark(_) => None,
                }));
            }
            Event::SoftBreak | Event::HardBreak => out.push(' '),
            _ => {}
        }
    }
    out
}

/// The marks at the front of a part, or of a tag in it, that say what it is.
pub(super) fn marks<'e>(event: Option<&'e Event<'_>>) -> impl Iterator<Item = Mark<'e>> {
    let text = match event {
        Some(Event::Text(text)) => text.as_ref(),
        _ => "",
    };
    front(text)
}

impl<'m> Converter<'_> {
    fn blocks(&mut self, events: &mut impl Iterator<Item = Event<'m>>) {
        let mut part = Vec::new();
        while let Some(event) = events.next() {
            match event {
                // Lists and the like stand outside of parts that begin and end.
                Event::Start(Tag::Heading { .. } | Tag::Paragraph) => self.inline(&mut part),
                Event::End(TagEnd::Heading(level)) => self.heading(level, &mut part),
                Event::End(TagEnd::Paragraph) => {
                    self.paragraph(&mut part);
                    part.clear();
                }
                Event::Start(Tag::Table(alignments)) => {
                    self.inline(&mut part);
                    self.table(alignments, events);
                }
                other => part.push(other),
            }
        }
        self.inline(&mut part);
    }

    fn close(&mut self) {
        while let Some(open) = self.open.pop() {
            self.end(&open);
        }
    }

    /// Writes what goes into a tag. Writing to a string cannot fail.
    pub(super) fn tag(&mut self, tag: std::fmt::Arguments<'_>) {
        let _ = self.out.write_fmt(tag);
    }

    fn end(&mut self, open: &Open) {
        self.out.push_str(match open {
            Open::Chapter(_) => "</section>\n",
            Open::Group(end) => end,
        });
    }

    fn heading(&mut self, level: HeadingLevel, part: &mut Vec<Event<'m>>) {
        let ended = |open: &mut Open| matches!(open, Open::Chapter(own) if *own >= level);
        while let Some(open) = self.open.pop_if(ended) {
            self.end(&open);
        }
        let (mut name, mut folds) = (None, false);
        for mark in marks(part.first()) {
            match mark {
                Mark::Chapter(own) => name = name.or(Some(own.into_owned())),
                Mark::Fold => folds = true,
                _ => {}
            }
        }
        if level > HeadingLevel::H1 {
            self.out.push_str("<section");
            if let Some(name) = &name {
                self.attribute("class", name);
            }
            self.out.push_str(">\n");
            self.open.push(Open::Chapter(level));
        }
        self.heading = letters(part);
        let id = free(
            &slug_or(name.as_deref().unwrap_or(&self.heading), "part"),
            1,
            |id| self.anchors.contains(id),
        );
        if folds {
            self.out.push_str("<details><summary>");
        }
        let rank = (level as usize + self.within.lower).min(6);
        self.tag(format_args!("<h{rank} id=\""));
        put_html(&self.within.prefix, &mut self.out);
        self.tag(format_args!("{id}\">"));
        self.anchors.insert(id);
        self.inline(part);
        self.tag(format_args!("</h{rank}>"));
        if folds {
            self.out.push_str("</summary>");
            self.open.push(Open::Group("</details>\n"));
        }
        self.out.push('\n');
    }

    fn paragraph(&mut self, part: &mut Vec<Event<'m>>) {
        if let [Event::Text(text)] = part.as_slice()
            && pieces(text).all(|piece| matches!(piece, Piece::Mark(_)))
        {
            for piece in pieces(text) {
                if let Piece::Mark(mark) = piece {
                    self.alone(&mark);
                }
            }
            return;
        }
        if marks(part.get(1)).next() == Some(Mark::Caption) {
            self.caption = Some(letters(part));
            return;
        }
        let first = marks(part.first()).next();
        self.out.push_str(match first {
            Some(Mark::Figure(key)) => return self.figure(&key),
            Some(Mark::Note) => "<p class=\"note\">",
            _ => "<p>",
        });
        self.inline(part);
        self.out.push_str("</p>\n");
    }

    /// A mark that is a block of its own.
    fn alone(&mut self, mark: &Mark<'_>) {
        match mark {
            Mark::Begin(class) => {
                self.out.push_str("<div");
                self.attribute("class", class);
                if class == "caution" {
                    self.attribute("role", "note");
                }
                self.out.push_str(">\n");
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
        let Some(Picture {
            element,
            caption,
            file,
        }) = self.pictures.get(key)
        else {
            return;
        };
        self.out.extend(["<figure>", element]);
        if let Some(file) = file {
            self.out.push_str("<img class=\"attached\"");
            self.attribute("src", beside(self.within, &file.path));
            self.attribute("alt", &file.alt);
            self.out.push('>');
        }
        if !caption.is_empty() {
            self.out.push_str("<figcaption>");
            put_html(caption, &mut self.out);
            self.out.push_str("</figcaption>");
        }
        self.out.push_str("</figure>\n");
    }

    /// An attribute of the tag that is being written.
    pub(super) fn attribute(&mut self, name: &str, value: &str) {
        self.out.extend([" ", name, "=\""]);
        put_html(value, &mut self.out);
        self.out.push('"');
    }

    /// Takes a part and writes it: links held to where they may lead, pictures left out, marks turned into
    /// what they stand for, all else as it is anywhere.
    pub(super) fn inline(&mut self, part: &mut Vec<Event<'m>>) {
        let mut links = Vec::new();
        let mut ahead = part.drain(..).peekable();
        while let Some(event) = ahead.next() {
            match event {
                // Text comes in pieces where something was escaped; a mark or a word may reach across.
                Event::Text(text) if ahead.peek().is_some_and(is_text) => {
                    let mut whole = text.into_string();
                    while let Some(Event::Text(more)) = ahead.next_if(is_text) {
                        whole.push_str(&more);
                    }
                    self.text(&whole);
                }
                Event::Text(text) => self.text(&text),
                Event::Start(Tag::Link { dest_url, .. }) => {
                    let mark = marks(ahead.peek()).next();
                    let target = target(self.within, mark, &dest_url);
                    if let Some(target) = &target {
                        self.out.push_str("<a");
                        self.attribute("href", target);
                        self.out.push('>');
                    }
                    links.push(target.is_some());
                }
                Event::End(TagEnd::Link) => {
                    if links.pop() == Some(true) {
                        self.out.push_str("</a>");
                    }
                }
                Event::Start(Tag::Image { .. }) | Event::End(TagEnd::Image) => {}
                Event::Start(Tag::Strong) => match marks(ahead.peek()).next() {
                    Some(Mark::Grade(grade)) => {
                        self.out
                            .extend(["<strong class=\"word ", grade.word(), "\">"]);
                    }
                    _ => self.out.push_str("<strong>"),
                },
                Event::End(TagEnd::Strong) => self.out.push_str("</strong>"),
                Event::Start(Tag::Emphasis) => {
                    self.out.push_str(match marks(ahead.peek()).next() {
                        Some(Mark::NotStated) => "<em class=\"not-stated\">",
                        _ => "<em>",
                    })
                }
                Event::End(TagEnd::Emphasis) => self.out.push_str("</em>"),
                other => {
                    let is_block = matches!(other, Event::Start(_) | Event::Rule);
                    if is_block && !self.out.is_empty() && !self.out.ends_with('\n') {
                        self.out.push('\n');
                    }
                    push_html(&mut self.out, std::iter::once(other));
                }
            }
        }
    }

    /// Text with the marks in it carried out.
    fn text(&mut self, text: &str) {
        let (mut hidden, mut open) = (false, 0);
        for piece in pieces(text) {
            match piece {
                Piece::Text(text) if !hidden => self.whole(text),
                Piece::Mark(Mark::Hide) => hidden = true,
                Piece::Mark(Mark::Break) => self.out.push_str("<br>"),
                Piece::Mark(Mark::Under) => {
                    self.out.push_str("<span class=\"value\">");
                    open += 1;
                }
                Piece::Mark(Mark::Shown) if hidden => hidden = false,
                Piece::Mark(Mark::Shown) if open > 0 => {
                    self.out.push_str("</span>");
                    open -= 1;
                }
                _ => {}
            }
        }
        self.out.extend(std::iter::repeat_n("</span>", open));
    }

    /// Text in which no line ends within a date, a number of a certificate or a pair of terminals. A hyphen
    /// at which no line ends would do it too, but nobody finds what is written with it.
    fn whole(&mut self, text: &str) {
        let mut rest = text;
        while let Some((plain, word, behind)) = hyphened(rest) {
            self.plain(plain);
            if is_whole(word) {
                self.out.push_str("<span class=\"whole\">");
                self.plain(word);
                self.out.push_str("</span>");
            } else {
                self.plain(word);
            }
            rest = behind;
        }
        self.plain(rest);
    }

    fn plain(&mut self, text: &str) {
        // Writing to a string cannot fail.
        let _ = escape_html_body_text(&mut self.out, text);
    }
}

fn target<'t>(within: &Within, mark: Option<Mark<'_>>, written: &'t str) -> Option<Cow<'t, str>> {
    match (mark, within.links) {
        (Some(Mark::File), _) => {
            let path = allowed(beside(within, written), "")?;
            Some(path.into_owned().into())
        }
        (Some(Mark::Page(path)), Links::Pages) => Some(format!("{path}.html").into()),
        (Some(Mark::Page(path)), Links::Within) => Some(format!("#{}", page_id(&path)).into()),
        _ => allowed(written, &within.prefix),
    }
}

/// The path of a file as seen from the page: the one that holds all pages lies above each of them.
fn beside<'p>(within: &Within, path: &'p str) -> &'p str {
    match within.links {
        Links::Pages => path,
        Links::Within => path.trim_start_matches("../"),
    }
}

/// The first word with a hyphen, with what stands before and behind it.
fn hyphened(text: &str) -> Option<(&str, &str, &str)> {
    let (front, back) = text.split_at(text.find('-')?);
    let before = front.trim_end_matches(|c: char| !c.is_whitespace()).len();
    let behind = back.find(char::is_whitespace).unwrap_or(back.len());
    let (before, rest) = text.split_at(before);
    let (word, behind) = rest.split_at(rest.len() - back.len() + behind);
    Some((before, word, behind))
}

/// So many letters are kept on one line at most: a longer word has to break in a narrow column.
const LONGEST_WHOLE: usize = 24;

fn is_whole(word: &str) -> bool {
    word.bytes().any(|byte| byte.is_ascii_digit()) && word.chars().count() <= LONGEST_WHOLE
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
