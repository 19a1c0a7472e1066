//! Blocks as Markdown that carries marks, and Markdown as it is written out, without them.

use super::Grade;
use super::block::{Align, Block, Cell, Figure, Pictures, Row, Table, TableStyle};
use super::escape::{escape_within, guard_start};
use super::marks::{Mark, is_hidden};
use super::number_style::NO_BREAK;
use super::slug::free;
use super::text::{Inline, Text};
use std::fmt::Write as _;

/// Markdown with marks; pictures go beside it.
pub fn print(blocks: &[Block], pictures: &mut Pictures) -> String {
    let mut out = String::new();
    write_all(blocks, pictures, &mut out);
    out
}

/// Markdown to be read as it is: no marks, no blanks at the ends of lines, one empty line between
/// blocks, none at the end.
pub fn plain(marked: &str) -> String {
    let mut out = String::with_capacity(marked.len());
    let mut is_blank = true;
    for line in marked.lines() {
        let start = out.len();
        match line.is_ascii() {
            true => out.push_str(line),
            false => unmarked(line, &mut out),
        }
        let shown = out.get(start..).unwrap_or_default();
        let end = start + shown.trim_end().len();
        out.truncate(end);
        if end > start || !is_blank {
            out.push('\n');
        }
        is_blank = end == start;
    }
    let end = out.trim_end_matches('\n').len();
    out.truncate(end);
    out.push('\n');
    out
}

/// A line without its marks, its blanks common ones.
fn unmarked(line: &str, out: &mut String) {
    let mut rest = line;
    // First bytes, in UTF-8, of a blank at which no line ends and of the private-use area.
    let is_odd = |byte| matches!(byte, 0xc2 | 0xee | 0xef);
    while let Some(at) = rest.bytes().position(is_odd) {
        let (shown, odd) = rest.split_at(at);
        out.push_str(shown);
        let mut behind = odd.chars();
        match behind.next() {
            Some(NO_BREAK) => out.push(' '),
            Some(c) if is_hidden(c) => {}
            c => out.extend(c),
        }
        rest = behind.as_str();
    }
    out.push_str(rest);
}

fn write_all(blocks: &[Block], pictures: &mut Pictures, out: &mut String) {
    for block in blocks {
        write(block, pictures, out);
    }
}

fn write(block: &Block, pictures: &mut Pictures, out: &mut String) {
    match block {
        Block::Heading { level, text, name } => {
            let mark = name.as_deref().map(|name| Mark::Chapter(name.into()));
            heading(*level, mark, text, out);
        }
        Block::Paragraph(text) => paragraph(text, out),
        Block::Note(text) => {
            Mark::Note.write(out);
            paragraph(text, out);
        }
        Block::Caution(text) => {
            alone(&Mark::Begin("caution".into()), out);
            out.push_str("**Caution.** ");
            paragraph(text, out);
            alone(&Mark::End, out);
        }
        Block::List(items) => list(items.iter().map(|item| (None, item)), out),
        Block::Steps(items) => list((1..).map(Some).zip(items), out),
        Block::Notes(notes) => list(notes.iter().map(|(n, text)| (Some(*n), text)), out),
        Block::Table(shown) => table(shown, out),
        Block::Figure(shown) => figure(shown, pictures, out),
        Block::Folded {
            level,
            summary,
            blocks,
        } => {
            heading(*level, Some(Mark::Fold), summary, out);
            write_all(blocks, pictures, out);
            alone(&Mark::End, out);
        }
        Block::Group(class, blocks) => {
            alone(&Mark::Begin((*class).into()), out);
            write_all(blocks, pictures, out);
            alone(&Mark::End, out);
        }
        Block::NewPage => alone(&Mark::NewPage, out),
    }
}

/// Ends a block.
const END: &str = "\n\n";

fn paragraph(text: &Text, out: &mut String) {
    line(text, out);
    out.push_str(END);
}

fn alone(mark: &Mark<'_>, out: &mut String) {
    mark.write(out);
    out.push_str(END);
}

fn heading(level: u8, mark: Option<Mark<'_>>, text: &Text, out: &mut String) {
    out.extend(std::iter::repeat_n('#', level.clamp(1, 6).into()));
    out.push(' ');
    if let Some(mark) = mark {
        mark.write(out);
    }
    paragraph(text, out);
}

/// A list, numbered where its items have numbers.
fn list<'t>(items: impl Iterator<Item = (Option<usize>, &'t Text)>, out: &mut String) {
    for (number, item) in items {
        // Writing to a string cannot fail.
        let _ = match number {
            Some(n) => write!(out, "{n}. "),
            None => out.write_str("- "),
        };
        line(item, out);
        out.push('\n');
    }
    out.push('\n');
}

fn figure(figure: &Figure, pictures: &mut Pictures, out: &mut String) {
    let key = free(&figure.key, 2, |key| pictures.contains_key(key));
    Mark::Figure(key.as_str().into()).write(out);
    paragraph(&figure.instead, out);
    pictures.insert(key, figure.picture.clone());
}

fn table(table: &Table, out: &mut String) {
    if !table.caption.is_empty() {
        out.push_str("**");
        Mark::Caption.write(out);
        line(&table.caption, out);
        out.push_str("**");
        out.push_str(END);
    }
    let class = match table.style {
        TableStyle::Grid => "grid",
        TableStyle::Facts => "facts",
        TableStyle::Named(name) => name,
    };
    let mut of_table = Some(Mark::Table(class.into()));
    row(&table.columns, 0, out, |column, out| {
        if let Some(mark) = of_table.take() {
            mark.write(out);
        }
        line(&column.head, out);
    });
    row(&table.columns, 0, out, |column, out| {
        out.push_str(match column.align {
            Align::Left => "---",
            Align::Right => "---:",
        });
    });
    let width = table.columns.len();
    for one in &table.rows {
        match one {
            Row::Cells(cells) => row(cells, width, out, cell),
            Row::Group(text) => row(&[text], width, out, |text, out| {
                Mark::Group.write(out);
                line(text, out);
            }),
        }
    }
    out.push('\n');
}

/// A row, filled up with empty cells to a width.
fn row<C>(cells: &[C], width: usize, out: &mut String, mut cell: impl FnMut(&C, &mut String)) {
    out.push('|');
    for one in cells {
        out.push(' ');
        cell(one, out);
        out.push_str(" |");
    }
    for _ in cells.len()..width {
        out.push_str("  |");
    }
    out.push('\n');
}

fn cell(cell: &Cell, out: &mut String) {
    match cell {
        Cell::Empty => {}
        Cell::Told(text) => line(text, out),
        Cell::Graded(grade, text) => {
            Mark::Grade(*grade).write(out);
            line(text, out);
        }
        Cell::Blank => Mark::Blank.write(out),
    }
}

/// The pieces of a line, each escaped; together they begin no list.
fn line(text: &Text, out: &mut String) {
    let start = out.len();
    for piece in &text.0 {
        inline(piece, start, out);
    }
    guard_start(out, start);
}

/// A piece of the line that stands from `start` on.
fn inline(piece: &Inline, start: usize, out: &mut String) {
    match piece {
        Inline::Plain(text) => between(text, start, out),
        Inline::Strong(text) => {
            out.push_str("**");
            escape_within(text, out);
            out.push_str("**");
        }
        Inline::Emphasis(text) => {
            out.push('*');
            escape_within(text, out);
            out.push('*');
        }
        // Nothing to be said for or against needs no weight.
        Inline::Word(Grade::Info, word) => escape_within(word, out),
        Inline::Word(grade, word) => {
            out.push_str("**");
            Mark::Grade(*grade).write(out);
            out.extend([grade.mark(), NO_BREAK]);
            escape_within(word, out);
            out.push_str("**");
        }
        Inline::Link { anchor, text } => {
            out.push('[');
            escape_within(text, out);
            out.extend(["](#", anchor, ")"]);
        }
        Inline::Page { path, text } => {
            out.push('[');
            Mark::Page(path.into()).write(out);
            escape_within(text, out);
            out.extend(["](", path, ".md)"]);
        }
        Inline::File { path, text } => {
            out.push('[');
            Mark::File.write(out);
            escape_within(text, out);
            out.extend(["](", path, ")"]);
        }
        Inline::NotStated => {
            out.push('*');
            Mark::NotStated.write(out);
            out.push_str("not stated*");
        }
        Inline::Under(text) => {
            instead(": ", &Mark::Under, out);
            escape_within(text, out);
            Mark::Shown.write(out);
        }
        Inline::Next(text) => {
            instead("; ", &Mark::Break, out);
            escape_within(text, out);
        }
    }
}

/// What only plain Markdown shows, and the mark that a page has in its place.
fn instead(text: &str, mark: &Mark<'_>, out: &mut String) {
    Mark::Hide.write(out);
    out.push_str(text);
    Mark::Shown.write(out);
    mark.write(out);
}

/// Escaped; one blank at an end stays where the piece has others beside it: none begins a line.
fn between(text: &str, start: usize, out: &mut String) {
    if text.starts_with(' ') && out.len() > start {
        out.push(' ');
    }
    let own = out.len();
    escape_within(text, out);
    if text.ends_with(' ') && out.len() > own {
        out.push(' ');
    }
}
