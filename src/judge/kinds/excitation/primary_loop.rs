//! A primary that is closed through two earths is a shorted turn on every core at once.

use crate::document::{Grade, Phrase, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules::excitation as rules;
use crate::judge::rules::{Rule, protection};

/// Where the visit says that both ends of the primary are earthed.
pub(in crate::judge) fn closed(j: &Judging<'_>) -> Option<Span> {
    let ends = j.case.visit.primary_ends()?;
    let earthed = ends.value.iter().filter(|end| end.state == "earthed");
    (earthed.count() >= 2).then_some(ends.span)
}

/// The rules whose findings a closed loop explains.
static EXPLAINED: &[&Rule] = &[
    &protection::EXCITING_CURRENT,
    &rules::CURVE_ABOVE_REFERENCE,
    &protection::COMPOSITE_ERROR,
    &protection::EXCITING_AT_CLASS,
];

/// Once all cores are judged: names the loop as the first thing to check.
pub(in crate::judge::kinds) fn suspect(j: &Judging<'_>, out: &mut Vec<Finding>) {
    let Some(ends) = closed(j) else { return };
    let explains = |finding: &&mut Finding| {
        EXPLAINED.contains(&finding.rule) && finding.grade() >= Grade::Review
    };
    let mut points_at = vec![ends];
    let mut cores: Vec<usize> = Vec::new();
    for finding in out.iter_mut().filter(explains) {
        finding.next = Some(rules::PRIMARY_LOOP_SUSPECTED.action.into());
        points_at.extend(finding.points_at.first().copied());
        cores.extend(finding.core.filter(|core| !cores.contains(core)));
    }
    if cores.is_empty() {
        return;
    }
    points_at.dedup();
    let known = |core: &usize| j.case.record.cores.get(*core);
    let names = cores.iter().filter_map(known).map(|core| core.name.clone());
    let observed = "the primary is earthed on both sides and exciting currents are raised";
    let rule = &rules::PRIMARY_LOOP_SUSPECTED;
    let mut finding = Finding::observation(rule, observed, Grade::Fails).headline();
    finding.points_at = points_at;
    out.push(finding.remark(say!(
        "raised on {}; a closed primary looks like a shorted turn on every core",
        Phrase::join(names.map(Phrase::from), ", ")
    )));
}
