//! What a report says and how it is drawn: the parts of a CT's report as blocks, put in order by a
//! template. What a client must see stands first; what it rests on follows in annexes.

mod content;
pub use content::NO_CLEARANCE;
pub mod line;
pub mod manual;
mod options;
pub mod rows;
pub(crate) mod sources;
mod summary;
pub mod worksheet;

pub use content::{LATE, Overlay, overlaid};
pub use options::{Annex, Annexes, Files, Options};
pub use summary::Summary;

use crate::compare::Sister;
use crate::document::{self, Links, Page, Pictures, TemplateFault, Templates, Within, slug_or};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::job::{Attached, Basis, Compiled, Part};
use crate::judge::Assessment;
use crate::judge::finding::unit;
use crate::judge::requirement::Claims;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::instruments::Instruments;
use crate::record::occasion;
use rows::{Row, insulation_unit, rows_in};
use sources::Sources;

/// What a report is about, and what it says of it. A pack tells the same on several pages. What follows from
/// record and visits is worked out once, so that none of it can be changed without the rest.
#[derive(Debug)]
pub struct Subject<'a> {
    source: &'a Source,
    record: &'a Record,
    diagnostics: &'a [Diagnostic],
    assessment: &'a Assessment,
    instruments: Option<&'a Instruments>,
    criteria: &'a Criteria,
    attached: &'a [Attached],
    /// The visits that are reported, which answer together; the last one in full.
    visits: Vec<usize>,
    sisters: Vec<Sister<'a>>,
    /// Units of the same place that it is not held against.
    apart: Vec<Sister<'a>>,
    /// What all of it was made of.
    basis: Basis,
    /// What its visits let it claim, and what that comes to.
    claims: Claims<'a>,
    summary: Summary,
    /// The rows of its table.
    rows: Vec<Row>,
    /// What its findings cite.
    sources: Sources,
}

impl<'a> Subject<'a> {
    /// A compiled record at its last visits, with its sisters.
    pub fn of(ct: &'a Compiled, sisters: Vec<Sister<'a>>) -> Self {
        Self::at(occasion::last(&ct.record), ct, sisters)
    }

    /// The same at some visits that answer together.
    pub fn at(visits: Vec<usize>, ct: &'a Compiled, sisters: Vec<Sister<'a>>) -> Self {
        let (instruments, criteria) = ct.setting.parts();
        let all = sisters.iter();
        let all = all.map(|one| (one.id.as_str(), one.record.written.sha256.as_str()));
        let basis = Basis::of(ct, all);
        let (apart, sisters) = sisters.into_iter().partition(|one| one.apart.is_some());
        let (record, assessment) = (&ct.record, &ct.assessment);
        let claims = Claims::of(record, assessment, &visits, ct.unread());
        let mut subject = Self {
            source: &ct.source,
            record,
            diagnostics: &ct.diagnostics,
            assessment,
            instruments,
            criteria,
            attached: &ct.attached,
            summary: Summary::of(ct, &claims),
            visits,
            sisters,
            apart,
            basis,
            rows: Vec::new(),
            sources: Sources::of(assessment, criteria),
            claims,
        };
        let insulation = insulation_unit(&subject.claims);
        subject.rows = rows_in(&subject, insulation.unwrap_or(unit::MEGOHM));
        subject
    }

    /// The same, made of more files than its record and what lies beside it.
    #[must_use]
    pub fn made_also_of(mut self, parts: impl IntoIterator<Item = Part>) -> Self {
        self.basis.parts.extend(parts);
        self
    }

    /// The files of its visits.
    pub fn files(&self) -> impl Iterator<Item = &'a Attached> {
        let visits = self.visits.iter();
        let visits = visits.filter_map(|index| self.record.visits.get(*index));
        let rows = visits.flat_map(|visit| &visit.attachments);
        rows.filter_map(|row| self.attached.iter().find(|one| one.row.span == row.span))
    }

    /// What its visits let it claim.
    pub fn claims(&self) -> &Claims<'a> {
        &self.claims
    }

    /// What that comes to.
    pub fn summary(&self) -> &Summary {
        &self.summary
    }

    /// The rows of its table.
    pub fn rows(&self) -> &[Row] {
        &self.rows
    }

    /// What all of it was made of.
    pub fn basis(&self) -> &Basis {
        &self.basis
    }

    /// What its findings cite, and what it was made of: what the annexes of several are joined from.
    pub fn into_annexes(self) -> (Sources, Basis) {
        (self.sources, self.basis)
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
    /// The whole report, ending with the mark of the program.
    pub markdown: String,
    /// One `<article>` with the charts inside, for [`page`].
    pub html: String,
    /// The same with its headings a level lower; empty where [`Options::lowered`] does not ask for it.
    pub lowered: String,
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
    let mut pictures = Pictures::new();
    // Two hyphens: no heading of another report, and none of a cover, makes an id that begins so.
    let prefix = format!("ct--{slug}--");
    let filling = content::of(subject, options, &prefix, &mut pictures);
    let marked = templates.fill("ct.md", &filling)?;
    // What it stands on is carried where no text of a record can be: inside a tag, and in a comment.
    let basis = subject.basis.carried();
    let attribute = basis.attribute();
    let article = |lower: usize| {
        let within = Within {
            prefix: prefix.clone(),
            lower,
            links: match lower {
                0 => Links::Pages,
                _ => Links::Within,
            },
        };
        let body = document::html(&marked, &pictures, &within);
        format!("<article {attribute} class=\"ct\">\n{body}</article>\n")
    };
    Ok(CtReport {
        title: content::title(subject),
        id,
        slug,
        markdown: document::finish(&marked, &basis.comment()),
        html: article(0),
        lowered: match options.lowered {
            true => article(1),
            false => String::new(),
        },
    })
}

/// The page with one or more reports.
///
/// # Errors
/// When a template of the client's cannot be used.
pub fn page(
    title: &str,
    body: &str,
    options: &Options,
    templates: &Templates,
) -> Result<String, TemplateFault> {
    let (before, behind) = around(title, options, templates)?;
    Ok([&before, body, &behind].concat())
}

/// What stands before and behind the body of such a page.
///
/// # Errors
/// When a template of the client's cannot be used.
pub fn around(
    title: &str,
    options: &Options,
    templates: &Templates,
) -> Result<(String, String), TemplateFault> {
    let [left, right] = options.running();
    let page = Page {
        title,
        styles: &["style.css"],
        rules: crate::chart::STYLE,
        paper: options.paper,
        head: [&left, &right],
        foot: title,
    };
    page.around(templates)
}
