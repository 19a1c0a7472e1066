//! Blocks as Markdown that carries marks, and Markdown as it is written out, without them.

use super::Grade;
use super::block::{Align, Block, Cell, Column, Figure, Pictures, Row, Table, TableStyle};
use super::escape::{escape_within, guard_start};
use super::marks::{Mark, is_hidden, may_hide};
use super::number_style::NO_BREAK;
use super::slug::free;
use super::text::{Inline, Text};
use std::borrow::Cow;

/// Markdown with marks; pictures go beside it.
pub fn print(blocks: &[Block], pictures: &mut Pictures) -> String {
    let mut out = String::new();
    for block in blocks {
        write(block, pictures, &mut out);
    }
    out
}

/// Markdown to be read as it is: no marks, no blanks at the ends of lines, one empty line between
/// blocks, none at the end.
pub fn plain(marked: &str) -> String {
    let mut out = String::with_capacity(marked.len());
    let mut blank = true;
    for line in marked.lines() {
        let mut shown = Cow::Borrowed(line);
        if may_hide(line) {
            shown = line.chars().filter(|c| !is_hidden(*c)).collect();
        }
        if shown.contains(NO_BREAK) {
            shown = shown.replace(NO_BREAK, " ").into();
        }
        let shown = shown.trim_end();
        if !(shown.is_empty() && blank) {
            out.push_str(shown);
            out.push('\n');
        }
        blank = shown.is_empty();
    }
    let kept = out.trim_end_matches('\n').len();
    out.truncate(kept);
    out.push('\n');
    out
}

fn write(block: &Block, pictures: &mut Pictures, out: &mut String) {
    match block {
        Block::Heading { level, text, name } => {
            let mark = name.clone().map(|name| Mark::Chapter(name).to_string());
            heading(*level, &mark.unwrap_or_default(), text, out);
        }
        Block::Paragraph(text) => paragraph(&line(text), out),
        Block::Note(text) => paragraph(&format!("{}{}", Mark::Note, line(text)), out),
        Block::Caution(text) => {
            alone(&Mark::Begin("caution".to_owned()), out);
            paragraph(&format!("**Caution.** {}", line(text)), out);
            alone(&Mark::End, out);
        }
        Block::List(items) => list(items.iter().map(|item| ("-".to_owned(), item)), out),
        Block::Steps(items) => {
            let numbered = items.iter().zip(1..);
            list(numbered.map(|(item, n)| (format!("{n}."), item)), out);
        }
        Block::Notes(notes) => list(notes.iter().map(|(n, text)| (format!("{n}."), text)), out),
        Block::Table(shown) => table(shown, out),
        Block::Figure(shown) => figure(shown, pictures, out),
        Block::Folded {
            level,
            summary,
            blocks,
        } => {
            heading(*level, &Mark::Fold.to_string(), summary, out);
            out.push_str(&print(blocks, pictures));
            alone(&Mark::End, out);
        }
        Block::Group(class, blocks) => {
            alone(&Mark::Begin((*class).to_owned()), out);
            out.push_str(&print(blocks, pictures));
            alone(&Mark::End, out);
        }
        Block::NewPage => alone(&Mark::NewPage, out),
    }
}

fn paragraph(text: &str, out: &mut String) {
    out.push_str(text);
    out.push_str("\n\n");
}

fn alone(mark: &Mark, out: &mut String) {
    paragraph(&mark.to_string(), out);
}

fn heading(level: u8, mark: &str, text: &Text, out: &mut String) {
    let signs = "#".repeat(usize::from(level).clamp(1, 6));
    paragraph(&format!("{signs} {mark}{}", line(text)), out);
}

fn list<'t>(items: impl Iterator<Item = (String, &'t Text)>, out: &mut String) {
    for (sign, item) in items {
        out.push_str(&format!("{sign} {}\n", line(item)));
    }
    out.push('\n');
}

fn figure(figure: &Figure, pictures: &mut Pictures, out: &mut String) {
    let key = free(&figure.key, 2, |key| pictures.contains_key(key));
    let place = Mark::Figure(key.clone());
    paragraph(&format!("{place}{}", line(&figure.instead)), out);
    pictures.insert(key, figure.picture.clone());
}

fn table(table: &Table, out: &mut String) {
    if !table.caption.is_empty() {
        let caption = strong(&format!("{}{}", Mark::Caption, line(&table.caption)));
        paragraph(&caption, out);
    }
    let class = match table.style {
        TableStyle::Grid => "grid",
        TableStyle::Facts => "facts",
        TableStyle::Named(name) => name,
    };
    let columns = table.columns.iter();
    let heads: Vec<String> = columns.clone().map(|column| line(&column.head)).collect();
    row_of(&Mark::Table(class.to_owned()).to_string(), &heads, out);
    let rule = |column: &Column| match column.align {
        Align::Left => "---".to_owned(),
        Align::Right => "---:".to_owned(),
    };
    row_of("", &columns.map(rule).collect::<Vec<_>>(), out);
    for row in &table.rows {
        let cells: Vec<String> = match row {
            Row::Cells(cells) => cells.iter().map(cell).collect(),
            Row::Group(text) => vec![format!("{}{}", Mark::Group, line(text))],
        };
        let missing = table.columns.len().saturating_sub(cells.len());
        let empty = std::iter::repeat_n(String::new(), missing);
        row_of("", &cells.into_iter().chain(empty).collect::<Vec<_>>(), out);
    }
    out.push('\n');
}

fn row_of(front: &str, cells: &[String], out: &mut String) {
    out.push_str(&format!("| {front}{} |\n", cells.join(" | ")));
}

fn cell(cell: &Cell) -> String {
    match cell {
        Cell::Empty => String::new(),
        Cell::Told(text) => line(text),
        Cell::Graded(grade, text) => format!("{}{}", Mark::Grade(*grade), line(text)),
        Cell::Blank => Mark::Blank.to_string(),
    }
}

fn strong(inner: &str) -> String {
    format!("**{inner}**")
}

/// The pieces of a line, each escaped; together they begin no list.
fn line(text: &Text) -> String {
    let said: String = text.0.iter().map(inline).collect();
    guard_start(said.trim_start_matches(' '))
}

fn inline(piece: &Inline) -> String {
    match piece {
        Inline::Plain(text) => kept(text),
        Inline::Strong(text) => strong(&escape_within(text)),
        Inline::Emphasis(text) => format!("*{}*", escape_within(text)),
        // Nothing to be said for or against needs no weight.
        Inline::Word(Grade::Info, word) => escape_within(word),
        Inline::Word(grade, word) => {
            let (mark, word) = (Mark::Grade(*grade), escape_within(word));
            strong(&format!("{mark}{}{NO_BREAK}{word}", grade.mark()))
        }
        Inline::Link { anchor, text } => format!("[{}](#{anchor})", escape_within(text)),
        Inline::Page { path, text } => {
            let mark = Mark::Page(path.clone());
            format!("[{mark}{}]({path}.md)", escape_within(text))
        }
        Inline::NotStated => format!("*{}not stated*", Mark::NotStated),
        Inline::Under(text) => format!(
            "{}{}{}{}",
            hidden(": "),
            Mark::Under,
            escape_within(text),
            Mark::Shown
        ),
        Inline::Next(text) => format!("{}{}{}", hidden("; "), Mark::Break, escape_within(text)),
    }
}

/// What only plain Markdown shows.
fn hidden(text: &str) -> String {
    format!("{}{text}{}", Mark::Hide, Mark::Shown)
}

/// Escaped; one blank at an end stays, since the piece stands between others.
fn kept(text: &str) -> String {
    let inner = escape_within(text);
    let blank = |is: bool| if is { " " } else { "" };
    let front = blank(text.starts_with(' '));
    let behind = blank(text.ends_with(' ') && !inner.is_empty());
    format!("{front}{inner}{behind}")
}
