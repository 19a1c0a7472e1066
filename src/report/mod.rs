//! What a report says and how it is drawn. The content is written once, as Markdown by a template;
//! HTML is made of that Markdown, with the charts put in.

mod content;
mod markdown;
mod options;
mod page;
mod summary;
mod templates;
pub mod worksheet;

pub use crate::compare::Sister;
pub use markdown::{FOLDED, anchor, escape_markdown, markdown_to_html, markdown_to_html_within};
pub use options::{Options, Paper, Worked};
pub use page::{GENERATOR, MARK, Page, is_ours, page};
pub use summary::{Summary, mark};
pub use templates::{TemplateFault, Templates};

use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::job::Compiled;
use crate::judge::Assessment;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::instruments::Instruments;

/// What a report is about.
#[derive(Clone, Debug)]
pub struct Subject<'a> {
    pub source: &'a Source,
    pub record: &'a Record,
    pub diagnostics: &'a [Diagnostic],
    pub assessment: &'a Assessment,
    pub instruments: Option<&'a Instruments>,
    pub criteria: &'a Criteria,
    pub sisters: Vec<Sister<'a>>,
}

impl<'a> Subject<'a> {
    /// A compiled record, with its sisters.
    pub fn of(ct: &'a Compiled, sisters: Vec<Sister<'a>>) -> Self {
        let (instruments, criteria) = ct.setting.parts();
        Self {
            source: &ct.source,
            record: &ct.record,
            diagnostics: &ct.diagnostics,
            assessment: &ct.assessment,
            instruments,
            criteria,
            sisters,
        }
    }
}

/// The report of one CT.
#[derive(Clone, Debug)]
pub struct CtReport {
    /// The unit's id as written.
    pub id: String,
    /// The id made fit for a file name: lower-case letters, digits and hyphens. Two ids may give one.
    pub slug: String,
    pub title: String,
    /// The whole report, ending with [`MARK`].
    pub markdown: String,
    /// One `<article>` with the charts inside, for [`page`].
    pub html: String,
    pub summary: Summary,
}

/// Writes the report of one CT: its last visit in full, the earlier ones behind it.
///
/// # Errors
/// When a template of the client's cannot be used.
pub fn ct(
    subject: &Subject<'_>,
    options: &Options,
    templates: &Templates,
) -> Result<CtReport, TemplateFault> {
    let id = subject.record.plate.id_text().to_owned();
    let slug = options.slug.clone().unwrap_or_else(|| slug(&id));
    let summary = Summary::of(subject);
    let (content, charts) = content::of(subject, options, &slug, &summary);
    let text = tidy(&templates.fill("ct.md", &content)?);
    let body = markdown_to_html_within(&text, &charts, &format!("{slug}-"));
    // The record's sum stands where no text of a record can: inside a tag, and in a comment.
    let sum = &subject.source.sha256;
    let html =
        format!("<article data-sha256=\"{sum}\" class=\"ct\" id=\"{slug}\">\n{body}</article>\n");
    let markdown = format!("{text}\n<!-- record sha256 {sum} -->\n{MARK}\n");
    Ok(CtReport {
        title: content::title(subject.record),
        id,
        slug,
        markdown,
        html,
        summary,
    })
}

/// One blank line between blocks, none at the ends of lines: templates need not care.
fn tidy(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut blank = true;
    for line in text.lines().map(str::trim_end) {
        if !(line.is_empty() && blank) {
            out.push_str(line);
            out.push('\n');
        }
        blank = line.is_empty();
    }
    let kept = out.trim_end_matches('\n').len();
    out.truncate(kept);
    out.push('\n');
    out
}

/// A file-safe name of an id.
pub fn slug(id: &str) -> String {
    let mut out = String::new();
    for c in id.chars() {
        if c.is_ascii_alphanumeric() {
            out.push(c.to_ascii_lowercase());
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    let short: String = out.trim_end_matches('-').chars().take(60).collect();
    if short.is_empty() {
        "ct".to_owned()
    } else {
        short
    }
}
