//! A worksheet as Markdown. Drawings are left to the HTML page; the connection table beside each says
//! the same in words.

use super::document::{Block, Cell, Document, Table};

/// The last line of a Markdown sheet: files that end in it may be written again.
pub const MARK: &str = "<!-- written by kneemark: worksheet -->";

/// The whole sheet.
#[must_use]
pub fn markdown(document: &Document) -> String {
    let mut out = format!(
        "# {}\n\n{}\n\n",
        inline(&document.title),
        escape(&document.under)
    );
    for block in &document.blocks {
        write(block, &mut out);
    }
    out.push_str(MARK);
    out.push('\n');
    out
}

fn write(block: &Block, out: &mut String) {
    match block {
        Block::Heading(level, text) => {
            let marks = "#".repeat(usize::from(*level).clamp(2, 6));
            out.push_str(&format!("{marks} {}\n\n", inline(text)));
        }
        Block::Text(text) => out.push_str(&format!("{}\n\n", escape(text))),
        Block::Caution(lines) => {
            for line in lines {
                out.push_str(&format!("> **Caution.** {}\n>\n", inline(line)));
            }
            out.push('\n');
        }
        Block::List { numbered, items } => {
            for (at, item) in items.iter().enumerate() {
                let mark = if *numbered {
                    format!("{}.", at + 1)
                } else {
                    "-".to_owned()
                };
                out.push_str(&format!("{mark} {}\n", escape(item)));
            }
            out.push('\n');
        }
        Block::Table(shown) | Block::Pair(_, shown) => table(shown, out),
        Block::Card(blocks) => blocks.iter().for_each(|inner| write(inner, out)),
        Block::Page => out.push_str("---\n\n"),
    }
}

fn table(table: &Table, out: &mut String) {
    if !table.caption.is_empty() {
        out.push_str(&format!("**{}**\n\n", inline(&table.caption)));
    }
    let width = table
        .rows
        .iter()
        .map(Vec::len)
        .chain([table.head.len()])
        .max()
        .unwrap_or(0);
    let line = |cells: Vec<String>| format!("| {} |\n", cells.join(" | "));
    let head = (0..width)
        .map(|at| {
            table
                .head
                .get(at)
                .map(|word| inline(word))
                .unwrap_or_default()
        })
        .collect();
    out.push_str(&line(head));
    out.push_str(&line(vec!["---".to_owned(); width]));
    for row in &table.rows {
        let cell = |at: usize| match row.get(at) {
            Some(Cell::Told(text)) => inline(text),
            Some(Cell::Blank) | None => String::new(),
        };
        out.push_str(&line((0..width).map(cell).collect()));
    }
    out.push('\n');
}

/// Text that stays text at the start of a line, where a number and a point would begin a list.
#[must_use]
pub fn escape(text: &str) -> String {
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    let marked = |at: usize| matches!(text.as_bytes().get(at), Some(b'.' | b')'));
    let (front, rest) = match text.bytes().next() {
        Some(b'-' | b'+' | b'=') => ("\\", text),
        Some(_) if digits > 0 && marked(digits) => {
            let (number, rest) = text.split_at(digits);
            return format!("{number}\\{}", inline(rest));
        }
        _ => ("", text),
    };
    format!("{front}{}", inline(rest))
}

/// Text that stays text inside a line or a cell: every character that Markdown could read as markup is
/// escaped, and a line end becomes a blank.
#[must_use]
pub fn inline(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' | '`' | '*' | '_' | '[' | ']' | '|' | '~' | '#' | '!' | '$' => {
                out.push('\\');
                out.push(c);
            }
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{escape, inline};

    #[test]
    fn text_stays_text() {
        assert_eq!(escape("a|b*c_d[e]`f`"), "a\\|b\\*c\\_d\\[e\\]\\`f\\`");
        assert_eq!(escape("<script>&\n"), "&lt;script&gt;&amp; ");
        assert_eq!(escape("- item"), "\\- item");
        assert_eq!(escape("1. item"), "1\\. item");
        assert_eq!(escape("0.5 FS10"), "0\\.5 FS10");
        assert_eq!(inline("0.5 - x"), "0.5 - x");
    }
}
