//! Tables in HTML: a box to scroll in, column and row headers, numbers to the right.

use super::html::{Converter, letters, marks};
use super::marks::{Mark, Piece, pieces};
use crate::ground::calm::put_html;
use pulldown_cmark::{Alignment, Event, Tag, TagEnd};

/// The events of a cell.
type Cell<'m> = Vec<Event<'m>>;

/// What all cells of a column have.
struct Column {
    align: Alignment,
    /// Its head, where its cells say it: a narrow page puts them below one another.
    said: Option<String>,
}

impl<'m> Converter<'_> {
    /// The table in its box, which its caption or the heading above names to who cannot see it.
    pub(super) fn table(
        &mut self,
        alignments: Vec<Alignment>,
        events: &mut impl Iterator<Item = Event<'m>>,
    ) {
        let mut head = Vec::new();
        let mut cell = Cell::new();
        while next_cell(events, &mut cell) {
            head.push(std::mem::take(&mut cell));
        }
        let mut marks = head.iter().flat_map(|cell| marks(cell.first()));
        let class = marks.find_map(|mark| match mark {
            Mark::Table(class) => Some(class.into_owned()),
            _ => None,
        });
        drop(marks);
        let class = class.as_deref().unwrap_or("grid");
        let stacks = class.split(' ').any(|class| class == "stack");
        let columns = alignments.into_iter().zip(&head).enumerate();
        let columns: Vec<Column> = columns
            .map(|(index, (align, cell))| Column {
                align,
                said: (stacks && index > 0).then(|| letters(cell)),
            })
            .collect();
        let caption = self.caption.take();
        let name = format!("Table: {}", caption.as_ref().unwrap_or(&self.heading));
        self.out
            .push_str("<div class=\"wide\" role=\"group\" tabindex=\"0\"");
        self.attribute("aria-label", &name);
        self.out.push_str("><table");
        self.attribute("class", class);
        self.out.push('>');
        if let Some(caption) = caption.filter(|caption| !caption.is_empty()) {
            self.out.push_str("<caption>");
            put_html(&caption, &mut self.out);
            self.out.push_str("</caption>");
        }
        if !head.iter().all(says_nothing) {
            self.out.push_str("<thead><tr>");
            for (column, cell) in columns.iter().zip(&mut head) {
                self.out.push_str("<th scope=\"col\"");
                self.class(column.align, cell);
                self.out.push('>');
                self.inline(cell);
                self.out.push_str("</th>");
            }
            self.out.push_str("</tr></thead>");
        }
        self.out.push_str("<tbody>");
        while let Some(event) = events.next() {
            match event {
                Event::Start(Tag::TableRow) => self.row(&columns, events, &mut cell),
                Event::End(TagEnd::Table) => break,
                _ => {}
            }
        }
        self.out.push_str("</tbody></table></div>\n");
    }

    fn row(
        &mut self,
        columns: &[Column],
        events: &mut impl Iterator<Item = Event<'m>>,
        cell: &mut Cell<'m>,
    ) {
        let is_told = next_cell(events, cell);
        if is_told && marks(cell.first()).any(|mark| mark == Mark::Group) {
            self.group(columns.len(), cell);
            while next_cell(events, cell) {}
            return;
        }
        self.out.push_str("<tr>");
        for (index, column) in columns.iter().enumerate() {
            self.cell(index == 0, column, cell);
            if !next_cell(events, cell) {
                break;
            }
        }
        self.out.push_str("</tr>");
    }

    /// A heading of the rows below it. They have a body of their own, so that it stays with them.
    fn group(&mut self, width: usize, cell: &mut Cell<'m>) {
        if !self.out.ends_with("<tbody>") {
            self.out.push_str("</tbody><tbody>");
        }
        self.tag(format_args!(
            "<tr class=\"group\"><th scope=\"rowgroup\" colspan=\"{width}\">"
        ));
        self.inline(cell);
        self.out.push_str("</th></tr>");
    }

    fn cell(&mut self, is_first: bool, column: &Column, cell: &mut Cell<'m>) {
        let (tag, end) = match is_first && !says_nothing(cell) {
            true => ("<th scope=\"row\"", "</th>"),
            false => ("<td", "</td>"),
        };
        self.out.push_str(tag);
        self.class(column.align, cell);
        if let Some(said) = &column.said {
            self.attribute("data-of", said);
        }
        self.out.push('>');
        let start = self.out.len();
        self.inline(cell);
        if column.align == Alignment::Right {
            together(&mut self.out, start);
        }
        self.out.push_str(end);
    }

    /// The class of a cell, out of its column and its marks.
    fn class(&mut self, align: Alignment, cell: &Cell<'m>) {
        let of_column = match align {
            Alignment::Right => Some("n"),
            Alignment::Center => Some("c"),
            Alignment::Left | Alignment::None => None,
        };
        let of_marks = marks(cell.first()).filter_map(|mark| match mark {
            Mark::Blank => Some("pen"),
            Mark::Grade(grade) => Some(grade.word()),
            _ => None,
        });
        let mut before = " class=\"";
        for class in of_column.into_iter().chain(of_marks) {
            self.out.extend([before, class]);
            before = " ";
        }
        if before == " " {
            self.out.push('"');
        }
    }
}

/// Reads the next cell of a row; `false` at the end of the row.
fn next_cell<'m>(events: &mut impl Iterator<Item = Event<'m>>, cell: &mut Cell<'m>) -> bool {
    cell.clear();
    for event in events {
        match event {
            Event::Start(Tag::TableHead | Tag::TableCell) => {}
            Event::End(TagEnd::TableCell) => return true,
            Event::End(TagEnd::TableHead | TagEnd::TableRow) => return false,
            other => cell.push(other),
        }
    }
    false
}

/// Whether nothing of a cell is shown.
fn says_nothing(cell: &Cell<'_>) -> bool {
    let is_silent = |piece| match piece {
        Piece::Text(_) => false,
        Piece::Mark(mark) => !matches!(mark, Mark::Under | Mark::Break),
    };
    cell.iter().all(|event| match event {
        Event::Text(text) => pieces(text).all(is_silent),
        _ => false,
    })
}

/// Keeps a number with its unit in the cell that stands from `start` on: a line breaks behind a comma or a
/// semicolon of its text only.
fn together(out: &mut String, start: usize) {
    let cell = out.get(start..).unwrap_or_default();
    if !cell.contains(' ') {
        return;
    }
    let mut kept = String::with_capacity(cell.len());
    let mut in_tag = false;
    for c in cell.chars() {
        in_tag = c == '<' || in_tag && c != '>';
        let breaks = in_tag || kept.ends_with(',') || kept.ends_with(';') && !is_entity(&kept);
        kept.push(if c == ' ' && !breaks { '\u{a0}' } else { c });
    }
    out.truncate(start);
    out.push_str(&kept);
}

/// Whether the semicolon at the end closes the name of a character, `&lt;`.
fn is_entity(text: &str) -> bool {
    let name = text.trim_end_matches(';').rsplit_once('&');
    name.is_some_and(|(_, name)| {
        let mut letters = name.chars();
        letters.all(|c| c == '#' || c.is_ascii_alphanumeric())
    })
}
