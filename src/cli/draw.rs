//! Diagnostics and findings drawn for people: a head line `error[name]: what is wrong`, then the
//! marked lines by miette, then the help.

use super::excerpt::Excerpt;
use crate::document::Grade;
use crate::document::Phrase;
use crate::ground::calm::{calm, turns};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::job::Compiled;
use crate::judge::finding::Finding;
use crate::judge::requirement::Claims;
use crate::judge::words;
use miette::{GraphicalReportHandler, GraphicalTheme, LabeledSpan, Severity, SourceCode};
use std::fmt;

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

pub(super) const WIDTH: usize = 110;
/// More than what miette puts before a line of the help, and keeps free behind it.
const HELP_INDENT: usize = 12;
/// Lines up to which a second place is drawn in the same excerpt.
const NEAR: usize = 1;

/// What is drawn: a message of any origin about one source.
struct Drawing<'a> {
    /// `error`, `warning`, `fails`, …
    word: &'a str,
    name: &'a str,
    severity: Severity,
    title: &'a str,
    span: Span,
    label: &'a str,
    others: &'a [(Span, String)],
    /// Each on a line of its own.
    help: &'a [String],
}

/// Draws diagnostics with the lines they point to.
pub fn human<'a>(
    source: &Source,
    found: impl IntoIterator<Item = &'a Diagnostic>,
    style: Style,
) -> String {
    let draw = |diagnostic: &Diagnostic| {
        Drawing {
            word: diagnostic.severity().word(),
            name: diagnostic.code.name(),
            severity: match diagnostic.is_error() {
                true => Severity::Error,
                false => Severity::Warning,
            },
            title: &diagnostic.title,
            span: diagnostic.span,
            label: &diagnostic.label,
            others: &diagnostic.others,
            help: diagnostic.help.as_slice(),
        }
        .draw(source, style)
    };
    found.into_iter().map(draw).collect()
}

impl Drawing<'_> {
    fn draw(&self, source: &Source, style: Style) -> String {
        let name = format!("{}[{}]", self.word, self.name);
        let name = match (style, self.severity) {
            (Style::Colour, Severity::Error) => format!("\u{1b}[1;31m{name}\u{1b}[0m"),
            (Style::Colour, _) => format!("\u{1b}[1;33m{name}\u{1b}[0m"),
            (Style::Unicode | Style::Plain, _) => name,
        };
        let mut drawn = String::new();
        let report = self.report(source);
        let handler = handler(style).with_wrap_lines(report.has_long_help());
        // miette's own first line, a mark and an empty title, gives way to the head line.
        let body = match handler.render_report(&mut drawn, &report) {
            Ok(()) => drawn.split_once('\n').map_or("", |(_, body)| body),
            Err(_) => "",
        };
        let at = if self.is_about_all(source) {
            format!("  in {}\n", one_line(&source.name))
        } else {
            String::new()
        };
        format!("{name}: {}\n{at}{body}\n", one_line(self.title))
    }

    fn is_about_all(&self, source: &Source) -> bool {
        source.is_meant_whole(self.span, self.label)
    }

    fn report(&self, source: &Source) -> Report {
        let line = source.line(self.span.start);
        let far = |other: &&(Span, String)| source.line(other.0.start).abs_diff(line) > NEAR;
        let (distant, near): (Vec<_>, Vec<_>) = self.others.iter().partition(far);
        let marked = (!self.is_about_all(source)).then(|| {
            let own = std::iter::once((self.span, self.label));
            let near = near.iter().map(|(span, text)| (*span, text.as_str()));
            Marked::of(source, own.chain(near).collect())
        });
        // Lines far away are named, not drawn with all that lies between.
        let elsewhere = distant
            .iter()
            .map(|(span, text)| elsewhere(source, *span, text));
        let help: Vec<String> = elsewhere
            .chain(self.help.iter().cloned())
            .map(|text| one_line(&text))
            .collect();
        Report {
            severity: self.severity,
            marked,
            help: (!help.is_empty()).then(|| help.join("\n")),
        }
    }
}

/// What miette draws: the marked lines and the help. Its own way from a message to that, `miette::Report`,
/// looks into the environment for each one.
#[derive(Debug)]
struct Report {
    severity: Severity,
    marked: Option<Marked>,
    help: Option<String>,
}

impl Report {
    /// Whether a line of the help has to be wrapped. To look for places where it could be costs as much as the
    /// rest of a message.
    fn has_long_help(&self) -> bool {
        let mut lines = self.help.iter().flat_map(|help| help.lines());
        lines.any(|line| line.len() > WIDTH - HELP_INDENT)
    }
}

/// Lines with places in them.
#[derive(Debug)]
struct Marked {
    excerpt: Excerpt,
    labels: Vec<LabeledSpan>,
}

impl Marked {
    fn of(source: &Source, places: Vec<(Span, &str)>) -> Self {
        let spans: Vec<Span> = places.iter().map(|(span, _)| *span).collect();
        let excerpt = Excerpt::new(source, &spans);
        let label = |(span, text): (Span, &str)| {
            let range = excerpt.range(span);
            LabeledSpan::new(
                (!text.is_empty()).then(|| one_line(text)),
                range.start,
                range.len(),
            )
        };
        let labels = places.into_iter().map(label).collect();
        Self { excerpt, labels }
    }
}

impl fmt::Display for Report {
    /// No title: the head line has it.
    fn fmt(&self, _: &mut fmt::Formatter<'_>) -> fmt::Result {
        Ok(())
    }
}

impl std::error::Error for Report {}

impl miette::Diagnostic for Report {
    fn severity(&self) -> Option<Severity> {
        Some(self.severity)
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        let help = self.help.as_deref()?;
        Some(Box::new(help))
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        let marked = self.marked.as_ref()?;
        Some(&marked.excerpt)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        let marked = self.marked.as_ref()?;
        Some(Box::new(marked.labels.iter().cloned()))
    }
}

fn elsewhere(source: &Source, span: Span, text: &str) -> String {
    let line = source.slice(span).split('\n').next().unwrap_or("");
    let shown: String = line.chars().take(60).collect();
    format!("{text}: line {}, `{shown}`", source.line(span.start))
}

fn handler(style: Style) -> GraphicalReportHandler {
    let theme = match style {
        Style::Colour => GraphicalTheme::unicode(),
        Style::Unicode => GraphicalTheme::unicode_nocolor(),
        Style::Plain => GraphicalTheme::none(),
    };
    GraphicalReportHandler::new_themed(theme)
        .with_width(WIDTH)
        .with_context_lines(0)
        .tab_width(4)
        .with_links(false)
}

/// One line: `file:line:column: severity name: title`.
pub fn short(source: &Source, diagnostic: &Diagnostic) -> String {
    let (word, name) = (diagnostic.severity().word(), diagnostic.code.name());
    line(source, diagnostic.span.start, word, name, &diagnostic.title)
}

fn line(source: &Source, position: u32, word: &str, name: &str, title: &str) -> String {
    let (file, at, title) = (&source.name, source.line_column(position), one_line(title));
    format!("{file}:{}:{}: {word} {name}: {title}\n", at.line, at.column)
}

/// Longest text of a message, in characters; what a record holds may be of any length.
const LONGEST: usize = 600;

/// A record's text must not steer a terminal, nor fill it.
pub(super) fn one_line(text: &str) -> String {
    let mut shown = steering_nothing(text);
    if let Some((end, _)) = shown.char_indices().nth(LONGEST) {
        shown.truncate(end);
        shown.push('…');
    }
    shown
}

/// A text that steers no terminal. What would turn the direction of writing is shown as U+FFFD: dropped,
/// `o<U+061C>pen` would be told apart from `open` by nothing that is seen.
pub(super) fn steering_nothing(text: &str) -> String {
    if text.is_ascii() {
        return calm(text).into_owned();
    }
    let seen = |c| if turns(c) { '\u{fffd}' } else { c };
    let text: String = text.chars().map(seen).collect();
    calm(&text).into_owned()
}

/// A finding with the readings it speaks of.
pub(super) fn finding(
    (one, claims): (&Compiled, &Claims<'_>),
    (visit, finding): (usize, &Finding),
    style: Style,
) -> String {
    let Some((first, rest)) = finding.points_at.split_first() else {
        return finding_short((one, claims), (visit, finding));
    };
    let others: Vec<(Span, String)> = rest
        .iter()
        .map(|span| (*span, "see also".to_owned()))
        .collect();
    let more = finding.remarks.iter().cloned().chain(finding.action());
    let more = one.plain(&Phrase::join(more, "; "));
    let behind = words::behind(finding);
    let behind = behind.iter().map(|phrase| one.plain(phrase));
    let explains = explained(one, visit, finding).map(|other| {
        let line = other.points_at.first();
        let line = line.map_or(0, |span| one.source.line(span.start));
        let sentence = one.sentence(other);
        let word = other.grade().word();
        format!("explains: {sentence}: {word}, line {line}")
    });
    let more = (!more.is_empty()).then_some(more);
    let help: Vec<String> = more.into_iter().chain(behind).chain(explains).collect();
    Drawing {
        word: finding.grade().word(),
        name: finding.rule.id,
        severity: match finding.grade() {
            Grade::Fails => Severity::Error,
            _ => Severity::Warning,
        },
        title: &title((one, claims), (visit, finding)),
        span: *first,
        label: words::verdict(&finding.verdict),
        others: &others,
        help: &help,
    }
    .draw(&one.source, style)
}

/// The findings that a cause of a visit explains.
fn explained<'a>(
    one: &'a Compiled,
    visit: usize,
    cause: &'a Finding,
) -> impl Iterator<Item = &'a Finding> {
    let visit = one.assessment.visits.get(visit);
    let all = visit.into_iter().flat_map(|visit| &visit.findings);
    all.filter(|other| cause.explains(other))
}

/// A finding on one line.
pub(super) fn finding_short(
    (one, claims): (&Compiled, &Claims<'_>),
    (visit, finding): (usize, &Finding),
) -> String {
    let at = finding.points_at.first().map_or(0, |span| span.start);
    let (word, name) = (finding.grade().word(), finding.rule.id);
    let title = title((one, claims), (visit, finding));
    line(&one.source, at, word, name, &title)
}

/// What a finding says, and which later readings answer it.
fn title((one, claims): (&Compiled, &Claims<'_>), (visit, finding): (usize, &Finding)) -> String {
    let said = one.sentence(finding);
    match claims.answered(visit, finding) {
        Some(answered) => format!("{said} ({})", one.plain(&answered)),
        None => said,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_turns_the_direction_of_writing_is_seen() {
        let told = "`links` cannot be `o\u{61c}pen`; did you mean `open`?";
        let shown = one_line(told);
        assert_eq!(
            shown,
            "`links` cannot be `o\u{fffd}pen`; did you mean `open`?"
        );
        assert_eq!(one_line("a\u{202e}b\u{1b}c\n\u{feff}d"), "a\u{fffd}b c d");
    }
}
