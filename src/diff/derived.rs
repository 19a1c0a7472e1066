//! What follows from what is written: values, what is said of them, and verdicts.

use super::order::by_name;
use super::{Difference, How, Of};
use crate::document::{Grade, joined};
use crate::job::Compiled;
use crate::judge::finding::Finding;
use crate::judge::rules::Whose;
use crate::judge::words;

/// Findings visit by visit, then verdicts.
pub fn differences(before: &Compiled, after: &Compiled) -> Vec<Difference> {
    let mut found = Vec::new();
    let names = |ct: &Compiled| {
        let visits = ct.record.visits.iter().map(|visit| visit.name());
        visits.collect::<Vec<_>>()
    };
    for (old, new) in by_name(&names(before), &names(after)) {
        let Some(new) = new else { continue };
        let name = after.record.visits.get(new).map(|visit| visit.name());
        let visit = format!("visit {}", name.unwrap_or_default());
        let told = match old {
            Some(old) => [
                told(before, old, Grade::Info),
                told(after, new, Grade::Info),
            ],
            // Of a new visit what deserves a look.
            None => [Vec::new(), told(after, new, Grade::Review)],
        };
        pair(&visit, Of::Derived, &told, &mut found);
    }
    let verdicts = [before, after].map(verdicts);
    pair("", Of::Verdict, &verdicts, &mut found);
    found
}

/// What is said under the same name in two states.
fn pair(place: &str, of: Of, told: &[Vec<(String, String)>; 2], found: &mut Vec<Difference>) {
    let [own, other] = told;
    let names = |told: &[(String, String)]| {
        told.iter()
            .map(|(name, _)| name.clone())
            .collect::<Vec<_>>()
    };
    for (before, after) in by_name(&names(own), &names(other)) {
        let before = before.and_then(|at| own.get(at));
        let after = after.and_then(|at| other.get(at));
        let Some((name, _)) = after.or(before) else {
            continue;
        };
        let [before, after] = [before, after].map(|one| one.map(|(_, text)| text.clone()));
        let how = match (&before, &after) {
            (Some(one), Some(other)) if one == other => continue,
            (Some(_), Some(_)) => How::Changed,
            (Some(_), None) => How::Removed,
            (None, _) => How::Added,
        };
        let place = match place {
            "" => name.clone(),
            place => format!("{place} / {name}"),
        };
        found.push(Difference {
            before,
            after,
            ..Difference::plain(of, how, place)
        });
    }
}

/// The findings of a visit, each by what it is about, and what is said of it.
fn told(ct: &Compiled, visit: usize, from: Grade) -> Vec<(String, String)> {
    let findings = ct
        .assessment
        .visits
        .get(visit)
        .map_or(&[][..], |visit| &visit.findings);
    let (w, criteria) = (&ct.assessment.workings, &ct.setting.criteria);
    let one = |finding: &Finding| {
        let subject = ct.plain(&words::subject(&ct.record, finding));
        let name = format!("{subject} / {}", ct.plain(&words::what(finding)));
        let found = ct.plain(&words::found(w, criteria, finding));
        let verdict = words::verdict(&finding.verdict);
        let limit = ct.plain(&words::bound(finding));
        let limit = Some(limit).filter(|limit| !limit.is_empty());
        let verdict = joined([limit, Some(verdict.to_owned())], ": ");
        let said = match found.as_str() {
            "" => verdict,
            found => format!("{found} ({verdict})"),
        };
        (name, said)
    };
    let told = findings.iter().filter(|finding| finding.grade() >= from);
    told.map(one).collect()
}

/// The verdicts of the unit and of each core, for the transformer and for its circuit.
fn verdicts(ct: &Compiled) -> Vec<(String, String)> {
    let claims = ct.claims();
    let mut all = Vec::new();
    for whose in [Whose::Transformer, Whose::Circuit] {
        if let Some(sum) = claims.sum(whose, None) {
            all.push((
                format!("{} of the unit", whose.word()),
                ct.plain(&sum.phrase()),
            ));
        }
        for (index, core) in ct.record.cores.iter().enumerate() {
            if let Some(sum) = claims.sum(whose, Some(index)) {
                let of = format!("{} of {}", whose.word(), core.name);
                all.push((of, ct.plain(&sum.brief())));
            }
        }
    }
    all
}
