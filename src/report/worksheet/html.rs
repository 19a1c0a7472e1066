//! A worksheet as one HTML page: no script, nothing fetched, style inside.

use super::document::{Block, Cell, Document, Figure, Table};

const PAGE: &str = include_str!("../../../templates/worksheet/page.html");
const STYLE: &str = include_str!("../../../templates/worksheet/style.css");

/// In the head of every page: files that hold it may be written again.
pub const MARK: &str = "<meta name=\"generator\" content=\"kneemark: worksheet\">";

/// Size of the paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    #[default]
    A4,
    Letter,
}

impl Paper {
    fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }
}

/// The whole page. `running` is printed at the head of each sheet of paper.
///
/// # Errors
/// When the page's template is not sound, which a test rules out.
pub fn page(document: &Document, running: &str, paper: Paper) -> Result<String, minijinja::Error> {
    let mut body = format!(
        "<h1>{}</h1>\n<p class=\"under\">{}</p>\n",
        escape(&document.title),
        escape(&document.under)
    );
    for block in &document.blocks {
        write(block, &mut body);
    }
    let mut environment = minijinja::Environment::new();
    environment.set_undefined_behavior(minijinja::UndefinedBehavior::Strict);
    let running = css_string(running);
    let style = STYLE
        .replace("PAPER", paper.name())
        .replace("RUNNING", &running);
    // Everything handed over is escaped already, here or by the printers below.
    let values =
        minijinja::context! { title => escape(&document.title), mark => MARK, style, body };
    environment.render_str(PAGE, values)
}

fn write(block: &Block, out: &mut String) {
    match block {
        Block::Heading(level, text) => {
            let level = (*level).clamp(2, 6);
            out.push_str(&format!("<h{level}>{}</h{level}>\n", escape(text)));
        }
        Block::Text(text) => out.push_str(&format!("<p>{}</p>\n", escape(text))),
        Block::Caution(lines) => {
            out.push_str("<div class=\"caution\" role=\"note\">\n");
            for line in lines {
                out.push_str(&format!(
                    "<p><strong>Caution.</strong> {}</p>\n",
                    escape(line)
                ));
            }
            out.push_str("</div>\n");
        }
        Block::List { numbered, items } => list(*numbered, items, out),
        Block::Table(shown) => table(shown, out),
        Block::Pair(drawn, shown) => {
            out.push_str("<div class=\"pair\">\n");
            figure(drawn, out);
            table(shown, out);
            out.push_str("</div>\n");
        }
        Block::Card(blocks) => {
            out.push_str("<section class=\"card\">\n");
            blocks.iter().for_each(|inner| write(inner, out));
            out.push_str("</section>\n");
        }
        Block::Page => out.push_str("<hr class=\"page\">\n"),
    }
}

fn list(numbered: bool, items: &[String], out: &mut String) {
    let name = if numbered { "ol" } else { "ul" };
    out.push_str(&format!("<{name}>\n"));
    for item in items {
        out.push_str(&format!("<li>{}</li>\n", escape(item)));
    }
    out.push_str(&format!("</{name}>\n"));
}

fn figure(figure: &Figure, out: &mut String) {
    out.push_str(&format!(
        "<figure>\n{}\n<figcaption>{}</figcaption>\n</figure>\n",
        figure.svg,
        escape(&figure.caption)
    ));
}

fn table(table: &Table, out: &mut String) {
    let facts = table.head.is_empty();
    let class = if facts { "facts" } else { "grid" };
    let label = if table.caption.is_empty() {
        "table".to_owned()
    } else {
        escape(&table.caption)
    };
    out.push_str(&format!("<div class=\"scroll\" role=\"group\" tabindex=\"0\" aria-label=\"{label}\"><table class=\"{class}\">\n"));
    if !table.caption.is_empty() {
        out.push_str(&format!("<caption>{}</caption>\n", escape(&table.caption)));
    }
    if !facts {
        out.push_str("<thead><tr>");
        for word in &table.head {
            out.push_str(&format!("<th scope=\"col\">{}</th>", escape(word)));
        }
        out.push_str("</tr></thead>\n");
    }
    out.push_str("<tbody>\n");
    for row in &table.rows {
        out.push_str("<tr>");
        for (at, cell) in row.iter().enumerate() {
            out.push_str(&match (cell, at) {
                (Cell::Told(text), 0) if !text.is_empty() => {
                    format!("<th scope=\"row\">{}</th>", escape(text))
                }
                (Cell::Told(text), _) => format!("<td>{}</td>", escape(text)),
                (Cell::Blank, _) => "<td class=\"pen\"></td>".to_owned(),
            });
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table></div>\n");
}

/// Text that stays text in HTML and SVG; control characters become blanks.
#[must_use]
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// Inside a CSS string within `<style>`: everything but plain letters and digits as a code point.
fn css_string(text: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, ' ' | '.' | ',' | '-' | ':');
    text.chars()
        .map(|c| {
            if plain(c) {
                c.to_string()
            } else {
                format!("\\{:06x}", u32::from(c))
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_stays_text() {
        assert_eq!(
            escape("<b a=\"x\">&'\u{7}"),
            "&lt;b a=&quot;x&quot;&gt;&amp;&#39; "
        );
        assert_eq!(
            css_string("a\"</style>"),
            "a\\000022\\00003c\\00002fstyle\\00003e"
        );
    }

    #[test]
    fn the_page_holds_its_mark_and_nothing_of_the_outside() {
        let block = Block::Text("<script>alert(1)</script>".into());
        let document = Document {
            title: "{{ 1 }} <i>".into(),
            under: String::new(),
            blocks: vec![block],
        };
        let page = page(&document, "x", Paper::Letter).unwrap();
        assert!(page.contains(MARK) && page.contains("size: Letter"));
        assert!(
            page.contains("{{ 1 }} &lt;i&gt;")
                && !page.contains("<script")
                && !page.contains("http")
        );
    }
}
