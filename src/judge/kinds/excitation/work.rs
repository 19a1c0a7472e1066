//! The way a curve was taken: its flaws, the voltmeter, readings above the knee, open terminals.

use super::section;
use crate::derive::curve::FlawKind;
use crate::derive::kinds::excitation::Excited;
use crate::derive::knee::Knee;
use crate::document::{Grade, Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Finding, Found, unit};
use crate::judge::rules::{self, Rule};
use crate::judge::verdict::cited_limit;
use crate::judge::words::short;
use crate::record::kinds::excitation::Voltmeter;
use crate::standards::{self, Cited, Provenance};
use crate::trade::Class;

pub(super) fn judge(j: &mut Judging<'_>, excited: &Excited) {
    flaws(j, excited);
    voltmeter(j, excited);
    above_the_knee(j, excited);
    open_terminals(j, excited);
}

fn observed(rule: &'static Rule, excited: &Excited, what: Phrase, grade: Grade) -> Finding {
    Finding::observation(rule, what, grade).at(excited.test, excited.pair, Vec::new())
}

fn flaws(j: &mut Judging<'_>, excited: &Excited) {
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
        let mut finding = observed(&rules::CURVE_FLAW, excited, what.into(), grade).next(next);
        finding.points_at = excited.rows.get(flaw.at).copied().into_iter().collect();
        j.findings.push(finding);
    }
}

fn voltmeter(j: &mut Judging<'_>, excited: &Excited) {
    let Some(body) = section(j, excited) else {
        return;
    };
    let class = j
        .case
        .core(excited.pair)
        .and_then(|core| core.class.value());
    let protection = matches!(class, Some(Class::Protection { .. } | Class::Knee { .. }));
    let (rule, what) = match body.voltmeter.value() {
        Some(Voltmeter::Rms) if protection => (
            &rules::VOLTMETER_RMS,
            "true r.m.s.; the curves of these classes are stated for a mean-sensing one",
        ),
        None if body.voltmeter.is_missing() => (
            &rules::VOLTMETER_UNSTATED,
            "whether it senses the mean or the r.m.s. value is not stated",
        ),
        _ => return,
    };
    let mut finding = observed(rule, excited, what.into(), Grade::Info)
        .remark("above the knee the voltage is not a sine, and the two differ");
    finding.points_at = j
        .case
        .visit
        .tests
        .get(excited.test)
        .map(|test| test.span)
        .into_iter()
        .collect();
    j.findings.push(finding);
}

fn above_the_knee(j: &mut Judging<'_>, excited: &Excited) {
    let (Knee::At(point), Some(curve)) = (excited.deciding(&j.case), &excited.curve) else {
        return;
    };
    let Some(least) = standards::threshold("excitation-points-above-knee") else {
        return;
    };
    let above = curve
        .points()
        .iter()
        .filter(|reading| reading.v.si > point.voltage.si)
        .count();
    if above as f64 >= least.limit {
        return;
    }
    let what = say!(
        "{}, at least {} needed",
        above.to_string(),
        short(least.limit)
    );
    let mut finding = observed(&rules::READINGS_ABOVE_KNEE, excited, what, Grade::Info)
        .remark(least.cited.line())
        .next("go on to two readings above the knee");
    finding.points_at = excited.last_row().into_iter().collect();
    j.findings.push(finding);
}

/// The voltage across the whole winding. Of a driven tap it is what nobody reads, and can hurt.
fn open_terminals(j: &mut Judging<'_>, excited: &Excited) {
    let limit = |id| standards::threshold(id);
    let (Some(warn), Some(error)) = (limit("excitation-cap-warn"), limit("excitation-cap-error"))
    else {
        return;
    };
    let tap = excited.open_terminals;
    let Some(volts) = tap.or(excited.highest) else {
        return;
    };
    let own = j.case.criteria.open_voltage;
    let cap = own.unwrap_or(warn.limit);
    let over = volts.si > cap;
    if !over && tap.is_none() {
        return;
    }
    let severe = own.map_or(volts.si > error.limit, |own| volts.si > own);
    let expected = tap.is_none() && rated_knee(j, excited).is_some_and(|knee| knee >= cap);
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
    let cited = match own {
        Some(_) => client(&j.case.criteria.file),
        None => (if severe { error } else { warn }).cited.clone(),
    };
    let mut finding = observed(&rules::OPEN_TERMINAL_VOLTAGE, excited, what.into(), grade);
    (finding.found, finding.unit) = (Found::Known(volts), unit::VOLT);
    if over {
        let limit = if own.is_none() && severe {
            error.limit
        } else {
            cap
        };
        finding.against = Some(cited_limit(Requirement::at_most(limit), &cited));
        finding = finding.remark(
            "barrier the open ends; terminal block, leads and source must stand this voltage",
        );
        if tap.is_some() {
            finding = finding.next(rules::OPEN_TERMINAL_VOLTAGE.action);
        }
    }
    finding.points_at = excited.last_row().into_iter().collect();
    j.findings.push(finding);
}

fn client(file: &str) -> Cited {
    let source = if file.is_empty() {
        "criteria of the job".to_owned()
    } else {
        format!("{file}, open voltage")
    };
    Cited {
        id: "criteria-open-voltage".to_owned(),
        source,
        provenance: Provenance::Seen,
        note: None,
    }
}

fn rated_knee(j: &Judging<'_>, excited: &Excited) -> Option<f64> {
    j.case.core(excited.pair)?.knee.value().map(|knee| knee.si)
}
