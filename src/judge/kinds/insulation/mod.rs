//! Insulation resistance. IEC gives no minimum, so there is a verdict only by a profile of the job.

use crate::derive::kinds::insulation::{Group, Node, Refused, Rise};
use crate::derive::outcome::Outcome;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, Unit, unit};
use crate::judge::rules::insulation as rules;
use crate::judge::words::quantity;
use crate::standards;
use std::collections::BTreeSet;

mod minimum;
mod pairs;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for group in &j.derived.insulation {
        out.push(resistance(j, group));
        out.extend(group.rises.iter().map(|rise| index(group, rise)));
        out.extend(test_voltage(group));
    }
    out.extend(pairs::uncovered(j));
    discharge(j, out);
}

/// In the section, of the core that was driven alone; the reading that was judged comes first.
fn placed(finding: Finding, group: &Group) -> Finding {
    let core = match group.from.as_slice() {
        [Node::Core(core)] => Some(*core),
        _ => None,
    };
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

fn resistance(j: &Judging<'_>, group: &Group) -> Finding {
    let minimum = minimum::of(j, group);
    let holds_as_read = minimum.as_ref().is_some_and(minimum::Minimum::is_as_read);
    let corrected = group.at_20.ok().filter(|_| !holds_as_read);
    let found = corrected.unwrap_or(group.minute.r);
    let unit = found.value().map_or(unit::MEGOHM, |value| ohm(value.si));
    let finding = Finding::new(&rules::INSULATION_RESISTANCE, found, unit);
    let mut finding = placed(finding, group)
        .under(corrected.map(|_| Condition::CorrectedTo(20.0)))
        .under(between(group))
        .remark(as_read(j, group))
        .headline();
    finding = match group.at_20 {
        Ok(_) if holds_as_read => finding.remark("the job's minimum holds as read"),
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
    finding = match minimum {
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
    finding.withheld(group.doubtful)
}

/// `read 412 Mohm at 60 s with 5000 V d.c.`
fn as_read(j: &Judging<'_>, group: &Group) -> Phrase {
    let read = group.minute.r;
    let text = read.value().map_or_else(Phrase::default, |value| {
        let number = j.number(value, ohm(value.si));
        match read {
            Outcome::AtLeast(_) => say!("more than {}", number),
            Outcome::AtMost(_) => say!("less than {}", number),
            _ => number.into(),
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
        Some(Outcome::Known(value)) => value.si < least,
        Some(Outcome::AtMost(value)) => value.si <= least,
        _ => false,
    };
    if !below {
        return finding.remark("no minimum: the job names no profile, and IEC gives none");
    }
    finding.beyond(Against::at_least(least, &floor.cited))
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
