//! The walk over the Markdown's events.

use super::links::{allowed, escape_html, is_beside};
use super::tables::Table;
use super::{FOLDED, anchor};
use crate::report::summary::class_of_mark;
use pulldown_cmark::{CowStr, Event, HeadingLevel, Options, Parser, Tag, TagEnd, html::push_html};
use std::collections::BTreeMap;

/// What has to be closed at the next heading of this level or a higher one.
struct Open {
    level: HeadingLevel,
    end: &'static str,
}

struct Converter<'s> {
    svg: &'s BTreeMap<String, String>,
    prefix: &'s str,
    out: String,
    open: Vec<Open>,
    /// Text of the last heading, to name tables by.
    heading: String,
    anchors: BTreeMap<String, usize>,
}

/// Converts; `prefix` starts every id.
pub(super) fn html(markdown: &str, svg: &BTreeMap<String, String>, prefix: &str) -> String {
    let mut converter = Converter {
        svg,
        prefix,
        out: String::new(),
        open: Vec::new(),
        heading: String::new(),
        anchors: BTreeMap::new(),
    };
    let mut events = Parser::new_ext(markdown, Options::ENABLE_TABLES).map(without_html);
    let mut plain: Vec<Event<'_>> = Vec::new();
    while let Some(event) = events.next() {
        match event {
            Event::Start(Tag::Heading { level, .. }) => {
                converter.flush(&mut plain);
                converter.heading(
                    level,
                    until(&mut events, |end| matches!(end, TagEnd::Heading(_))),
                );
            }
            Event::Start(Tag::Table(alignments)) => {
                converter.flush(&mut plain);
                let table = converter.table(
                    Table {
                        alignments,
                        ..Table::default()
                    },
                    &mut events,
                );
                let label = table.html(&format!("Table: {}", converter.heading));
                converter.out.push_str(&label);
            }
            Event::Start(Tag::Paragraph) => {
                let inner = until(&mut events, |end| matches!(end, TagEnd::Paragraph));
                match converter.figure(&inner) {
                    Some(figure) => {
                        converter.flush(&mut plain);
                        converter.out.push_str(&figure);
                    }
                    None => {
                        plain.push(Event::Start(Tag::Paragraph));
                        plain.extend(inner);
                        plain.push(Event::End(TagEnd::Paragraph));
                    }
                }
            }
            other => plain.push(other),
        }
    }
    converter.flush(&mut plain);
    converter.close(HeadingLevel::H1);
    converter.out
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
    let mut inner = Vec::new();
    for event in events {
        if matches!(&event, Event::End(end) if is_end(end)) {
            break;
        }
        inner.push(event);
    }
    inner
}

/// The letters of some events.
fn letters(events: &[Event<'_>]) -> String {
    let text = |event: &Event<'_>| match event {
        Event::Text(text) | Event::Code(text) => text.to_string(),
        Event::SoftBreak | Event::HardBreak => " ".to_owned(),
        _ => String::new(),
    };
    events.iter().map(text).collect()
}

impl Converter<'_> {
    fn flush(&mut self, events: &mut Vec<Event<'_>>) {
        let events = std::mem::take(events);
        let safe = self.inline(events);
        push_html(&mut self.out, safe.into_iter());
    }

    /// Closes everything that a heading of this level ends.
    fn close(&mut self, level: HeadingLevel) {
        while let Some(open) = self.open.pop_if(|open| open.level >= level) {
            self.out.push_str(open.end);
        }
    }

    fn heading(&mut self, level: HeadingLevel, inner: Vec<Event<'_>>) {
        self.close(level);
        let text = letters(&inner);
        let id = self.id(&text);
        let mut title = String::new();
        push_html(&mut title, self.inline(inner).into_iter());
        if level > HeadingLevel::H1 {
            let class = if level == HeadingLevel::H2 {
                format!(" class=\"{}\"", escape_html(&anchor(&text)))
            } else {
                String::new()
            };
            self.out.push_str(&format!("<section{class}>\n"));
            self.open.push(Open {
                level,
                end: "</section>\n",
            });
        }
        if level > HeadingLevel::H1 && FOLDED.contains(&text.as_str()) {
            self.out.push_str(&format!(
                "<details><summary><{level} id=\"{id}\">{title}</{level}></summary>\n"
            ));
            self.open.push(Open {
                level,
                end: "</details>\n",
            });
        } else {
            self.out
                .push_str(&format!("<{level} id=\"{id}\">{title}</{level}>\n"));
        }
        self.heading = text;
    }

    fn id(&mut self, text: &str) -> String {
        let base = anchor(text);
        let count = self.anchors.entry(base.clone()).or_default();
        *count += 1;
        let again = if *count > 1 {
            format!("-{}", *count - 1)
        } else {
            String::new()
        };
        escape_html(&format!("{}{base}{again}", self.prefix))
    }

    fn table<'m>(
        &mut self,
        mut table: Table,
        events: &mut impl Iterator<Item = Event<'m>>,
    ) -> Table {
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
        table
    }

    fn cell(&self, events: Vec<Event<'_>>) -> String {
        let mut out = String::new();
        push_html(&mut out, self.inline(events).into_iter());
        out
    }

    /// A paragraph that is nothing but a chart.
    fn figure(&self, inner: &[Event<'_>]) -> Option<String> {
        let Some(Event::Start(Tag::Image { dest_url, .. })) = inner.first() else {
            return None;
        };
        let alone = matches!(inner.last(), Some(Event::End(TagEnd::Image)));
        let svg = self.svg.get(dest_url.strip_prefix("curve:")?)?;
        alone.then(|| format!("<figure>{svg}</figure>\n"))
    }

    /// Links held to where they may lead, verdicts with their class.
    fn inline<'m>(&self, events: Vec<Event<'m>>) -> Vec<Event<'m>> {
        let mut out: Vec<Event<'m>> = Vec::with_capacity(events.len());
        let mut links = Vec::new();
        let mut images = Vec::new();
        let mut ahead = events.into_iter().peekable();
        while let Some(event) = ahead.next() {
            match event {
                Event::Start(Tag::Link {
                    link_type,
                    dest_url,
                    title,
                    id,
                }) => {
                    let target = allowed(&dest_url, self.prefix);
                    links.push(target.is_some());
                    if let Some(target) = target {
                        out.push(Event::Start(Tag::Link {
                            link_type,
                            dest_url: CowStr::from(target),
                            title,
                            id,
                        }));
                    }
                }
                Event::End(TagEnd::Link) => {
                    if links.pop() == Some(true) {
                        out.push(Event::End(TagEnd::Link));
                    }
                }
                Event::Start(Tag::Image {
                    link_type,
                    dest_url,
                    title,
                    id,
                }) => {
                    let shown = is_beside(&dest_url) && allowed(&dest_url, "").is_some();
                    images.push(shown);
                    if shown {
                        out.push(Event::Start(Tag::Image {
                            link_type,
                            dest_url,
                            title,
                            id,
                        }));
                    }
                }
                Event::End(TagEnd::Image) => {
                    if images.pop() == Some(true) {
                        out.push(Event::End(TagEnd::Image));
                    }
                }
                Event::Start(Tag::Strong) => {
                    let class = match ahead.peek() {
                        Some(Event::Text(text)) => text.chars().next().and_then(class_of_mark),
                        _ => None,
                    };
                    match class {
                        Some(class) => out.push(Event::InlineHtml(CowStr::from(format!(
                            "<strong class=\"word {class}\">"
                        )))),
                        None => out.push(Event::Start(Tag::Strong)),
                    }
                }
                other => out.push(other),
            }
        }
        out
    }
}
