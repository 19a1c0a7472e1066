//! One self-contained page: style inside, no script, nothing fetched.

use super::options::Options;
use super::templates::{TemplateFault, Templates};
use crate::chart::STYLE;
use serde::Serialize;
use std::fmt::Write as _;

/// The generator that every page names in a `meta` element.
pub const GENERATOR: &str = concat!("kneemark ", env!("CARGO_PKG_VERSION"));

/// The last line of every Markdown file.
pub const MARK: &str = "<!-- written by kneemark -->";

/// What goes into a page.
#[derive(Clone, Copy, Debug)]
pub struct Page<'a> {
    pub title: &'a str,
    /// Finished HTML: articles and sections.
    pub body: &'a str,
    /// Printed at the foot of every sheet beside the page number; the title where empty.
    pub foot: &'a str,
}

#[derive(Serialize)]
struct Filling<'a> {
    title: &'a str,
    body: &'a str,
    generator: &'static str,
    style: String,
}

/// Puts a body into a page. Running header and paper come from the options.
///
/// # Errors
/// When a template of the client's cannot be used.
pub fn page(
    page: &Page<'_>,
    options: &Options,
    templates: &Templates,
) -> Result<String, TemplateFault> {
    let foot = if page.foot.is_empty() {
        page.title
    } else {
        page.foot
    };
    let mut style = templates.text("style.css")?;
    style.push_str(&sheet(options, foot));
    style.push_str(STYLE);
    templates.fill(
        "page.html",
        &Filling {
            title: page.title,
            body: page.body,
            generator: GENERATOR,
            style,
        },
    )
}

/// The sheet: paper, running header, page n of m.
fn sheet(options: &Options, foot: &str) -> String {
    let header = options.running();
    let client = [options.contractor.as_deref(), options.client.as_deref()]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" for ");
    format!(
        "@page{{size:{};@top-left{{content:{}}}@top-right{{content:{}}}@bottom-left{{content:{}}}\
         @bottom-right{{content:\"page \" counter(page) \" of \" counter(pages)}}}}\n",
        options.paper.css(),
        css_string(&header),
        css_string(&client),
        css_string(foot),
    )
}

/// A quoted CSS string that can end neither itself nor the style element.
fn css_string(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' | '\\' | '<' | '>' | '&' => {
                // Writing to a string cannot fail.
                let _ = write!(out, "\\{:x} ", u32::from(c));
            }
            c if c.is_control() => out.push(' '),
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
    text.trim_end().ends_with(MARK)
        || front.contains("<meta name=\"generator\" content=\"kneemark ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_header_cannot_leave_its_string() {
        let evil = "</style><script>\"}\\";
        let options = Options {
            report_number: Some(evil.to_owned()),
            ..Options::default()
        };
        let made = page(
            &Page {
                title: evil,
                body: "<p>x</p>",
                foot: evil,
            },
            &options,
            &Templates::built_in(),
        )
        .unwrap();
        assert_eq!(made.matches("</style>").count(), 1);
        assert!(!made.contains("<script"));
        assert!(
            is_ours(made.as_bytes())
                && is_ours(format!("x\n{MARK}\n").as_bytes())
                && !is_ours(b"<html>")
        );
    }
}
