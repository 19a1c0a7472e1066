//! One self-contained page: style inside, no script, nothing fetched.

use super::templates::{Filling, TemplateFault, Templates};
use crate::ground::calm::calm;
use std::fmt::Write as _;

/// The generator that every page names in a `meta` element.
const GENERATOR: &str = concat!("kneemark ", env!("CARGO_PKG_VERSION"));

/// The last line of every Markdown file.
const MARK: &str = "<!-- written by kneemark -->";

/// Size of the printed page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
pub enum Paper {
    #[default]
    A4,
    Letter,
}

impl Paper {
    /// As CSS names it.
    pub fn css(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "letter",
        }
    }
}

/// What goes into a page.
#[derive(Clone, Copy, Debug, Default)]
pub struct Page<'a> {
    pub title: &'a str,
    /// Names of the style sheets among the templates, and rules that go behind them.
    pub styles: &'a [&'a str],
    pub rules: &'a str,
    pub paper: Paper,
    /// Printed at the head of every sheet: what it is, and whose.
    pub head: [&'a str; 2],
    /// Printed at the foot of every sheet beside the page number; the title where empty.
    pub foot: &'a str,
}

impl Page<'_> {
    /// The page with a finished body, in the shell that the templates give it.
    ///
    /// # Errors
    /// When a template of the client's cannot be used.
    pub fn html(&self, body: &str, templates: &Templates) -> Result<String, TemplateFault> {
        let (before, behind) = self.around(templates)?;
        Ok([&before, body, &behind].concat())
    }

    /// What stands before and behind the body.
    ///
    /// # Errors
    /// When a template of the client's cannot be used.
    pub fn around(&self, templates: &Templates) -> Result<(String, String), TemplateFault> {
        let mut style = String::new();
        for name in self.styles {
            templates.put(name, &mut style)?;
        }
        style.extend([&self.sheet(), self.rules]);
        let mut filling = Filling::default();
        filling.text("title", self.title);
        filling.text("generator", GENERATOR);
        filling.part("style", style);
        templates.around_body(&filling)
    }

    /// The sheet: paper, running header, page n of m.
    fn sheet(&self) -> String {
        let foot = if self.foot.is_empty() {
            self.title
        } else {
            self.foot
        };
        let [left, right] = self.head;
        format!(
            "@page{{size:{};@top-left{{content:{}}}@top-right{{content:{}}}@bottom-left{{content:{}}}\
             @bottom-right{{content:\"page \" counter(page) \" of \" counter(pages)}}}}\n",
            self.paper.css(),
            css_string(left),
            css_string(right),
            css_string(foot),
        )
    }
}

/// A Markdown file: the text, lines that only the program reads, and the mark.
pub fn finish(text: &str, hidden: &str) -> String {
    let mut plain = super::plain(text);
    plain.extend(["\n", hidden, MARK, "\n"]);
    plain
}

/// A quoted CSS string that can end neither itself nor the style element.
fn css_string(text: &str) -> String {
    let mut out = String::from("\"");
    for c in calm(text).chars() {
        match c {
            '"' | '\\' | '<' | '>' | '&' => {
                // Writing to a string cannot fail.
                let _ = write!(out, "\\{:x} ", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Whether a file was written by this program and may be replaced by it.
pub fn is_ours(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    let front: String = text.chars().take(2000).collect();
    text.trim_end().ends_with(MARK) || front.contains("<meta name=\"generator\" content=\"kneemark")
}
