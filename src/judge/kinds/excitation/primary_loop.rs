//! A primary that is closed through two earths is a shorted turn on every core at once.

use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, Found, Grade, Verdict, Weight, Whose, unit};
use crate::record::kinds::TestKind;

/// Where the visit says that both ends of the primary are earthed.
pub(super) fn closed(j: &Judging<'_>) -> Option<Span> {
    let ends = j.case.visit.primary_ends()?;
    let earthed = ends
        .value
        .iter()
        .filter(|end| end.state == "earthed")
        .count();
    (earthed >= 2).then_some(ends.span)
}

const FIRST: &str = "lift one earth of the primary under whatever sanction the site needs, and repeat, before a core is suspected";

/// The rules whose findings a closed loop explains.
const EXPLAINED: &[&str] = &[
    "exciting-current",
    "curve-above-reference",
    "shorted-turn-suspected",
    "composite-error",
    "exciting-at-class",
];

/// Once all cores are judged: names the loop as the first thing to check.
pub(in crate::judge::kinds) fn suspect(j: &mut Judging<'_>) {
    let Some(ends) = closed(j) else { return };
    let explains = |finding: &&mut Finding| {
        finding.test == TestKind::Excitation
            && EXPLAINED.contains(&finding.rule)
            && finding.grade() >= Grade::Doubt
    };
    let mut points_at = vec![ends];
    let mut cores: Vec<usize> = Vec::new();
    for finding in j.findings.iter_mut().filter(explains) {
        finding.next = Some(FIRST.to_owned());
        points_at.extend(finding.points_at.first().copied());
        cores.extend(finding.core.filter(|core| !cores.contains(core)));
    }
    if cores.is_empty() {
        return;
    }
    points_at.dedup();
    let names: Vec<&str> = cores
        .iter()
        .filter_map(|core| j.case.record.cores.get(*core))
        .map(|core| core.name.as_str())
        .collect();
    let what = "closed primary loop suspected: the primary is earthed on both sides and exciting currents are raised";
    let mut finding = Finding::new(
        "primary-loop-suspected",
        TestKind::Excitation,
        Whose::Work,
        what,
        Found::Nothing,
        unit::ONE,
    )
    .remark(format!(
        "raised on {}; a closed primary looks like a shorted turn on every core",
        names.join(", ")
    ))
    .next(FIRST)
    .headline();
    finding.verdict = Verdict::Observed(Weight::Defect);
    finding.points_at = points_at;
    j.findings.push(finding);
}
