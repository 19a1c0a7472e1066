//! Insulation resistance. IEC gives no minimum, so there is a verdict only by a profile of the job.

use super::doubt::withheld;
use crate::derive::kinds::insulation::{Group, Node, Refused, Rise};
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Finding, Found, Unit, Verdict, unit};
use crate::judge::rules::{self, Rule};
use crate::judge::verdict::cited_limit;
use crate::judge::words::{number, quantity};
use crate::standards;
use std::collections::BTreeSet;

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
    let rest = pairs::uncovered(j).into_iter().chain(discharge(j));
    let rest: Vec<Finding> = rest.collect();
    j.findings.extend(rest);
}

fn new(group: &Group, rule: &'static Rule, found: impl Into<Found>, unit: Unit) -> Finding {
    let core = match group.from.as_slice() {
        [Node::Core(core)] => Some(*core),
        _ => None,
    };
    // The reading that was judged comes first.
    let judged = group.minute.span;
    let mut finding = Finding::new(rule, found.into(), unit).within(group.test, core, judged);
    let others = group.readings.iter().filter(|span| **span != judged);
    finding.points_at.extend(others);
    finding
}

fn between(group: &Group) -> Condition {
    Condition::Between(group.between.text())
}

fn ohm(si: f64) -> Unit {
    if si < 1e9 {
        unit::MEGOHM
    } else {
        unit::GIGAOHM
    }
}

fn resistance(j: &Judging<'_>, group: &Group) -> Finding {
    let found = Found::from(group.at_20.unwrap_or(group.minute.r));
    let unit = found.value().map_or(unit::MEGOHM, |value| ohm(value.si));
    let mut finding = new(group, &rules::INSULATION_RESISTANCE, found, unit)
        .under(group.at_20.is_ok().then_some(Condition::CorrectedTo(20.0)))
        .under(between(group))
        .remark(as_read(j, group))
        .headline();
    finding = match group.at_20 {
        Ok(_) if group.by_air => {
            finding.remark("the air's temperature was taken for the insulation's")
        }
        Ok(_) => finding,
        Err(why) => finding.remark(say!(
            "not corrected to {}: {}",
            Quantity::new("20", "°C"),
            refused(why)
        )),
    };
    finding = match minimum::of(j, group) {
        Some(minimum) => minimum.judge(j, group, finding),
        None => floor(finding),
    };
    let names = pairs::names(j, group);
    if names.len() > 1 {
        let names = names.join("; ");
        finding = match finding.grade() {
            Grade::Pass => finding.remark(say!("this reading covers {}", names)),
            Grade::Review | Grade::Fails => {
                let first = finding.rule.action;
                finding.next(say!("{}; then the pairs one by one: {}", first, names))
            }
            Grade::Info | Grade::Open => finding,
        };
    }
    withheld(finding, group.doubtful)
}

/// `read 412 Mohm at 60 s with 5000 V d.c.`
fn as_read(j: &Judging<'_>, group: &Group) -> Phrase {
    let read = Found::from(group.minute.r);
    let text = read.value().map_or_else(Phrase::default, |value| {
        let number = number(j.w, j.case.criteria, value, ohm(value.si));
        match read {
            Found::AtLeast(_) => say!("more than {}", number),
            Found::AtMost(_) => say!("less than {}", number),
            Found::Known(_) | Found::NotReached { .. } | Found::Nothing => number.into(),
        }
    });
    let time = group.minute.time.map_or_else(
        || ", time not stated".into(),
        |time| say!(" at {}", quantity(time, 3, unit::SECOND)),
    );
    let volts = group.voltage.map_or_else(Phrase::default, |volts| {
        say!(" with {} d.c.", quantity(volts, 4, unit::VOLT))
    });
    say!("read {}{}{}", text, time, volts)
}

fn refused(why: Refused) -> Phrase {
    match why {
        Refused::KindUnknown => "the kind of insulation is not on the rating plate".into(),
        Refused::Gas => "no factors are known for gas".into(),
        Refused::NoTemperature => "no temperature is stated".into(),
        Refused::OutsideTable => "the temperature lies outside the table of factors".into(),
    }
}

/// Without a profile there is no verdict, but a megohm calls for a look in any case.
fn floor(finding: Finding) -> Finding {
    let Some(floor) = standards::threshold("insulation-floor") else {
        return finding;
    };
    let least = floor.limit * 1e6;
    let below = match finding.found {
        Found::Known(value) => value.si < least,
        Found::AtMost(value) => value.si <= least,
        Found::AtLeast(_) | Found::NotReached { .. } | Found::Nothing => false,
    };
    if !below {
        return finding.remark("no minimum: the job names no profile, and IEC gives none");
    }
    let against = cited_limit(Requirement::at_least(least), &floor.cited);
    finding.held(against, Verdict::Observed(Grade::Review))
}

fn index(group: &Group, rise: &Rise) -> Finding {
    let (rule, late, early) = match (rise.later > 100.0, rise.earlier > 20.0) {
        (true, _) => (&rules::POLARISATION_INDEX, 600.0, 60.0),
        (_, true) => (&rules::DIELECTRIC_ABSORPTION, 60.0, 30.0),
        _ => (&rules::DIELECTRIC_ABSORPTION, 60.0, 15.0),
    };
    let finding = new(group, rule, rise.ratio, unit::ONE)
        .under(Condition::Interval(late, early))
        .under(between(group))
        .remark("for information: on a winding this small the index says little");
    withheld(finding, group.doubtful)
}

/// A secondary against earth or its neighbours is tested with little voltage; more may harm it.
fn test_voltage(group: &Group) -> Option<Finding> {
    let most = standards::threshold("insulation-secondary-max")?.limit;
    let applied = group.voltage.filter(|volts| *volts > most * 1.05)?;
    let driven = group.from.iter().all(|node| matches!(node, Node::Core(_)));
    let low_side = group.to.iter().any(|node| !matches!(node, Node::Primary));
    if !(driven && low_side) {
        return None;
    }
    let volts = |volts| quantity(volts, 4, unit::VOLT);
    let mut finding = new(
        group,
        &rules::INSULATION_TEST_VOLTAGE,
        Found::Nothing,
        unit::VOLT,
    )
    .under(between(group))
    .observed(say!("secondary tested with {} d.c.", volts(applied)))
    .remark(say!(
        "a secondary is tested with {} d.c. at most (common practice, no source); more can damage it",
        volts(most)
    ));
    finding.verdict = Verdict::Observed(Grade::Review);
    Some(finding)
}

/// How long to discharge, once per section: the longest application counts.
fn discharge(j: &Judging<'_>) -> Vec<Finding> {
    let groups = &j.derived.insulation;
    let sections: BTreeSet<usize> = groups.iter().map(|group| group.test).collect();
    let of_section = |section| {
        let (group, time) = groups
            .iter()
            .filter(|group| group.test == section)
            .filter_map(|group| Some((group, group.discharge?)))
            .max_by(|a, b| a.1.si.total_cmp(&b.1.si))?;
        let rule = &rules::INSULATION_DISCHARGE;
        let mut finding = new(group, rule, Found::Known(time), unit::SECOND)
            .remark("and until a meter shows zero: stored charge can kill");
        finding.core = None;
        finding.verdict = Verdict::Observed(Grade::Info);
        Some(finding)
    };
    sections.into_iter().filter_map(of_section).collect()
}

#[cfg(test)]
mod tests;
