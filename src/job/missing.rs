//! What a visit's purpose asks for, and is neither there nor named as not done: in one line at the visit,
//! taken from the list of requirements.

use crate::document::joined;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::judge::Assessment;
use crate::judge::requirement::{Claims, Shown, subject};
use crate::record::kinds::{Test, TestKind};
use crate::record::visit::Visit;
use crate::record::{Record, occasion};

/// Tells at each visit what is missing of it, with the retests that carry it on. What seems to be missing
/// may be in a line that could not be read or is not used, or in rows that wait to be filled in: that was told there.
pub fn tests_missing(record: &Record, assessment: &Assessment, found: &mut Vec<Diagnostic>) {
    let unused = |told: &&Diagnostic| told.is_error() || told.code == Code::ReadingImplausible;
    let errors = found.iter().filter(unused);
    let errors: Vec<u32> = errors.map(|told| told.span.start).collect();
    for visits in occasion::occasions(record) {
        let broken = |index: &usize| {
            let start = |at: usize| record.visits.get(at).map(|visit| visit.span.start);
            let from = start(*index).unwrap_or(u32::MAX);
            let to = start(index + 1).unwrap_or(u32::MAX);
            errors.iter().any(|at| (from..to).contains(at))
        };
        let visit = visits.first().and_then(|first| record.visits.get(*first));
        let Some(visit) = visit.filter(|_| !visits.iter().any(broken)) else {
            continue;
        };
        let claims = Claims::within(record, assessment, &visits);
        let visits = visits.iter().filter_map(|index| record.visits.get(*index));
        let tests: Vec<&Test> = visits.flat_map(Visit::own_tests).collect();
        let missing = named(record, &tests, &claims.shown);
        if !missing.is_empty() {
            found.push(told(visit, &missing));
        }
    }
}

/// What nothing shows, with the cores or pairs that it is missing on, in the order of a report. It goes by
/// the name of the test, or, where another reading of that test is there, by its own.
fn named<'a>(
    record: &Record,
    tests: &[&Test],
    shown: &[Shown<'a>],
) -> Vec<(&'static str, Vec<String>)> {
    let mut found: Vec<(&'static str, Vec<String>)> = Vec::new();
    let missing = |one: &&Shown<'a>| one.is_unexplained() && one.evidence.is_empty();
    for kind in TestKind::ALL {
        let of_kind = |one: &&Shown<'a>| one.required.requirement.kind == *kind;
        for one in shown.iter().filter(of_kind).filter(missing) {
            let on = |test: &&&Test| {
                let core = one.required.core;
                let on = core.is_none_or(|core| test.is_of_unit() || test.touches(core));
                test.kind == *kind && on
            };
            let mut there = tests.iter().filter(on).peekable();
            let whole = there.peek().is_none();
            let name = match whole {
                true => kind.name(),
                false => one.required.requirement.title,
            };
            if there.any(|test| test.waits) {
                continue;
            }
            let core = one.required.core.and_then(|core| record.cores.get(core));
            // What is missing as a whole is missing on each of its taps.
            let subject = match core {
                Some(core) if whole => core.name.clone(),
                _ => subject(record, one).plain(|_| 0),
            };
            match found.iter_mut().find(|(known, _)| *known == name) {
                Some((_, subjects)) if subjects.contains(&subject) => {}
                Some((_, subjects)) => subjects.push(subject),
                None => found.push((name, vec![subject])),
            }
        }
    }
    found
}

/// Most subjects that one line names.
const MOST: usize = 6;

/// `1S, 2S`; of many the first, and how many there are beside them.
fn some(subjects: &[String]) -> String {
    match subjects.split_at_checked(MOST) {
        Some((first, more)) if !more.is_empty() => {
            format!("{} and {} more", first.join(", "), more.len())
        }
        _ => subjects.join(", "),
    }
}

fn told(visit: &Visit, missing: &[(&'static str, Vec<String>)]) -> Diagnostic {
    let parts = missing
        .iter()
        .map(|(name, subjects)| Some(format!("{name} ({})", some(subjects))));
    let purpose = visit.purpose();
    let title = format!("not on record: {}", joined(parts, ", "));
    Code::TestsMissing
        .at(visit.span, title)
        .label(format!("due at a {}", purpose.visit(&purpose.to_string())))
        .help("add the test, or say why it is not there: `not done excitation 2S: …`")
}
