//! Insulation resistance. IEC gives no minimum, so there is a verdict only by a profile of the job.

use crate::derive::kinds::insulation::{Group, Node, Refused, Rise};
use crate::derive::outcome::Outcome;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, Unit, Verdict, unit};
use crate::judge::rules::insulation as rules;
use crate::judge::words::{self, brief, quantity, short};
use crate::record::kinds::Test;
use crate::standards::{self, Family};
use std::collections::BTreeSet;

mod minimum;
mod pairs;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for group in &j.derived.insulation {
        let subjects = subjects(group).into_iter();
        out.extend(subjects.map(|core| resistance(j, group, core)));
        out.extend(group.rises.iter().map(|rise| index(group, rise)));
        out.extend(test_voltage(group));
    }
    out.extend(pairs::uncovered(j));
    discharge(j, out);
}

/// Whose insulation a group is of: each winding on the tested side, the primary without a core.
fn subjects(group: &Group) -> Vec<Option<usize>> {
    let windings = group.sides().0.iter().filter_map(|node| match node {
        Node::Primary => Some(None),
        Node::Core(core) => Some(Some(*core)),
        Node::Earth => None,
    });
    windings.collect()
}

/// In the section, of the core that was tested alone.
fn placed(finding: Finding, group: &Group) -> Finding {
    let core = match group.sides().0 {
        [Node::Core(core)] => Some(*core),
        _ => None,
    };
    of(finding, group, core)
}

/// In the section, of a core or the unit; the reading that was judged comes first.
fn of(finding: Finding, group: &Group, core: Option<usize>) -> Finding {
    let judged = group.minute.span;
    let mut finding = finding.within(group.test, core, judged);
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

fn resistance(j: &Judging<'_>, group: &Group, core: Option<usize>) -> Finding {
    let minimum = minimum::of(j, group);
    let holds_as_read = minimum.as_ref().is_some_and(minimum::Minimum::is_as_read);
    let corrected = group.at_20.ok().filter(|_| !holds_as_read);
    let found = corrected.unwrap_or(group.minute.r);
    let unit = found.value().map_or(unit::MEGOHM, |value| ohm(value.si));
    let finding = Finding::new(&rules::INSULATION_RESISTANCE, found, unit);
    let mut finding = of(finding, group, core)
        .under(corrected.map(|_| Condition::CorrectedTo(20.0)))
        .under(between(group))
        .under(group.voltage.map(Condition::Voltage))
        .under(group.minute.time.map(Condition::HeldFor))
        .headline();
    finding.remarks.extend(corrected.map(|_| as_read(j, group)));
    finding = match group.at_20 {
        Ok(_) if holds_as_read => finding.remark("the job's minimum holds as read"),
        Ok(_) => {
            let by = words::temperature_by(group.temperature_by, "insulation");
            finding.remarks.extend(by);
            finding
        }
        Err(why) => finding.remark(say!(
            "not corrected to {}: {}",
            Quantity::new("20", "°C"),
            refused(why)
        )),
    };
    let by_table = minimum
        .as_ref()
        .is_some_and(minimum::Minimum::is_of_a_voltage);
    finding = match minimum {
        Some(minimum) => minimum.judge(j, group, finding),
        None => floor(j, finding),
    };
    finding = shown(group, core, by_table, finding);
    finding = surface(j, group, finding);
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
    finding.withheld(group.doubtful)
}

/// What the record says of the way over the surface: the guard that takes it out of the reading, and how damp
/// the air was where the insulation is low.
fn surface(j: &Judging<'_>, group: &Group, mut finding: Finding) -> Finding {
    let visit = j.case.visit;
    let body = visit.tests.get(group.test).and_then(Test::insulation);
    let guard = body.and_then(|body| body.guard.value());
    let guard = guard.filter(|guard| !guard.eq_ignore_ascii_case("none"));
    finding
        .remarks
        .extend(guard.map(|at| say!("guard at {}", at.clone())));
    let humidity = body.and_then(|body| body.humidity.value());
    let Some(humidity) = humidity.or(visit.humidity.value()) else {
        return finding;
    };
    if finding.grade() < Grade::Review {
        return finding;
    }
    let air = Quantity::new(short(humidity.si), "%");
    let damp = standards::threshold("insulation-damp");
    let damp = damp.is_some_and(|row| humidity.si >= row.limit);
    finding.remark(match (damp, guard) {
        (true, None) => say!("relative humidity {}: dew on the surface may carry it; a guard takes the surface out of the reading", air),
        (true, Some(_)) | (false, _) => say!("relative humidity {}", air),
    })
}

/// `read 412 Mohm`
fn as_read(j: &Judging<'_>, group: &Group) -> Phrase {
    let read = group.minute.r;
    read.value().map_or_else(Phrase::default, |value| {
        let number = j.number(value, ohm(value.si));
        // What a display says of a bound is the number on it.
        let bare = Quantity {
            u: None,
            ..number.clone()
        };
        match read {
            Outcome::AtLeast(_) => say!("read more than {}", bare),
            Outcome::AtMost(_) => say!("read less than {}", bare),
            _ => say!("read {}", number),
        }
    })
}

/// What a reading does not show of a winding's insulation although it is high enough: to earth, with a
/// usual test voltage where no table names its own, a minute long. Less voltage and less time can only
/// show that it is low.
fn shown(group: &Group, core: Option<usize>, by_table: bool, finding: Finding) -> Finding {
    let good = matches!(finding.verdict, Verdict::NoLimit) || finding.grade() == Grade::Pass;
    let least = match core {
        Some(_) => "insulation-secondary-least",
        None => "insulation-primary-least",
    };
    let (Some(least), Some(minute), true) = (
        standards::threshold(least),
        standards::threshold("insulation-minute"),
        good,
    ) else {
        return finding;
    };
    let volts = if by_table { 0.0 } else { least.limit };
    let missing = missing(group, volts, minute.limit);
    if missing.is_empty() {
        return finding;
    }
    let missing = Phrase::list(missing, ", ", " and ");
    let source = least.cited.source.clone();
    finding.verdict(Verdict::NotShown(say!("needs {} ({})", missing, source)))
}

fn missing(group: &Group, least: f64, minute: f64) -> Vec<Phrase> {
    let off = |id| standards::threshold(id).map_or(0.0, |row| row.limit / 100.0);
    let most = |limit: f64, id| limit * (1.0 - off(id));
    let mut missing: Vec<Phrase> = Vec::new();
    if !group.is_to_earth() {
        missing.push("the test to earth".into());
    }
    match group.voltage {
        None => missing.push("the test voltage".into()),
        Some(volts) if volts < most(least, "insulation-voltage-near") => {
            missing.push(say!("{} d.c. or more", brief(least, unit::VOLT.word)));
        }
        Some(_) => {}
    }
    match group.minute.time {
        None => missing.push("the time under voltage".into()),
        Some(time) if time < most(minute, "insulation-minute-near") => {
            missing.push(say!("{} under voltage", brief(minute, unit::SECOND.word)));
        }
        Some(_) => {}
    }
    missing
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
fn floor(j: &Judging<'_>, finding: Finding) -> Finding {
    let Some(floor) = standards::threshold("insulation-floor") else {
        return finding;
    };
    let least = floor.limit * 1e6;
    let below = match finding.found {
        Some(Outcome::Known(value)) => value.si < least,
        Some(Outcome::AtMost(value)) => value.si <= least,
        _ => false,
    };
    if !below {
        let whose = match j.case.record.plate.family() {
            Family::Iec => "IEC",
            Family::Ieee => "IEEE C57.13",
            Family::Other => "the standard of the plate",
        };
        return finding.remark(say!(
            "no minimum: the job names no profile, and {} gives none",
            whose
        ));
    }
    let cited = j.after(Family::Ieee, &floor.cited);
    finding.beyond(Against::at_least(least, &cited))
}

fn index(group: &Group, rise: &Rise) -> Finding {
    let index = standards::insulation_absorption();
    let mut index = index.iter().filter(|row| row.cited.id == "insulation-pi");
    let rule = match index.any(|row| rise.later >= row.later_s) {
        true => &rules::POLARISATION_INDEX,
        false => &rules::DIELECTRIC_ABSORPTION,
    };
    placed(Finding::new(rule, rise.ratio, unit::ONE), group)
        .under(Condition::Interval(rise.later, rise.earlier))
        .under(between(group))
        .remark("for information: on a winding this small the index says little")
        .withheld(group.doubtful)
}

/// A secondary against earth or its neighbours is tested with little voltage; more may harm it.
fn test_voltage(group: &Group) -> Option<Finding> {
    let most = standards::threshold("insulation-secondary-max")?.limit;
    let off = standards::threshold("insulation-voltage-near")?.limit / 100.0;
    let applied = group.voltage.filter(|volts| *volts > most * (1.0 + off))?;
    let driven = group.from.iter().all(|node| matches!(node, Node::Core(_)));
    let low_side = group.to.iter().any(|node| !matches!(node, Node::Primary));
    if !(driven && low_side) {
        return None;
    }
    let volts = |volts| quantity(volts, 4, unit::VOLT);
    let finding = Finding::without(&rules::INSULATION_TEST_VOLTAGE, unit::VOLT)
        .under(between(group))
        .observed(say!("secondary tested with {} d.c.", volts(applied)))
        .remark(say!(
            "a secondary is tested with {} d.c. at most (common practice, no source); more can damage it",
            volts(most)
        ));
    Some(placed(finding.graded(Grade::Review), group))
}

/// How long to discharge, once per section: the longest application counts.
fn discharge(j: &Judging<'_>, out: &mut Vec<Finding>) {
    let groups = &j.derived.insulation;
    let sections: BTreeSet<usize> = groups.iter().map(|group| group.test).collect();
    out.extend(sections.into_iter().filter_map(|section| {
        let (group, time) = groups
            .iter()
            .filter(|group| group.test == section)
            .filter_map(|group| Some((group, group.discharge?)))
            .max_by(|a, b| a.1.si.total_cmp(&b.1.si))?;
        let finding = Finding::new(&rules::INSULATION_DISCHARGE, time, unit::SECOND)
            .remark("and until a meter shows zero: stored charge can kill")
            .graded(Grade::Info);
        let mut finding = placed(finding, group);
        finding.core = None;
        Some(finding)
    }));
}

#[cfg(test)]
mod tests;
