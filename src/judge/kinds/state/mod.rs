//! As found and as left: tap in service, earths, shorted spares, the second person. Star point, earth
//! and links are where CTs trip people and plants.

use super::doubt::withheld;
use crate::ground::span::{Given, Span};
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, Found, Verdict, Weight, Whose, unit};
use crate::record::kinds::restored::{CoreRestored, Restored};
use crate::record::kinds::state::{CoreState, State};
use crate::record::kinds::{Test, TestKind};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    let visit = j.case.visit;
    for (index, test) in visit.tests.iter().enumerate() {
        let found = match (test.state(), test.restored()) {
            (Some(state), _) => as_found(j, index, state),
            (_, Some(restored)) => as_left(j, index, test, restored),
            (None, None) => continue,
        };
        j.findings.extend(
            found
                .into_iter()
                .map(|finding| withheld(finding, test.doubtful)),
        );
    }
    let missing = not_restored(j);
    j.findings.extend(missing);
}

fn made(
    kind: TestKind,
    section: usize,
    rule: &'static str,
    what: String,
    weight: Weight,
    at: Span,
) -> Finding {
    let mut made = Finding::new(rule, kind, Whose::Circuit, what, Found::Nothing, unit::ONE);
    made.section = Some(section);
    made.verdict = Verdict::Observed(weight);
    made.points_at.push(at);
    made
}

fn text(given: &Given<String>) -> &str {
    given
        .value()
        .map_or("", |text| text.trim_matches([' ', '\t']))
}

fn as_found(j: &Judging<'_>, index: usize, state: &State) -> Vec<Finding> {
    let mut found = Vec::new();
    for row in &state.cores {
        let Some(core) = row.core else { continue };
        let said = in_service(j, core, &row.in_service).map(|(what, weight, duty)| {
            let at = row.in_service.span().unwrap_or(row.span);
            let made = made(
                TestKind::State,
                index,
                "tap-in-service",
                format!("as found, {what}"),
                weight,
                at,
            )
            .headline();
            pointed(made, core, duty)
        });
        let spare = spare_open(j, core, row).then(|| {
            let what = "spare core, and nobody wrote that it is shorted".to_owned();
            let made = made(
                TestKind::State,
                index,
                "spare-shorted",
                what,
                Weight::Doubt,
                row.span,
            );
            pointed(made, core, None).next(
                "short and earth the whole winding of a spare core: open, it can reach kilovolts",
            )
        });
        found.extend(said.into_iter().chain(spare));
    }
    found
}

fn pointed(mut made: Finding, core: usize, other: Option<Span>) -> Finding {
    made.core = Some(core);
    made.points_at.extend(other);
    if matches!(made.verdict, Verdict::Observed(Weight::Doubt)) && other.is_some() {
        made.next = Some("ask which is right, then change the connection or the [duty]; relay settings hang on it".to_owned());
    }
    made
}

/// What is said of the tap in service, held against the duty where there is one.
fn in_service(
    j: &Judging<'_>,
    core: usize,
    given: &Given<String>,
) -> Option<(String, Weight, Option<Span>)> {
    let written = given
        .value()
        .map(|text| text.trim_matches([' ', '\t']))
        .filter(|text| !text.is_empty() && *text != "-")?;
    let tap = j
        .case
        .record
        .duty_on(core, j.case.visit.date.value)
        .and_then(|duty| duty.tap);
    let Some(tap) = tap else {
        return Some((format!("in service: {written}"), Weight::Information, None));
    };
    let asked = j.case.record.pair_text(tap.value.ascending());
    if same(written, &asked) {
        return Some((
            format!("in service: {written}, as the duty says"),
            Weight::Information,
            None,
        ));
    }
    Some((
        format!("in service: {written}, but the duty says {asked}"),
        Weight::Doubt,
        Some(tap.span),
    ))
}

/// The same two terminals in either order.
fn same(written: &str, asked: &str) -> bool {
    let parts = |text: &str| {
        let (from, to) = text.split_once('-').unwrap_or((text, ""));
        let mut both = [
            from.trim_matches(' ').to_owned(),
            to.trim_matches(' ').to_owned(),
        ];
        both.sort_unstable();
        both
    };
    parts(written) == parts(asked)
}

fn spare_open(j: &Judging<'_>, core: usize, row: &CoreState) -> bool {
    if text(&row.in_service) != "spare" {
        return false;
    }
    let restored = j.case.visit.of(Test::restored);
    let left = restored
        .filter_map(|(_, _, restored)| restored.cores.iter().find(|left| left.core == Some(core)));
    let left: Vec<&CoreRestored> = left.collect();
    let words = [&row.links, &row.remark]
        .into_iter()
        .chain(left.iter().flat_map(|left| [&left.links, &left.remark]));
    !words.into_iter().any(|given| says_shorted(text(given)))
}

fn says_shorted(text: &str) -> bool {
    let text = text.to_lowercase();
    text.contains("short") && !text.contains("not short") && !text.contains("unshort")
}

fn as_left(j: &Judging<'_>, index: usize, test: &Test, restored: &Restored) -> Vec<Finding> {
    let mut found = Vec::new();
    for row in &restored.cores {
        let Some(core) = row.core else { continue };
        found.extend(earths(index, row).map(|made| pointed(made, core, None)));
        if let Some((what, weight @ Weight::Doubt, duty)) = in_service(j, core, &row.in_service) {
            let at = row.in_service.span().unwrap_or(row.span);
            let made = made(
                TestKind::Restored,
                index,
                "tap-as-left",
                format!("as left, {what}"),
                weight,
                at,
            );
            found.push(pointed(made, core, duty));
        }
    }
    if text(&restored.checked_by).is_empty() && !restored.checked_by.is_unreadable() {
        let what = "no second person wrote that the restoration was checked".to_owned();
        found.push(made(
            TestKind::Restored,
            index,
            "restored-unchecked",
            what,
            Weight::Information,
            test.span,
        ));
    }
    found
}

/// One earth per circuit: none leaves it floating, two pass fault current through the relay.
fn earths(index: usize, row: &CoreRestored) -> Option<Finding> {
    let counted = row.earths.get()?;
    let one = (counted.value - 1.0).abs() < 1e-9;
    let what = match counted.value {
        _ if one => "one earth counted on the circuit".to_owned(),
        none if none < 0.5 => "no earth counted on the circuit".to_owned(),
        more => format!("{more} earths counted on the circuit"),
    };
    let weight = if one {
        Weight::Information
    } else {
        Weight::Defect
    };
    let made = made(
        TestKind::Restored,
        index,
        "circuit-earths",
        what,
        weight,
        counted.span,
    )
    .headline();
    if one {
        return Some(made);
    }
    Some(made.remark("one earth per circuit (common practice, no source)").next(if counted.value < 0.5 {
        "the secondary may float to primary voltage: keep it shorted and earth it at one point before anything else"
    } else {
        "find and lift all earths but one, with the circuit shorted at the CT"
    }))
}

/// Links were open, leads lifted, and nobody wrote how it was left.
fn not_restored(j: &Judging<'_>) -> Option<Finding> {
    let visit = j.case.visit;
    if visit.of(Test::restored).next().is_some() {
        return None;
    }
    let (index, row) = visit.of(Test::state).find_map(|(index, _, state)| {
        let row = state.cores.iter().find(|row| changed(row))?;
        Some((index, row))
    })?;
    let what =
        "links or leads were not in service, and nobody wrote how the circuit was left".to_owned();
    let made = made(
        TestKind::State,
        index,
        "not-restored",
        what,
        Weight::Information,
        row.span,
    );
    Some(made.next("write [restored] with links, earths counted and the second person"))
}

fn changed(row: &CoreState) -> bool {
    let told = format!("{} {}", text(&row.links), text(&row.remark)).to_lowercase();
    ["open", "lifted", "removed", "disconnected", "short"]
        .iter()
        .any(|word| told.contains(word))
}

#[cfg(test)]
mod tests;
