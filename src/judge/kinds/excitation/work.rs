//! The way a curve was taken: its flaws, the voltmeter, readings above the knee, open terminals.

use crate::derive::curve::FlawKind;
use crate::derive::kinds::excitation::Excited;
use crate::derive::knee::Knee;
use crate::derive::outcome::Reason;
use crate::document::{Grade, Phrase, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::Rule;
use crate::judge::rules::excitation as rules;
use crate::judge::words::{cite, short};
use crate::record::criteria::Criteria;
use crate::record::kinds::excitation::Voltmeter;
use crate::standards::threshold;
use crate::trade::Class;

pub(super) fn judge(j: &Judging<'_>, excited: &Excited, out: &mut Vec<Finding>) {
    flaws(excited, out);
    out.extend(with_burden(j, excited));
    out.extend(voltmeter(j, excited));
    out.extend(above_the_knee(j, excited));
    out.extend(open_terminals(j, excited));
}

fn observed(
    rule: &'static Rule,
    excited: &Excited,
    what: impl Into<Phrase>,
    grade: Grade,
    at: Option<Span>,
) -> Finding {
    let points_at = at.into_iter().collect();
    Finding::observation(rule, what, grade).at(excited.test, excited.pair, points_at)
}

fn flaws(excited: &Excited, out: &mut Vec<Finding>) {
    for flaw in &excited.flaws {
        let (what, grade, next) = match flaw.kind {
            FlawKind::NotPositive => (
                "a reading of zero or less is left out of the curve",
                Grade::Review,
                "read the row again",
            ),
            FlawKind::DuplicateVoltage => (
                "a second reading at one voltage is left out of the curve",
                Grade::Review,
                "take one of them out, or repeat the point",
            ),
            FlawKind::TurnsBack => (
                "the voltage turned back on the way",
                Grade::Review,
                "rise or fall without turning back, else hysteresis joins two branches",
            ),
            FlawKind::Level => (
                "the current is the same as at the next lower voltage",
                Grade::Info,
                "read with more digits or a lower range",
            ),
            FlawKind::StepsBack => (
                "the current is less than at the next lower voltage",
                Grade::Review,
                "check the range and the row, repeat the point",
            ),
        };
        let at = excited.rows.get(flaw.at).copied();
        out.push(observed(&rules::CURVE_FLAW, excited, what, grade, at).next(next));
    }
}

/// The record says that the circuit was connected: nothing is judged by the curve until it is taken again.
fn with_burden(j: &Judging<'_>, excited: &Excited) -> Option<Finding> {
    let test = j.case.visit.tests.get(excited.test)?;
    let at = excited
        .with_burden
        .then(|| test.excitation())??
        .burden
        .span();
    let used = j.derived.curve_for(excited.pair).map(|used| used.test);
    let (what, grade) = match used == Some(excited.test) {
        true => (
            "the circuit was connected during the run: the current is not the exciting current",
            Grade::Review,
        ),
        false => (
            "the circuit was connected during this run; the curve without it is judged",
            Grade::Info,
        ),
    };
    Some(observed(&rules::BURDEN_LEFT_ON, excited, what, grade, at))
}

fn voltmeter(j: &Judging<'_>, excited: &Excited) -> Option<Finding> {
    let section = j.case.visit.tests.get(excited.test)?;
    let voltmeter = &section.excitation()?.voltmeter;
    let class = j.case.core(excited.pair)?.class.value();
    let protection = matches!(class, Some(Class::Protection { .. } | Class::Knee { .. }));
    let (rule, what) = match voltmeter.value() {
        Some(Voltmeter::Rms) if protection => (
            &rules::VOLTMETER_RMS,
            "true r.m.s.; the curves of these classes are stated for a mean-sensing one",
        ),
        Some(Voltmeter::Peak) => return Some(by_crest(j, excited, section.span)),
        None if voltmeter.is_missing() => (
            &rules::VOLTMETER_UNSTATED,
            "whether it senses the mean or the r.m.s. value is not stated",
        ),
        _ => return None,
    };
    let finding = observed(rule, excited, what, Grade::Info, Some(section.span));
    Some(finding.remark("above the knee the voltage is not a sine, and the two differ"))
}

/// Readings of the crest make no curve: the test is to be done again, unless it was.
fn by_crest(j: &Judging<'_>, excited: &Excited, section: Span) -> Finding {
    let rule = &rules::VOLTMETER_PEAK;
    let what = "it shows the crest of the voltage, which tells what the insulation is stressed by and gives no knee";
    let finding = |grade| observed(rule, excited, what, grade, Some(section));
    let finding = match j.derived.curve_for(excited.pair) {
        Some(_) => finding(Grade::Info),
        None => finding(Grade::Review).next(rule.action),
    };
    finding.remark(
        "above the knee the crest is not 1.41 times the r.m.s. value; the peak of the flux follows the mean",
    )
}

fn above_the_knee(j: &Judging<'_>, excited: &Excited) -> Option<Finding> {
    let (Knee::At(point), Some(curve)) = (excited.deciding(&j.case), &excited.curve) else {
        return None;
    };
    let least = threshold("excitation-points-above-knee")?;
    let above = curve.points().iter();
    let above = above
        .filter(|reading| reading.v.si > point.voltage.si)
        .count();
    if above as f64 >= least.limit {
        return None;
    }
    let needed = short(least.limit);
    let what = say!("{}, at least {} needed", above.to_string(), needed);
    let (rule, at) = (&rules::READINGS_ABOVE_KNEE, excited.last_row());
    let finding = observed(rule, excited, what, Grade::Info, at).remark(cite(&least.cited));
    Some(finding.next("go on to two readings above the knee"))
}

/// The voltage across the whole winding. Of a driven tap it is what nobody reads, and can hurt.
fn open_terminals(j: &Judging<'_>, excited: &Excited) -> Option<Finding> {
    let (warn, error) = (
        threshold("excitation-cap-warn")?,
        threshold("excitation-cap-error")?,
    );
    let tap = excited.open_terminals;
    let volts = tap.or(excited.highest)?;
    let own = j.case.criteria.open_voltage;
    let cap = own.unwrap_or(warn.limit);
    let over = volts.si > cap;
    if !over && tap.is_none() {
        return None;
    }
    let severe = volts.si > own.unwrap_or(error.limit);
    let rated = j.case.core(excited.pair).and_then(|core| core.knee.value());
    let expected = tap.is_none() && rated.is_some_and(|knee| knee.si >= cap);
    let grade = if severe && !expected && (tap.is_some() || own.is_some()) {
        Grade::Review
    } else {
        Grade::Info
    };
    let what = if tap.is_some() {
        "across the whole winding while the tap was driven"
    } else {
        "highest reading"
    };
    let rule = &rules::OPEN_TERMINAL_VOLTAGE;
    let mut finding = observed(rule, excited, what, grade, excited.last_row());
    (finding.found, finding.unit) = (volts.into(), unit::VOLT);
    if matches!(excited.deciding(&j.case), Knee::Lacking(Reason::Crest)) {
        finding = finding.remark("as the r.m.s. value of a sine with the crest that was read");
    }
    if !over {
        return Some(finding);
    }
    finding.against = Some(match own {
        Some(own) => Against::at_most(
            own,
            &Criteria::own("open-voltage", "voltage at open terminals"),
        ),
        None if severe => Against::at_most(error.limit, &error.cited),
        None => Against::at_most(warn.limit, &warn.cited),
    });
    let finding = finding
        .remark("barrier the open ends; terminal block, leads and source must stand this voltage");
    Some(if tap.is_some() {
        finding.next(rule.action)
    } else {
        finding
    })
}
