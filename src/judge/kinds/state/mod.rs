//! As found: tap in service, shorted spares. Star point, earth and links are where CTs trip people
//! and plants.

use super::doubt::withheld;
use crate::document::{Grade, Phrase, say};
use crate::ground::span::{Given, Span};
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules::{self, Rule};
use crate::record::kinds::Test;
use crate::record::kinds::state::CoreState;

/// Judges how a visit found the cores.
pub fn judge(j: &mut Judging<'_>) {
    let visit = j.case.visit;
    let mut found = Vec::new();
    for (index, test, state) in visit.of(Test::state) {
        for row in &state.cores {
            let Some(core) = row.core else { continue };
            let tap = in_service(j, &rules::TAP_IN_SERVICE, index, core, &row.in_service)
                .map(Finding::headline);
            let spare =
                spare_open(j, core, row).then(|| spare().within(index, Some(core), row.span));
            let of_row = tap.into_iter().chain(spare);
            found.extend(of_row.map(|finding| withheld(finding, test.doubtful)));
        }
    }
    found.extend(not_restored(j));
    j.findings.extend(found);
}

/// What a cell says; empty when it says nothing.
pub(super) fn text(given: &Given<String>) -> &str {
    let text = given
        .value()
        .map_or("", |text| text.trim_matches([' ', '\t']));
    if text == "-" { "" } else { text }
}

/// The tap in service as a cell has it, held against the duty where there is one.
pub(super) fn in_service(
    j: &Judging<'_>,
    rule: &'static Rule,
    section: usize,
    core: usize,
    given: &Given<String>,
) -> Option<Finding> {
    let (written, at) = (text(given), given.span()?);
    if written.is_empty() {
        return None;
    }
    let record = j.case.record;
    let duty = record.duty_on(core, j.case.visit.date.value);
    let found = Phrase::terminals(written.to_owned());
    let seen = |observed: Phrase, grade| {
        Finding::observation(rule, observed, grade).within(section, Some(core), at)
    };
    let Some(tap) = duty.and_then(|duty| duty.tap) else {
        return Some(seen(found, Grade::Info));
    };
    let asked = record.pair_text(tap.value.ascending());
    if same(written, &asked) {
        return Some(seen(say!("{}, as the duty says", found), Grade::Info));
    }
    let asked = Phrase::terminals(asked);
    let observed = say!("{}, but the duty says {}", found, asked);
    let mut finding = seen(observed, Grade::Review);
    finding.points_at.push(tap.span);
    Some(finding)
}

/// The same two terminals in either order.
fn same(written: &str, asked: &str) -> bool {
    let parts = |text: &str| {
        let (from, to) = text.split_once('-').unwrap_or((text, ""));
        let mut both = [from, to].map(|end| end.trim_matches(' ').to_owned());
        both.sort_unstable();
        both
    };
    parts(written) == parts(asked)
}

fn spare() -> Finding {
    let observed = "not stated to be shorted";
    Finding::observation(&rules::SPARE_SHORTED, observed, Grade::Review)
}

fn spare_open(j: &Judging<'_>, core: usize, row: &CoreState) -> bool {
    if text(&row.in_service) != "spare" {
        return false;
    }
    let restored = j.case.visit.of(Test::restored);
    let left = restored
        .filter_map(|(_, _, restored)| restored.cores.iter().find(|left| left.core == Some(core)));
    let words = [&row.links, &row.remark]
        .into_iter()
        .chain(left.flat_map(|left| [&left.links, &left.remark]));
    !words.map(text).any(says_shorted)
}

fn says_shorted(text: &str) -> bool {
    let text = text.to_lowercase();
    text.contains("short") && !text.contains("not short") && !text.contains("unshort")
}

/// Links were open, leads lifted, and no section says how it was left.
fn not_restored(j: &Judging<'_>) -> Option<Finding> {
    let visit = j.case.visit;
    if visit.of(Test::restored).next().is_some() {
        return None;
    }
    let (index, span) = visit
        .of(Test::state)
        .find_map(|(index, _, state)| Some((index, changed(&state.cores)?)))?;
    let rule = &rules::NOT_RESTORED;
    let finding = Finding::observation(rule, "how the circuit was left is not stated", Grade::Info);
    Some(finding.within(index, None, span).next(rule.action))
}

/// The first core of which a link was open or a lead off.
fn changed(cores: &[CoreState]) -> Option<Span> {
    const WORDS: [&str; 5] = ["open", "lifted", "removed", "disconnected", "short"];
    let row = cores.iter().find(|row| {
        let told = format!("{} {}", text(&row.links), text(&row.remark)).to_lowercase();
        WORDS.iter().any(|word| told.contains(word))
    })?;
    Some(row.span)
}

#[cfg(test)]
mod tests;
