//! `--format junit`: the XML that CI systems list test results from. It has no standard; what is written is what
//! they agree in (from memory): a suite per record, with cases that pass, fail, have an error or were skipped.
//!
//! A suite has an error where `check` exits with 2, a failure where it exits with 1.

use super::{Seen, Wire, message, place, position};
use crate::document::{Grade, Phrase};
use crate::ground::calm::escape_html;
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::job::Diagnosed;
use crate::judge::requirement::Shown;
use crate::judge::rules::Whose;
use crate::judge::standing::Told;
use crate::judge::words;
use std::fmt::Write as _;

/// Suites one behind the other.
#[derive(Default)]
pub struct Suites;

impl Wire for Suites {
    type Made = String;

    fn begin() -> String {
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites name=\"kneemark\">\n".to_owned()
    }

    fn make(seen: &Seen<'_>) -> String {
        let source = &seen.one.source;
        let mut cases = vec![readable(source, &seen.one.diagnostics)];
        let owners = [Whose::Transformer, Whose::Circuit].into_iter();
        cases.extend(owners.filter_map(|whose| verdict(seen, whose)));
        cases.extend(seen.claims.shown.iter().map(|one| requirement(seen, one)));
        let bad = seen.told().filter(|one| one.grade() >= Grade::Review);
        cases.extend(
            bad.filter(|one| !is_told(seen, one))
                .map(|one| finding(seen, one)),
        );
        suite(source, seen.one.record.plate.id_text(), &cases)
    }

    fn next(&mut self, made: String) -> String {
        made
    }

    fn end(self, others: &[Diagnosed]) -> String {
        let suites = others.iter().map(|told| {
            let source = &told.source;
            suite(source, &source.name, &[readable(source, &told.diagnostics)])
        });
        suites.collect::<String>() + "</testsuites>\n"
    }
}

/// One thing that passes or does not.
struct Case {
    name: String,
    came: Came,
    /// What stands in it, line by line.
    lines: Vec<String>,
}

/// How it came out, with the reason in a line.
enum Came {
    Passed,
    Failed(String),
    Errors(String),
    Skipped(String),
}

impl Came {
    /// What is no pass fails from some grade on, and is skipped below.
    fn by(grade: Grade, from: Grade, why: String) -> Self {
        match grade {
            Grade::Info | Grade::Pass => Self::Passed,
            grade if grade >= from => Self::Failed(why),
            Grade::Open | Grade::Review | Grade::Fails => Self::Skipped(why),
        }
    }

    /// Its element, and what is said in it.
    fn element(&self) -> Option<(&'static str, &str)> {
        match self {
            Self::Passed => None,
            Self::Failed(why) => Some(("failure", why)),
            Self::Errors(why) => Some(("error", why)),
            Self::Skipped(why) => Some(("skipped", why)),
        }
    }
}

/// Whether every line of a file is understood; warnings stand beside it.
fn readable(source: &Source, found: &[Diagnostic]) -> Case {
    let errors: Vec<&Diagnostic> = found.iter().filter(|told| told.is_error()).collect();
    Case {
        name: "every line is understood".to_owned(),
        came: match errors.split_first() {
            None => Came::Passed,
            Some((first, [])) => Came::Errors(first.title.clone()),
            Some((first, more)) => {
                Came::Errors(format!("{}, and {} more", first.title, more.len()))
            }
        },
        lines: found.iter().map(|told| diagnostic(source, told)).collect(),
    }
}

fn diagnostic(source: &Source, told: &Diagnostic) -> String {
    let at = place(source, told);
    let at = at.map_or_else(|| source.name.clone(), |at| position(source, at));
    let (word, name) = (told.severity().word(), told.code.name());
    format!("{at}: {word} {name}: {}", message(told))
}

fn verdict(seen: &Seen<'_>, whose: Whose) -> Option<Case> {
    let sum = seen.claims.sum(whose, None)?;
    let grade = sum.grade().unwrap_or(Grade::Info);
    Some(Case {
        name: format!("verdict of the {}", whose.word()),
        came: Came::by(grade, seen.from, seen.plain(&sum.phrase())),
        lines: Vec::new(),
    })
}

fn requirement(seen: &Seen<'_>, one: &Shown<'_>) -> Case {
    let standing = &one.standing;
    let why = standing.why().filter(|why| !why.is_empty());
    let why = why.map_or_else(
        || standing.word().into(),
        |why| Phrase::join([standing.word().into(), why], ": "),
    );
    let why = seen.plain(&why);
    let why = match one.needs() {
        Some(needs) => format!("{why}; needs {needs}"),
        None => why,
    };
    let grade = standing.grade();
    let came = match grade == Grade::Open && !one.required.due {
        true => Came::Skipped(format!("not asked for at this visit; {why}")),
        false => Came::by(grade, seen.from, why),
    };
    let evidence = one.evidence.iter();
    Case {
        name: seen.plain(&seen.claims.name(one)),
        came,
        lines: evidence.map(|told| says(seen, told)).collect(),
    }
}

/// Whether a requirement that weighs as much says of a finding already what is to be said.
fn is_told(seen: &Seen<'_>, one: &Told<'_>) -> bool {
    let all = seen.claims.shown.iter();
    let mut evidence = all
        .filter(|shown| shown.standing.grade() >= one.grade())
        .flat_map(|shown| &shown.evidence);
    evidence.any(|of| of.visit == one.visit && of.is_same(one))
}

fn finding(seen: &Seen<'_>, one: &Told<'_>) -> Case {
    let subject = words::subject(&seen.one.record, one);
    let name = seen.plain(&Phrase::join([words::what(one), subject], " of "));
    Case {
        name: format!("{name}, visit {}", seen.visit(one.visit)),
        came: Came::by(one.grade(), seen.from, seen.says(one)),
        lines: vec![says(seen, one)],
    }
}

/// `file:line:column: grade rule: sentence`.
fn says(seen: &Seen<'_>, one: &Told<'_>) -> String {
    let source = &seen.one.source;
    let at: Option<&Span> = one.points_at.first();
    let at = at.map_or_else(|| source.name.clone(), |at| position(source, *at));
    let (word, name) = (one.grade().word(), one.rule.id);
    format!("{at}: {word} {name}: {}", seen.says(one))
}

/// The cases of a file, counted.
fn suite(source: &Source, class: &str, cases: &[Case]) -> String {
    let count = |of: &str| {
        let elements = cases.iter().filter_map(|case| case.came.element());
        elements.filter(|(name, _)| *name == of).count()
    };
    let (file, class) = (escape_html(&source.name), escape_html(class));
    let mut out = format!(
        "  <testsuite name=\"{file}\" tests=\"{}\" failures=\"{}\" errors=\"{}\" skipped=\"{}\">\n",
        cases.len(),
        count("failure"),
        count("error"),
        count("skipped")
    );
    for case in cases {
        // Writing to a string cannot fail.
        let _ = put(&mut out, case, &file, &class);
    }
    out + "  </testsuite>\n"
}

fn put(out: &mut String, case: &Case, file: &str, class: &str) -> std::fmt::Result {
    let name = escape_html(&case.name);
    write!(
        out,
        "    <testcase classname=\"{class}\" name=\"{name}\" file=\"{file}\""
    )?;
    let lines: Vec<String> = case.lines.iter().map(|line| escape_html(line)).collect();
    let lines = lines.join("\n");
    match case.came.element() {
        None if lines.is_empty() => return out.write_str("/>\n"),
        None => write!(out, ">\n      <system-out>{lines}</system-out>\n")?,
        Some((element, why)) => {
            write!(out, ">\n      <{element} message=\"{}\"", escape_html(why))?;
            match lines.is_empty() {
                true => out.write_str("/>\n")?,
                false => writeln!(out, ">{lines}</{element}>")?,
            }
        }
    }
    out.write_str("    </testcase>\n")
}
