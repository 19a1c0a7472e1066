//! The texts of the diagnostics about lines and sections as such.

use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::span::Span;

/// A section line without its opening or closing bracket.
pub fn bracket_lost(line: Span, at: Span, bracket: &str) -> Diagnostic {
    let which = if bracket == "[" { "opening" } else { "closing" };
    Code::BracketLost
        .at(line, format!("the section's {which} bracket is missing"))
        .label(format!(
            "expected {bracket} at its {}",
            if bracket == "[" { "start" } else { "end" }
        ))
        .help(format!(
            "write {bracket}; the line is read as the section that it names"
        ))
        .mend(format!("add {bracket}"), at, bracket, true)
}

/// A section line in round, curly or angle brackets.
pub fn other_brackets(line: Span) -> Diagnostic {
    let (start, end) = (line.range().start, line.range().end);
    let mut told = Code::BracketLost
        .at(line, "the section stands in brackets of another kind")
        .label("expected [ and ]")
        .help("write [ and ]; the line is read as the section that it names")
        .mend("write [ and ]", line, "", true);
    for mend in &mut told.mends {
        mend.edits = vec![
            (Span::new(start, start + 1), "[".to_owned()),
            (Span::new(end - 1, end), "]".to_owned()),
        ];
    }
    told
}

/// Text behind a section's closing bracket.
pub fn behind_bracket(text: Span) -> Diagnostic {
    Code::StrayLine
        .at(text, "there is text after the section's closing bracket")
        .label("not read")
        .help("a comment needs a # with a space on both sides; a remark goes in a `note:` line")
}
