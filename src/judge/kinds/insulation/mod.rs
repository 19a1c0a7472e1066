//! Insulation resistance. IEC gives no minimum, so there is a verdict only by a profile of the job.

use super::doubt::withheld;
use crate::derive::kinds::insulation::{Group, Node, Refused, Rise};
use crate::derive::outcome::Outcome;
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Finding, Found, Grade, Unit, Verdict, Weight, Whose, unit};
use crate::judge::say;
use crate::judge::verdict::cited_limit;
use crate::record::kinds::TestKind;
use crate::standards;

mod minimum;
mod pairs;

/// Times around one minute that a minimum may be judged at, second.
const MINUTE: std::ops::RangeInclusive<f64> = 54.0..=66.0;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    let derived = j.derived;
    for group in &derived.insulation {
        let found: Vec<Finding> = std::iter::once(resistance(j, group))
            .chain(group.rises.iter().map(|rise| index(group, rise)))
            .chain(test_voltage(group))
            .collect();
        j.findings.extend(found);
    }
    let rest: Vec<Finding> = pairs::uncovered(j)
        .into_iter()
        .chain(discharge(j))
        .collect();
    j.findings.extend(rest);
}

fn found(outcome: Outcome) -> Found {
    match outcome {
        Outcome::Known(value) => Found::Known(value),
        Outcome::AtLeast(value) => Found::AtLeast(value),
        Outcome::AtMost(value) => Found::AtMost(value),
        Outcome::NotReached { beyond } => Found::NotReached { beyond },
        Outcome::Lacking(_) => Found::Nothing,
    }
}

fn made(group: &Group, rule: &'static str, what: String, found: Found, unit: Unit) -> Finding {
    let mut made = Finding::new(rule, TestKind::Insulation, Whose::Ct, what, found, unit);
    made.section = Some(group.test);
    made.core = match group.from.as_slice() {
        [Node::Core(core)] => Some(*core),
        _ => None,
    };
    // The reading that was judged comes first.
    made.points_at.push(group.minute.span);
    made.points_at.extend(
        group
            .readings
            .iter()
            .filter(|span| **span != group.minute.span),
    );
    made
}

fn resistance(j: &Judging<'_>, group: &Group) -> Finding {
    let outcome = group.at_20.unwrap_or(group.minute.r);
    let found = found(outcome);
    let unit = found.value().map_or(unit::MEGOHM, |value| {
        if value.si < 1e9 {
            unit::MEGOHM
        } else {
            unit::GIGAOHM
        }
    });
    let at_20 = if group.at_20.is_ok() {
        " at 20 °C"
    } else {
        ""
    };
    let what = format!("insulation resistance{at_20}, {}", group.between.text());
    let mut finding = made(group, "insulation-resistance", what, found, unit).headline();
    finding.remarks = remarks(j, group);
    let minimum = minimum::of(j, group);
    finding = match &minimum {
        Some(minimum) => minimum.judge(j, group, finding),
        None => floor(finding),
    };
    let names = pairs::names(j, group);
    if names.len() > 1 && finding.grade() == Grade::Good {
        finding = finding.remark(format!("clears {}", names.join("; ")));
    }
    if finding.grade() >= Grade::Doubt {
        finding = finding.next(match names.len() {
            0 | 1 => "clean and dry terminal box and bushing, read again".to_owned(),
            _ => format!(
                "clean and dry terminal box and bushing, read again; then the pairs one by one: {}",
                names.join("; ")
            ),
        });
    }
    withheld(finding, group.doubtful)
}

fn remarks(j: &Judging<'_>, group: &Group) -> Vec<String> {
    let mut remarks = Vec::new();
    let volts = group.voltage.map_or_else(String::new, |volts| {
        format!(" with {} V d.c.", say::rounded(volts, 4))
    });
    let time = group.minute.time.map_or_else(
        || ", time not written".to_owned(),
        |time| format!(" at {} s", say::rounded(time, 3)),
    );
    let as_read = found(group.minute.r);
    let text = as_read.value().map_or_else(String::new, |value| {
        let unit = if value.si < 1e9 {
            unit::MEGOHM
        } else {
            unit::GIGAOHM
        };
        let text = say::number(j.w, j.case.criteria, value, unit).text();
        match as_read {
            Found::AtLeast(_) => format!("more than {text}"),
            Found::AtMost(_) => format!("less than {text}"),
            Found::Known(_) | Found::NotReached { .. } | Found::Nothing => text,
        }
    });
    remarks.push(format!("read {text}{time}{volts}"));
    match group.at_20 {
        Ok(_) if group.by_air => {
            remarks.push("the air's temperature was taken for the insulation's".to_owned())
        }
        Ok(_) => {}
        Err(why) => remarks.push(format!("not taken to 20 °C: {}", refused(why))),
    }
    remarks
}

fn refused(why: Refused) -> &'static str {
    match why {
        Refused::KindUnknown => "the kind of insulation is not on the plate",
        Refused::Gas => "no factors are known for gas",
        Refused::NoTemperature => "no temperature is written",
        Refused::OutsideTable => "the factors hold from 0 to 75 °C",
    }
}

/// Without a profile there is no verdict, but a megohm calls for a look in any case.
fn floor(mut finding: Finding) -> Finding {
    let Some(floor) = standards::threshold("insulation-floor") else {
        return finding;
    };
    let least = floor.limit * 1e6;
    let below = match finding.found {
        Found::Known(value) => value.si < least,
        Found::AtMost(value) => value.si <= least,
        Found::AtLeast(_) | Found::NotReached { .. } | Found::Nothing => false,
    };
    if below {
        finding.against = Some(cited_limit(Requirement::at_least(least), &floor.cited));
        finding.verdict = Verdict::Observed(Weight::Doubt);
        return finding;
    }
    finding.remark("no minimum: the job names no profile, and IEC gives none")
}

fn index(group: &Group, rise: &Rise) -> Finding {
    let (rule, name) = match (rise.later > 100.0, rise.earlier > 20.0) {
        (true, _) => ("polarisation-index", "polarisation index, 600 s to 60 s"),
        (_, true) => (
            "dielectric-absorption",
            "dielectric absorption ratio, 60 s to 30 s",
        ),
        _ => (
            "dielectric-absorption",
            "dielectric absorption ratio, 60 s to 15 s",
        ),
    };
    let what = format!("{name}, {}", group.between.text());
    let made = made(group, rule, what, found(rise.ratio), unit::ONE);
    withheld(
        made.remark("for information: on a winding this small the index says little"),
        group.doubtful,
    )
}

/// A secondary against earth or its neighbours stands 1 kV; more may harm it.
fn test_voltage(group: &Group) -> Option<Finding> {
    let most = standards::threshold("insulation-secondary-max")?;
    let volts = group.voltage.filter(|volts| *volts > most.limit * 1.05)?;
    let driven = group.from.iter().all(|node| matches!(node, Node::Core(_)));
    let low_side = group.to.iter().any(|node| !matches!(node, Node::Primary));
    if !(driven && low_side) {
        return None;
    }
    let what = format!(
        "secondary tested with {} V d.c., {}",
        say::rounded(volts, 4),
        group.between.text()
    );
    let mut finding = made(
        group,
        "insulation-test-voltage",
        what,
        Found::Nothing,
        unit::VOLT,
    );
    finding.whose = Whose::Work;
    finding.verdict = Verdict::Observed(Weight::Doubt);
    let most = say::rounded(most.limit, 4);
    Some(
        finding
            .remark(format!("a secondary is tested with {most} V d.c. at most (common practice, no source); 5 kV may harm it"))
            .next("read again with 1 kV and compare"),
    )
}

/// How long to discharge, once per section: the longest application counts.
fn discharge(j: &Judging<'_>) -> Vec<Finding> {
    let mut found: Vec<Finding> = Vec::new();
    let sections: std::collections::BTreeSet<usize> = j
        .derived
        .insulation
        .iter()
        .map(|group| group.test)
        .collect();
    for section in sections {
        let of_section = j
            .derived
            .insulation
            .iter()
            .filter(|group| group.test == section);
        let longest = of_section
            .filter_map(|group| Some((group, group.discharge?)))
            .max_by(|a, b| a.1.si.total_cmp(&b.1.si));
        let Some((group, time)) = longest else {
            continue;
        };
        let what = "least time to discharge and earth after the longest application".to_owned();
        let mut made = made(
            group,
            "insulation-discharge",
            what,
            Found::Known(time),
            unit::SECOND,
        );
        (made.core, made.whose) = (None, Whose::Work);
        made.verdict = Verdict::Observed(Weight::Information);
        found.push(made.remark("and until a meter shows zero: stored charge can kill"));
    }
    found
}

#[cfg(test)]
mod tests;
