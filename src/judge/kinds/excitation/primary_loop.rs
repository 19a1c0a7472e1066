//! A primary that is closed through two earths is a shorted turn on every core at once.

use crate::document::{Grade, Phrase, say};
use crate::ground::span::{Located, Span};
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules::excitation as rules;
use crate::judge::rules::{Rule, protection};
use crate::record::kinds::Test;
use crate::record::kinds::state::Secondary;
use crate::record::visit::{PrimaryEnd, is_closed, is_shorted};

/// The ends of the primary in a test of the visit, where the record says that they were closed.
pub(in crate::judge) fn closed(j: &Judging<'_>, test: usize) -> Option<Located<Vec<PrimaryEnd>>> {
    let ends = j
        .case
        .visit
        .primary_ends_in(j.case.visit.tests.get(test)?)?;
    is_closed(&ends.value).then_some(ends)
}

/// The rules whose findings a closed loop explains.
static EXPLAINED: &[&Rule] = &[
    &protection::EXCITING_CURRENT,
    &rules::CURVE_ABOVE_REFERENCE,
    &protection::COMPOSITE_ERROR,
    &protection::EXCITING_AT_CLASS,
];

fn action(shorted: bool) -> &'static str {
    match shorted {
        true => {
            "under the site's safety rules take the short off the primary, whose open ends may then carry induced voltage, and repeat before a core is suspected"
        }
        false => rules::PRIMARY_LOOP_SUSPECTED.action,
    }
}

/// Once all cores are judged: names the loop as the first thing to check.
pub(in crate::judge::kinds) fn suspect(j: &Judging<'_>, out: &mut Vec<Finding>) {
    let explains = |finding: &&mut Finding| {
        EXPLAINED.contains(&finding.rule) && finding.grade() >= Grade::Review
    };
    let mut points_at: Vec<Span> = Vec::new();
    let mut cores: Vec<usize> = Vec::new();
    let mut others: Vec<Secondary> = Vec::new();
    let mut shorted = false;
    for finding in out.iter_mut().filter(explains) {
        let Some((test, ends)) = finding.section.and_then(|at| Some((at, closed(j, at)?))) else {
            continue;
        };
        shorted |= is_shorted(&ends.value);
        finding.next = Some(action(is_shorted(&ends.value)).into());
        if !points_at.contains(&ends.span) {
            points_at.push(ends.span);
        }
        points_at.extend(finding.points_at.first().copied());
        cores.extend(finding.core.filter(|core| !cores.contains(core)));
        let run = j.case.visit.tests.get(test).and_then(Test::excitation);
        others.extend(run.and_then(|run| run.other_cores.value()));
    }
    if cores.is_empty() {
        return;
    }
    points_at.dedup();
    let known = |core: &usize| j.case.record.cores.get(*core);
    let names = cores.iter().filter_map(known).map(|core| core.name.clone());
    let observed = match shorted {
        true => "the primary is shorted and exciting currents are raised",
        false => "the primary is earthed on both sides and exciting currents are raised",
    };
    let rule = &rules::PRIMARY_LOOP_SUSPECTED;
    let mut finding = Finding::observation(rule, observed, Grade::Fails)
        .headline()
        .next(action(shorted));
    finding.points_at = points_at;
    let mut finding = finding.remark(say!(
        "raised on {}; a closed primary looks like a shorted turn on every core",
        Phrase::join(names.map(Phrase::from), ", ")
    ));
    if others.contains(&Secondary::Open) {
        finding = finding.remark(
            "the other cores were open: each holds the loop's current back, so that less of it shows, and had voltage at its terminals",
        );
    }
    out.push(finding);
}
