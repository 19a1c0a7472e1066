//! What is told beside the lines: every diagnostic, and the findings that `check` shows, as far as they point at a line.

use super::desk::Looked;
use crate::document::Grade;
use crate::ground::diagnostic::{Diagnostic, Severity};
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::job::{Compiled, Diagnosed};
use crate::judge::finding::Finding;

/// How loud an editor tells it. A reading that fails is no error of the text: the record says what was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// The text cannot be used.
    Error,
    /// It deserves a look, or a finding fails.
    Warning,
    /// A finding is for review.
    Information,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Told {
    /// `None` where it is of the file as a whole.
    pub span: Option<Span>,
    pub level: Level,
    /// Name of the diagnostic or rule.
    pub name: &'static str,
    pub text: String,
    /// Other places of the same text that matter.
    pub others: Vec<(Span, String)>,
}

/// What is told of a record.
pub fn told(ct: &Compiled) -> Vec<Told> {
    let mut all = diagnosed(&ct.source, &ct.diagnostics);
    all.extend(findings(ct));
    all
}

/// That nothing of a record passes while a file of its settings is not understood: told on its first line, since that
/// file may not be in sight.
pub fn withheld(looked: &Looked) -> Vec<Told> {
    let Some(ct) = looked.ct.as_ref().filter(|ct| ct.setting.is_broken()) else {
        return Vec::new();
    };
    let files = looked.others.iter().filter(|other| other.path.is_some());
    let one = |other: &Diagnosed| {
        let fault = other.diagnostics.iter().find(|told| told.is_error())?;
        let name = &other.source.name;
        let place = match other.source.is_meant_whole(fault.span, &fault.label) {
            true => name.clone(),
            false => format!("{name}:{}", other.source.line(fault.span.start)),
        };
        Some(Told {
            span: Some(ct.source.line_span(1)),
            level: Level::Information,
            name: fault.code.name(),
            text: format!("{place} is not understood: nothing passes until it is"),
            others: Vec::new(),
        })
    };
    files.filter_map(one).collect()
}

/// The diagnostics of a text.
pub fn diagnosed(source: &Source, found: &[Diagnostic]) -> Vec<Told> {
    let one = |told: &Diagnostic| Told {
        span: (!source.is_meant_whole(told.span, &told.label)).then_some(told.span),
        level: match told.severity() {
            Severity::Error => Level::Error,
            Severity::Warning => Level::Warning,
        },
        name: told.code.name(),
        text: joined([
            Some(told.title.as_str()),
            // What is marked needs no word that says so.
            Some(told.label.as_str()).filter(|label| *label != "here"),
            told.help.as_deref(),
        ]),
        others: told.others.clone(),
    };
    found.iter().map(one).collect()
}

/// What fails or is for review and stands. What a cause explains is told with the cause.
fn findings(ct: &Compiled) -> Vec<Told> {
    let claims = ct.claims();
    let mut all = Vec::new();
    for (visit, assessed) in ct.assessment.visits.iter().enumerate() {
        let stands: Vec<&Finding> = assessed
            .findings
            .iter()
            .filter(|one| one.grade() >= Grade::Review && claims.stands(visit, one))
            .collect();
        let explained = |one: &Finding| stands.iter().any(|cause| cause.explains(one));
        for one in stands.iter().filter(|one| !explained(one)) {
            let behind = stands.iter().filter(|other| one.explains(other));
            let behind = behind.filter_map(|other| {
                let at = other.points_at.first()?;
                Some((*at, format!("explains: {}", ct.sentence(other))))
            });
            all.extend(finding(ct, one, behind.collect()));
        }
    }
    all
}

/// One that points at no line has no place in a text; the verdicts of `check` and the report tell it.
fn finding(ct: &Compiled, one: &Finding, behind: Vec<(Span, String)>) -> Option<Told> {
    let (first, rest) = one.points_at.split_first()?;
    let grade = one.grade();
    let said = format!("{}: {}", grade.word(), ct.sentence(one));
    let action = one.action().map(|action| ct.plain(&action));
    let rest = rest.iter().map(|span| (*span, "see also".to_owned()));
    Some(Told {
        span: Some(*first),
        level: match grade {
            Grade::Fails => Level::Warning,
            Grade::Review | Grade::Open | Grade::Pass | Grade::Info => Level::Information,
        },
        name: one.rule.id,
        text: joined([Some(said.as_str()), action.as_deref(), None]),
        others: rest.chain(behind).collect(),
    })
}

fn joined(parts: [Option<&str>; 3]) -> String {
    let parts = parts.into_iter().flatten().filter(|part| !part.is_empty());
    parts.collect::<Vec<_>>().join("\n")
}
