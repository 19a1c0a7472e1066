//! `--format github`: workflow commands, one line each, which a CI that knows them shows beside the lines of the
//! file. The convention is open and documented by the CI that began it; how its texts are escaped is from memory.

use super::{Seen, Wire, message, place};
use crate::document::Grade;
use crate::ground::calm::calm;
use crate::ground::diagnostic::{Diagnostic, Severity};
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::job::Diagnosed;
use std::fmt::Write as _;

/// One line each, nothing around them.
#[derive(Default)]
pub struct Annotations;

impl Wire for Annotations {
    type Made = String;

    fn begin() -> String {
        String::new()
    }

    fn make(seen: &Seen<'_>) -> String {
        let source = &seen.one.source;
        let findings = seen.told().map(|finding| {
            let level = match finding.grade() {
                Grade::Fails => "error",
                Grade::Review => "warning",
                Grade::Open | Grade::Pass | Grade::Info => "notice",
            };
            let title = format!("{} {}", finding.grade().word(), finding.rule.id);
            let at = finding.points_at.first().copied();
            line(level, source, at, &title, &seen.says(finding))
        });
        diagnostics(source, &seen.one.diagnostics)
            .chain(findings)
            .collect()
    }

    fn next(&mut self, made: String) -> String {
        made
    }

    fn end(self, others: &[Diagnosed]) -> String {
        let all = others.iter();
        all.flat_map(|told| diagnostics(&told.source, &told.diagnostics))
            .collect()
    }
}

fn diagnostics(source: &Source, found: &[Diagnostic]) -> impl Iterator<Item = String> {
    found.iter().map(|told| {
        let level = match told.severity() {
            Severity::Error => "error",
            Severity::Warning => "warning",
        };
        let title = format!("{} {}", told.severity().word(), told.code.name());
        line(level, source, place(source, told), &title, &message(told))
    })
}

fn line(level: &str, source: &Source, at: Option<Span>, title: &str, message: &str) -> String {
    let mut out = format!("::{level} file={}", property(&source.name));
    if let Some(at) = at {
        let (start, end) = (source.line_column(at.start), source.line_column(at.end));
        // Writing to a string cannot fail.
        let _ = write!(out, ",line={},endLine={}", start.line, end.line);
        // Columns are taken within one line only.
        if start.line == end.line {
            let _ = write!(out, ",col={},endColumn={}", start.column, end.column);
        }
    }
    format!("{out},title={}::{}\n", property(title), data(message))
}

/// The text behind the command. The convention has %0D and %0A for line ends; a calm text holds none.
fn data(text: &str) -> String {
    calm(text).replace('%', "%25")
}

/// The text of a property, which ends at a comma or at two colons.
fn property(text: &str) -> String {
    data(text).replace(':', "%3A").replace(',', "%2C")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_ends_its_place_in_the_line() {
        let (source, _) = Source::new("a,b::c 5%.ctr", "Ω x\nyz\n".as_bytes());
        let said = line(
            "error",
            &source,
            Some(Span::new(3, 4)),
            "error x",
            "a\n::b: 5%, c",
        );
        assert_eq!(
            said,
            "::error file=a%2Cb%3A%3Ac 5%25.ctr,line=1,endLine=1,col=3,endColumn=4,title=error x::a ::b: 5%25, c\n"
        );
        let said = line("notice", &source, Some(Span::new(0, 6)), "t", "m");
        assert!(said.contains(",line=1,endLine=2,title=t::m"), "{said}");
        let said = line("warning", &source, None, "t", "m");
        assert!(said.ends_with("5%25.ctr,title=t::m\n"), "{said}");
    }
}
