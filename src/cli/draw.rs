//! Diagnostics drawn for people, by miette, one source at a time. Spans are handed over relative to
//! a few lines around them, since miette walks its source from the start for every span.

use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::judge::finding::{Finding, Grade};
use miette::{GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteDiagnostic, NamedSource, Severity};

/// How it may look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Style {
    /// Lines of box characters and colour.
    Colour,
    /// Box characters, no colour.
    Unicode,
    /// ASCII only.
    Plain,
}

const WIDTH: usize = 110;
/// Lines up to which a second place is drawn in the same excerpt.
const NEAR: usize = 2;

/// Draws diagnostics with the lines they point to.
pub fn human(source: &Source, found: &[Diagnostic], style: Style) -> String {
    let handler = handler(style);
    let mut out = String::new();
    for diagnostic in found {
        let severity = if diagnostic.is_error() { Severity::Error } else { Severity::Warning };
        let report = report(source, diagnostic, diagnostic.code.name(), severity);
        if handler.render_report(&mut out, report.as_ref()).is_err() {
            out.push_str(&short(source, diagnostic));
        }
        out.push('\n');
    }
    out
}

fn handler(style: Style) -> GraphicalReportHandler {
    let theme = match style {
        Style::Colour => GraphicalTheme::unicode(),
        Style::Unicode => GraphicalTheme::unicode_nocolor(),
        Style::Plain => GraphicalTheme::none(),
    };
    GraphicalReportHandler::new_themed(theme).with_width(WIDTH).with_context_lines(0).tab_width(4).with_links(false)
}

/// One line: `file:line:column: severity name: title`.
pub fn short(source: &Source, diagnostic: &Diagnostic) -> String {
    let at = source.line_column(diagnostic.span.start);
    format!(
        "{}:{}:{}: {} {}: {}\n",
        source.name,
        at.line,
        at.column,
        diagnostic.severity().word(),
        diagnostic.code.name(),
        one_line(&diagnostic.title)
    )
}

/// Control characters out: a record's text must not steer a terminal.
pub fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

fn report(source: &Source, diagnostic: &Diagnostic, name: &str, severity: Severity) -> miette::Report {
    let label = |span: Span, text: &str| LabeledSpan::new(Some(one_line(text)), span.range().start, span.len());
    let line = source.line(diagnostic.span.start);
    let far = |other: &&(Span, String)| source.line(other.0.start).abs_diff(line) > NEAR;
    let (distant, near): (Vec<_>, Vec<_>) = diagnostic.others.iter().partition(far);
    let labels = std::iter::once(label(diagnostic.span, &diagnostic.label)).chain(near.iter().map(|(span, text)| label(*span, text)));
    let mut made = MietteDiagnostic::new(one_line(&diagnostic.title)).with_code(name).with_severity(severity).with_labels(labels);
    // Lines far away are named, not drawn with all that lies between.
    let elsewhere = distant.iter().map(|(span, text)| format!("{text}: line {}, `{}`", source.line(span.start), source.slice(*span)));
    let help: Vec<String> = elsewhere.chain(diagnostic.help.clone()).map(|text| one_line(&text)).collect();
    if !help.is_empty() {
        made = made.with_help(help.join("\n"));
    }
    miette::Report::new(made).with_source_code(NamedSource::new(&source.name, source.text.clone()))
}

/// A finding with the readings it speaks of.
pub fn finding(source: &Source, finding: &Finding, sentence: &str, style: Style) -> String {
    let (first, rest) = match finding.points_at.split_first() {
        Some((first, rest)) => (*first, rest),
        None => return finding_short(source, finding, sentence),
    };
    let mut shown = Diagnostic::new(Code::ReadingImplausible, first, one_line(sentence));
    shown.label = crate::judge::say::verdict(&finding.verdict);
    shown.others = rest.iter().map(|span| (*span, "see also".to_owned())).collect();
    let remarks: Vec<String> = finding.remarks.iter().chain(&finding.next).cloned().collect();
    shown.help = (!remarks.is_empty()).then(|| remarks.join("; "));
    let severity = if finding.grade() == Grade::Bad { Severity::Error } else { Severity::Warning };
    let mut out = String::new();
    let report = report(source, &shown, finding.rule, severity);
    if handler(style).render_report(&mut out, report.as_ref()).is_err() {
        return finding_short(source, finding, sentence);
    }
    out.push('\n');
    out
}

/// A finding on one line.
pub fn finding_short(source: &Source, finding: &Finding, sentence: &str) -> String {
    let at = source.line_column(finding.points_at.first().map_or(0, |span| span.start));
    let word = match finding.grade() {
        Grade::Bad => "fails",
        Grade::Doubt => "look",
        Grade::Open => "open",
        Grade::Good => "good",
        Grade::Plain => "note",
    };
    format!("{}:{}:{}: {word} {}: {}\n", source.name, at.line, at.column, finding.rule, one_line(sentence))
}
