//! Currents on load that fit the primary links in another position than they are written in: one cause for all of
//! them.

use crate::derive::kinds::load::OnLoad;
use crate::document::{Grade, say};
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules::load as rules;
use crate::record::kinds::load::Load;

/// Tells it where each current that is held against the primary one fits, and one of them fails.
pub(super) fn judge(
    j: &Judging<'_>,
    section: usize,
    load: &Load,
    found: &[Finding],
) -> Option<Finding> {
    let record = j.case.record;
    let written = record.links_after(j.case.index + 1)?;
    let failing = found
        .iter()
        .find(|one| one.rule == &rules::LOAD_RATIO && one.fails())?;
    let told = |one: &&OnLoad| {
        let row = load.rows.get(one.row).map(|row| row.current.span());
        let is_own =
            |finding: &&Finding| row.is_some_and(|at| finding.points_at.first() == at.as_ref());
        let mut ratios = found.iter().filter(|one| one.rule == &rules::LOAD_RATIO);
        // What is too small to tell says nothing.
        one.test == section
            && ratios
                .find(is_own)
                .is_some_and(|one| one.grade() != Grade::Open)
    };
    let currents: Vec<&OnLoad> = j.derived.load.ratios.iter().filter(told).collect();
    let fits = |position: &&String| {
        currents.iter().all(|one| {
            let Some(core) = j.case.core(one.pair) else {
                return false;
            };
            let factor = |at| record.link_factor(core, Some(at));
            // The deviation that links in the other position make.
            let at = 100.0 * (factor(written) / factor(position) - 1.0);
            at != 0.0 && (one.deviation.si - at).abs() < at.abs() / 4.0
        })
    };
    let mut others = record.plate.links.iter().map(|link| &link.value.0);
    let other = others.find(fits).filter(|_| !currents.is_empty())?;
    let observed = say!(
        "the currents fit the primary links in {}, and they are written in {}",
        other.clone(),
        written.clone()
    );
    let made = Finding::observation(&rules::LOAD_LINKS, observed, Grade::Review);
    let at = failing.points_at.first().copied()?;
    Some(made.within(section, None, at).headline())
}
