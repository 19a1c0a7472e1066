//! As found: tap in service, shorted spares. Star point, earth and links are where CTs trip people
//! and plants.

use super::text;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::ground::span::Given;
use crate::judge::assess::Judging;
use crate::judge::finding::Finding;
use crate::judge::rules::Rule;
use crate::judge::rules::state as rules;
use crate::record::alike::like_core;
use crate::record::core::Core;
use crate::record::kinds::Test;
use crate::record::kinds::restored::CoreRestored;
use crate::record::kinds::state::{CoreState, Secondary};

/// Judges how a visit found the cores.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, state) in j.case.visit.of(Test::state) {
        for row in &state.cores {
            let Some(core) = row.core else { continue };
            let tap = in_service(j, &rules::TAP_IN_SERVICE, index, core, &row.in_service);
            let spare = spare_open(j, core, row).then(|| {
                let observed = "not stated to be shorted";
                Finding::observation(&rules::SPARE_SHORTED, observed, Grade::Review).within(
                    index,
                    Some(core),
                    row.span,
                )
            });
            let star = star_point(j, index, core, row);
            let of_row = tap
                .map(Finding::headline)
                .into_iter()
                .chain(spare)
                .chain(star);
            out.extend(of_row.map(|finding| finding.withheld(test.doubtful)));
        }
    }
    out.extend(not_restored(j));
}

/// The terminal at the star point where it is not that of the sisters. Which of two units is right, nobody can say.
fn star_point(j: &Judging<'_>, index: usize, core: usize, row: &CoreState) -> Option<Finding> {
    let (own, at) = (row.star.value()?, row.star.span()?);
    let visit = j.case.visit.name();
    let of_core = j.case.record.cores.get(core)?;
    let stars = j.sisters.iter().filter_map(|sister| {
        let core = like_core(of_core, &sister.cores)?;
        let mut shown = sister.at(&visit);
        shown.find_map(|shown| shown.stars.iter().find(|one| one.0 == core))
    });
    let stars: Vec<&str> = stars.map(|(_, star)| star.as_str()).collect();
    let first = *stars.first()?;
    let agree = stars.iter().all(|star| *star == first);
    if !agree || first == own {
        return None;
    }
    let names = |name: &str| Phrase::terminals(name.to_owned());
    let observed = match stars.len() {
        1 => say!(
            "{}, and {} in the sister: one of them is wrong, or its wires are crossed elsewhere",
            names(own),
            names(first)
        ),
        count => say!(
            "{}, and {} in all {} sisters",
            names(own),
            names(first),
            Quantity::new(count.to_string(), "")
        ),
    };
    let finding = Finding::observation(&rules::STAR_POINT, observed, Grade::Review);
    Some(finding.within(index, Some(core), at))
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
pub(super) fn same(written: &str, asked: &str) -> bool {
    let parts = |text: &str| {
        let (from, to) = text.split_once('-').unwrap_or((text, ""));
        let mut both = [from, to].map(|end| end.trim_matches(' ').to_owned());
        both.sort_unstable();
        both
    };
    parts(written) == parts(asked)
}

/// A spare core that is not stated to be shorted. How it was left counts, and how it was found only
/// where nothing is written of that.
fn spare_open(j: &Judging<'_>, core: usize, row: &CoreState) -> bool {
    let left = as_left(j, core).filter(|left| !left.secondary.is_missing());
    let left = left.last().map_or(&row.secondary, |left| &left.secondary);
    // What could not be read is told at its cell, once.
    let stated = left.is_unreadable() || left.value() == Some(&Secondary::Shorted);
    is_spare(j, core, &row.in_service) && !stated
}

/// Whether a core serves nothing, by the plate or by a row.
pub(super) fn is_spare(j: &Judging<'_>, core: usize, in_service: &Given<String>) -> bool {
    let known = j.case.record.cores.get(core);
    let by_plate = known.is_some_and(Core::is_spare);
    by_plate || text(in_service) == "spare"
}

/// How a core was left, row by row.
pub(super) fn as_left<'a>(
    j: &'a Judging<'_>,
    core: usize,
) -> impl Iterator<Item = &'a CoreRestored> {
    let restored = j.case.visit.of(Test::restored);
    let rows = restored.flat_map(|(_, _, restored)| &restored.cores);
    rows.filter(move |row| row.core == Some(core))
}

/// A link was open, a winding off its circuit or off its earth, and no row says how it was left.
fn not_restored(j: &Judging<'_>) -> Option<Finding> {
    let mut states = j.case.visit.of(Test::state);
    let (index, row) = states.find_map(|(index, _, state)| {
        Some((index, state.cores.iter().find(|row| is_unsaid(j, row))?))
    })?;
    let rule = &rules::NOT_RESTORED;
    let finding = Finding::observation(rule, "how the circuit was left is not stated", Grade::Info);
    Some(finding.within(index, None, row.span).next(rule.action))
}

/// Whether something was off, and nothing is said of how it was left.
fn is_unsaid(j: &Judging<'_>, row: &CoreState) -> bool {
    let Some(core) = row.core else { return false };
    let connection =
        |left: &CoreRestored| !(left.links.is_missing() && left.secondary.is_missing());
    let earth = |left: &CoreRestored| !(left.earth.is_missing() && left.earths.is_missing());
    (row.is_off() && !as_left(j, core).any(connection))
        || (row.is_unearthed() && !as_left(j, core).any(earth))
}

#[cfg(test)]
mod tests {
    use crate::judge::kinds::bench::{Bench, PLATE, table, visit};

    fn found(section: &str) -> Bench {
        let duty = "[duty 2S since 2020-01-01]\ntap in service: 2S1-2S3\n";
        Bench::of(&visit(
            &format!("{PLATE}{duty}"),
            &format!("[state]\n{section}\n"),
        ))
    }

    #[test]
    fn the_tap_found_is_held_against_the_duty() {
        let tap = |pair: &str| found(&format!("core | in service\n2S | {pair}"));
        let rows = [
            ("2S1-2S3", "info"),
            ("2S3-2S1", "info"),
            ("2S1-2S2", "review"),
        ];
        table("tap-in-service", tap, &rows);
        assert_eq!(tap("2S1-2S2").one("tap-in-service").points_at.len(), 2);
    }

    /// A remark is for people: what it says of a short is never taken for one.
    #[test]
    fn a_spare_core_must_be_stated_to_be_shorted() {
        let spare = |rest: &str| {
            let head = "core | in service | secondary | remark";
            found(&format!("{head}\n1S | spare | {rest}"))
        };
        table(
            "spare-shorted",
            spare,
            &[
                ("shorted | -", ""),
                ("- | -", "review"),
                ("open | -", "review"),
                ("- | shorting link removed", "review"),
                ("- | 1S1-1S2 shorted and earthed", "review"),
                ("open | -\n\n[restored]\ncore | secondary\n1S | shorted", ""),
                (
                    "shorted | -\n\n[restored]\ncore | secondary\n1S | open",
                    "review",
                ),
            ],
        );
    }

    #[test]
    fn the_star_point_is_held_against_the_sisters() {
        let star =
            |terminal: &str| visit(PLATE, &format!("[state]\ncore | star\n1S | {terminal}\n"));
        let (one, other) = (star("1S1"), star("1S2"));
        let told = |sisters: &[&str]| Bench::among(&one, sisters).told("star-point");
        assert_eq!(told(&[&other, &other]), "review");
        assert_eq!(told(&[&one, &one]), "");
        // The odd one is another.
        assert_eq!(told(&[&other, &one]), "");
        // Of two nobody knows which is right.
        Bench::among(&one, &[&other]).holds("star-point", &["one of them is wrong"]);
    }

    #[test]
    fn what_was_opened_must_be_restored() {
        let head = "core | in service | links | secondary";
        let row = |cells: &str| found(&format!("{head}\n2S | {cells}"));
        table(
            "not-restored",
            row,
            &[
                ("2S1-2S3 | open | shorted", "info"),
                ("2S1-2S3 | closed | open", "info"),
                ("2S1-2S3 | closed | connected", ""),
                ("spare | - | shorted", ""),
                (
                    "2S1-2S3 | open | shorted\n\n[restored]\ncore | links\n2S | closed",
                    "",
                ),
                // A blank row says nothing, and a row of another core says nothing of this one.
                (
                    "2S1-2S3 | open | shorted\n\n[restored]\ncore | links\n2S | -",
                    "info",
                ),
                (
                    "2S1-2S3 | open | shorted\n\n[restored]\ncore | links\n1S | closed",
                    "info",
                ),
            ],
        );
        let earth = |cell: &str| found(&format!("core | earth\n2S | {cell}"));
        let rows = [("broken", "info"), ("none", "info"), ("panel", "")];
        table("not-restored", earth, &rows);
        // Information that still says what to do.
        let open = row("2S1-2S3 | open | shorted");
        assert!(open.one("not-restored").action().is_some());
    }
}
