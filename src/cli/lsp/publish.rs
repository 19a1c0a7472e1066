//! Diagnostics as the editor gets them: those of a record beside its lines, those of a configuration file beside its own.

use super::documents::{Document, Role};
use super::position::{Encoding, Lines};
use super::say::calm_lines;
use crate::editor::{Level, Told, diagnosed, told, withheld};
use crate::ground::diagnostic::Diagnostic as OwnDiagnostic;
use crate::ground::source::Source;
use crate::job::Diagnosed;
use crate::judge::requirement::read_criteria;
use crate::pack::config;
use crate::record::instruments;
use gen_lsp_types::{
    Code, Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, Location, Message, Range,
    Uri,
};

/// Who speaks.
const SOURCE: &str = "kneemark";

/// What is told of an open text.
pub(super) fn of_document(uri: &Uri, document: &Document, encoding: Encoding) -> Vec<Diagnostic> {
    let lines = Lines::of(&document.text, encoding);
    let name = document.path.as_deref().and_then(|path| path.file_name());
    let name = name.unwrap_or_default().to_string_lossy();
    let all = match document.role {
        Role::Other => Vec::new(),
        _ if !document.in_step => vec![out_of_step()],
        Role::Record => of_record(document),
        Role::Instruments => of_text(&name, &document.text, |source| instruments::read(source).1),
        Role::Criteria => of_text(&name, &document.text, |source| read_criteria(source).1),
        Role::Pack => of_text(&name, &document.text, |source| config::read(source).1),
    };
    all.iter().map(|one| diagnostic(uri, &lines, one)).collect()
}

fn of_record(document: &Document) -> Vec<Told> {
    let Some(looked) = &document.looked else {
        return Vec::new();
    };
    let mut all = withheld(looked);
    all.extend(looked.ct.iter().flat_map(told));
    // What lies elsewhere and has no text to point into is told here, by its name.
    for other in looked.others.iter().filter(|other| other.path.is_none()) {
        let whole = diagnosed(&other.source, &other.diagnostics);
        all.extend(whole.into_iter().map(|one| Told {
            span: None,
            text: format!("{}: {}", other.source.name, one.text),
            ..one
        }));
    }
    all
}

/// Nobody knows what stands in the editor.
fn out_of_step() -> Told {
    Told {
        span: None,
        level: Level::Error,
        name: "out-of-step",
        text: "a change of this text was not understood, so that nothing is known of it\nclose the file and open it again"
            .to_owned(),
        others: Vec::new(),
    }
}

fn of_text(name: &str, text: &str, read: fn(&Source) -> Vec<OwnDiagnostic>) -> Vec<Told> {
    let (source, mut found) = Source::new(name, text.as_bytes());
    found.extend(read(&source));
    diagnosed(&source, &found)
}

/// What is told of a file that is not open.
pub(super) fn of_file(uri: &Uri, other: &Diagnosed, encoding: Encoding) -> Vec<Diagnostic> {
    let lines = Lines::of(&other.source.text, encoding);
    let all = diagnosed(&other.source, &other.diagnostics);
    all.iter().map(|one| diagnostic(uri, &lines, one)).collect()
}

pub(super) fn diagnostic(uri: &Uri, lines: &Lines<'_>, told: &Told) -> Diagnostic {
    let range = told
        .span
        .map_or_else(Range::default, |span| lines.range(span));
    let others = told
        .others
        .iter()
        .map(|(span, label)| DiagnosticRelatedInformation {
            location: Location::new(uri.clone(), lines.range(*span)),
            message: calm_lines(label),
        });
    let others: Vec<DiagnosticRelatedInformation> = others.collect();
    Diagnostic {
        severity: Some(match told.level {
            Level::Error => DiagnosticSeverity::Error,
            Level::Warning => DiagnosticSeverity::Warning,
            Level::Information => DiagnosticSeverity::Information,
        }),
        code: Some(Code::String(told.name.to_owned())),
        source: Some(SOURCE.to_owned()),
        related_information: (!others.is_empty()).then_some(others),
        code_description: None,
        tags: None,
        data: None,
        range,
        message: Message::String(calm_lines(&told.text)),
    }
}
