//! What a report says and how it is drawn: the parts of a CT's report as blocks, put in order by a
//! template. What a client must see stands first; what it rests on follows in annexes.

mod content;
mod options;
pub mod rows;
pub(crate) mod sources;
mod summary;
pub mod worksheet;

pub use content::{Overlay, overlaid};
pub use options::{Annex, Annexes, Options};
pub use summary::{Summary, asks_nothing};

use crate::compare::Sister;
use crate::document::{self, Page, Pictures, TemplateFault, Templates, Within, slug_or};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::job::{Basis, Compiled};
use crate::judge::Assessment;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::instruments::Instruments;
use crate::record::occasion;

/// What a report is about.
#[derive(Clone, Debug)]
pub struct Subject<'a> {
    pub source: &'a Source,
    pub record: &'a Record,
    pub diagnostics: &'a [Diagnostic],
    pub assessment: &'a Assessment,
    pub instruments: Option<&'a Instruments>,
    pub criteria: &'a Criteria,
    /// The visits that are reported, which answer together; the last one in full.
    pub visits: Vec<usize>,
    pub sisters: Vec<Sister<'a>>,
    /// What all of it was made of.
    pub basis: Basis,
}

impl<'a> Subject<'a> {
    /// A compiled record, with its sisters.
    pub fn of(ct: &'a Compiled, sisters: Vec<Sister<'a>>) -> Self {
        let (instruments, criteria) = ct.setting.parts();
        let all = sisters.iter();
        let all = all.map(|one| (one.id.as_str(), one.record.written.sha256.as_str()));
        let basis = Basis::of(ct, all);
        Self {
            source: &ct.source,
            record: &ct.record,
            diagnostics: &ct.diagnostics,
            assessment: &ct.assessment,
            instruments,
            criteria,
            visits: occasion::last(&ct.record),
            sisters,
            basis,
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
    /// The whole report, ending with [`document::MARK`].
    pub markdown: String,
    /// One `<article>` with the charts inside, for [`page`].
    pub html: String,
    /// The same with its headings a level lower; empty where [`Options::lowered`] does not ask for it.
    pub lowered: String,
    pub summary: Summary,
}

/// Writes the report of one CT: what its last occasion shows, and the annexes that are asked for.
///
/// # Errors
/// When a template of the client's cannot be used.
pub fn ct(
    subject: &Subject<'_>,
    options: &Options,
    templates: &Templates,
) -> Result<CtReport, TemplateFault> {
    let id = subject.record.plate.id_text().to_owned();
    let slug = match &options.slug {
        Some(slug) => slug.clone(),
        None => slug_or(&id, "ct"),
    };
    let claims = summary::claims(subject);
    let summary = Summary::of(subject, &claims);
    let mut pictures = Pictures::new();
    // Two hyphens: no heading of another report, and none of a cover, makes an id that begins so.
    let prefix = format!("ct--{slug}--");
    let filling = content::of(subject, options, claims, &prefix, &summary, &mut pictures);
    let marked = templates.fill("ct.md", &filling)?;
    // What it stands on is carried where no text of a record can be: inside a tag, and in a comment.
    let attribute = subject.basis.attribute();
    let article = |lower: usize| {
        let within = Within {
            prefix: prefix.clone(),
            lower,
            ..Within::default()
        };
        let body = document::html(&marked, &pictures, &within);
        format!("<article {attribute} class=\"ct\">\n{body}</article>\n")
    };
    Ok(CtReport {
        title: content::title(subject),
        id,
        slug,
        markdown: document::finish(&marked, &subject.basis.comment()),
        html: article(0),
        lowered: match options.lowered {
            true => article(1),
            false => String::new(),
        },
        summary,
    })
}

/// The page around one or more reports.
///
/// # Errors
/// When a template of the client's cannot be used.
pub fn page(
    title: &str,
    body: &str,
    options: &Options,
    templates: &Templates,
) -> Result<String, TemplateFault> {
    let [left, right] = options.running();
    let page = Page {
        title,
        body,
        styles: &["style.css"],
        rules: crate::chart::STYLE,
        paper: options.paper,
        head: [&left, &right],
        foot: title,
    };
    page.html(templates)
}
