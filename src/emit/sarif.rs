//! `--format sarif`: SARIF 2.1.0 (OASIS Standard), which CI systems and editors read. Columns count characters, as
//! everywhere (`unicodeCodePoints`). The rules stand behind the results, since only then it is known which are used.
//!
//! All results are of the kind `fail`, whose level tells how much: the standard has kinds `review` and `open` too,
//! but with no level, and then readers show them as nothing. The grade stands in `properties`.

use super::json::{List, indented, part, pretty};
use super::{Seen, Wire, message, place};
use crate::document::Grade;
use crate::ground::address::address;
use crate::ground::diagnostic::{Code, Diagnostic, Mend, Severity};
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::job::Diagnosed;
use crate::judge::rules::{self, Rule};
use crate::judge::standing::Told;
use crate::judge::words;
use serde::Serialize;
use std::collections::BTreeSet;

const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct ResultOut {
    rule_id: &'static str,
    level: &'static str,
    message: Text,
    locations: Vec<Location>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    related_locations: Vec<Location>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    fixes: Vec<Fix>,
    #[serde(skip_serializing_if = "Option::is_none")]
    properties: Option<Graded>,
}

/// What SARIF has no word for.
#[derive(Serialize)]
struct Graded {
    /// fails, review, open
    grade: &'static str,
    visit: String,
}

#[derive(Serialize)]
struct Text {
    text: String,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Location {
    physical_location: Physical,
    #[serde(skip_serializing_if = "Option::is_none")]
    message: Option<Text>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Physical {
    artifact_location: Artifact,
    #[serde(skip_serializing_if = "Option::is_none")]
    region: Option<Region>,
}

#[derive(Serialize)]
struct Artifact {
    uri: String,
}

/// From the first character to the one behind the last; both from 1.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Region {
    start_line: usize,
    start_column: usize,
    end_line: usize,
    end_column: usize,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Fix {
    description: Text,
    artifact_changes: [Change; 1],
    properties: Safe,
}

#[derive(Serialize)]
struct Safe {
    /// Whether only one reading is possible, so that a tool may apply it unasked.
    safe: bool,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Change {
    artifact_location: Artifact,
    replacements: Vec<Replacement>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Replacement {
    deleted_region: Region,
    inserted_content: Text,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct RuleOut {
    id: &'static str,
    short_description: Text,
    #[serde(skip_serializing_if = "Option::is_none")]
    full_description: Option<Text>,
    #[serde(skip_serializing_if = "Option::is_none")]
    help: Option<Text>,
}

#[derive(Serialize)]
struct Tool {
    driver: Driver,
}

#[derive(Serialize)]
struct Driver {
    name: &'static str,
    version: &'static str,
    rules: Vec<RuleOut>,
}

/// Results one behind the other, and which rules they are of.
#[derive(Default)]
pub struct Log {
    results: List,
    used: BTreeSet<&'static str>,
}

/// The results of a source.
#[derive(Default)]
pub struct Results {
    text: String,
    used: BTreeSet<&'static str>,
}

impl Results {
    fn of(results: impl Iterator<Item = ResultOut>) -> Self {
        let (mut list, mut made) = (List::default(), Self::default());
        for result in results {
            made.used.insert(result.rule_id);
            made.text.push_str(&list.next(part(&result, 8)));
        }
        made
    }
}

impl Wire for Log {
    type Made = Results;

    fn begin() -> String {
        format!(
            "{{\n  \"$schema\": \"{SCHEMA}\",\n  \"version\": \"2.1.0\",\n  \"runs\": [\n    {{\n      \
             \"columnKind\": \"unicodeCodePoints\",\n      \"results\": ["
        )
    }

    fn make(seen: &Seen<'_>) -> Results {
        let source = &seen.one.source;
        let found = seen.one.diagnostics.iter();
        let found = found.map(|told| diagnostic(source, told));
        Results::of(found.chain(seen.told().map(|told| finding(seen, told))))
    }

    fn next(&mut self, made: Results) -> String {
        self.used.extend(made.used);
        self.results.next(made.text)
    }

    fn end(mut self, others: &[Diagnosed]) -> String {
        let others = others.iter().flat_map(|told| {
            let found = told.diagnostics.iter();
            found.map(|one| diagnostic(&told.source, one))
        });
        let others = self.next(Results::of(others));
        let codes = Code::ALL.iter().map(|code| of_code(*code));
        let all = codes.chain(rules::all().map(of_rule));
        let tool = Tool {
            driver: Driver {
                name: env!("CARGO_PKG_NAME"),
                version: env!("CARGO_PKG_VERSION"),
                rules: all.filter(|rule| self.used.contains(rule.id)).collect(),
            },
        };
        let tool = indented(&pretty(&tool), 6);
        format!(
            "{others}\n      ],\n      \"tool\": {}\n    }}\n  ]\n}}\n",
            tool.trim_start()
        )
    }
}

fn of_code(code: Code) -> RuleOut {
    RuleOut {
        id: code.name(),
        short_description: text(code.what()),
        full_description: None,
        help: None,
    }
}

fn of_rule(rule: &Rule) -> RuleOut {
    let help = [rule.matters, rule.action];
    let help = help.iter().filter(|part| !part.is_empty());
    let help: Vec<String> = help.map(|part| sentence(part)).collect();
    RuleOut {
        id: rule.id,
        short_description: text(rule.title),
        full_description: Some(text(rule.means)),
        help: (!help.is_empty()).then(|| text(&help.join(" "))),
    }
}

/// Begins with a capital and ends with a full stop.
fn sentence(part: &str) -> String {
    let mut letters = part.chars();
    let first: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .collect();
    format!("{first}{}.", letters.as_str().trim_end_matches('.'))
}

fn diagnostic(source: &Source, told: &Diagnostic) -> ResultOut {
    let others = told.others.iter();
    ResultOut {
        rule_id: told.code.name(),
        level: match told.severity() {
            Severity::Error => "error",
            Severity::Warning => "warning",
        },
        message: text(&message(told)),
        locations: vec![location(source, place(source, told), &told.label)],
        related_locations: related(source, others.map(|(span, label)| (*span, label.as_str()))),
        fixes: told.mends.iter().map(|mend| fix(source, mend)).collect(),
        properties: None,
    }
}

fn finding(seen: &Seen<'_>, told: &Told<'_>) -> ResultOut {
    let (source, grade) = (&seen.one.source, told.grade());
    let mut places = told.points_at.iter().copied();
    let first = places.next();
    ResultOut {
        rule_id: told.rule.id,
        level: match grade {
            Grade::Fails => "error",
            Grade::Review => "warning",
            Grade::Open | Grade::Pass | Grade::Info => "note",
        },
        message: text(&format!("{}: {}", grade.word(), seen.says(told))),
        locations: vec![location(source, first, words::verdict(&told.verdict))],
        related_locations: related(source, places.map(|span| (span, "see also"))),
        fixes: Vec::new(),
        properties: Some(Graded {
            grade: grade.word(),
            visit: seen.visit(told.visit),
        }),
    }
}

/// Further places, each once.
fn related<'a>(source: &Source, places: impl Iterator<Item = (Span, &'a str)>) -> Vec<Location> {
    let mut known = BTreeSet::new();
    let places = places.filter(|place| known.insert(*place));
    places
        .map(|(span, label)| location(source, Some(span), label))
        .collect()
}

fn location(source: &Source, at: Option<Span>, label: &str) -> Location {
    Location {
        physical_location: Physical {
            artifact_location: artifact(source),
            region: at.map(|span| region(source, span)),
        },
        message: (!label.is_empty()).then(|| text(label)),
    }
}

fn artifact(source: &Source) -> Artifact {
    Artifact {
        uri: address(&source.name),
    }
}

fn region(source: &Source, span: Span) -> Region {
    let (start, end) = (source.line_column(span.start), source.line_column(span.end));
    Region {
        start_line: start.line,
        start_column: start.column,
        end_line: end.line,
        end_column: end.column,
    }
}

fn fix(source: &Source, mend: &Mend) -> Fix {
    let edits = mend.edits.iter();
    let replacements = edits.map(|(span, new)| Replacement {
        deleted_region: region(source, *span),
        inserted_content: text(new),
    });
    Fix {
        description: text(&mend.what),
        artifact_changes: [Change {
            artifact_location: artifact(source),
            replacements: replacements.collect(),
        }],
        properties: Safe { safe: mend.safe },
    }
}

fn text(text: &str) -> Text {
    Text {
        text: text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Within a run a rule is known by its id alone.
    #[test]
    fn no_code_has_the_name_of_a_rule() {
        let codes: BTreeSet<&str> = Code::ALL.iter().map(|code| code.name()).collect();
        let both: Vec<&str> = rules::all()
            .map(|rule| rule.id)
            .filter(|id| codes.contains(id))
            .collect();
        assert_eq!(both, [""; 0]);
    }
}
