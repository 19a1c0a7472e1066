//! The way a curve was taken: its flaws, the voltmeter, readings above the knee, open terminals.

use super::section;
use crate::derive::curve::FlawKind;
use crate::derive::kinds::excitation::Excited;
use crate::derive::knee::Knee;
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Finding, Found, Unit, Verdict, Weight, Whose, unit};
use crate::judge::verdict::cited_limit;
use crate::record::class::Class;
use crate::record::kinds::TestKind;
use crate::record::kinds::excitation::Voltmeter;
use crate::standards::{self, Cited, Provenance};

pub(super) fn judge(j: &mut Judging<'_>, excited: &Excited) {
    flaws(j, excited);
    voltmeter(j, excited);
    above_the_knee(j, excited);
    open_terminals(j, excited);
}

fn observed(
    rule: &'static str,
    excited: &Excited,
    what: &str,
    found: Found,
    unit: Unit,
    weight: Weight,
) -> Finding {
    let mut finding = Finding::new(rule, TestKind::Excitation, Whose::Work, what, found, unit).at(
        excited.test,
        excited.pair,
        Vec::new(),
    );
    finding.verdict = Verdict::Observed(weight);
    finding
}

fn flaws(j: &mut Judging<'_>, excited: &Excited) {
    for flaw in &excited.flaws {
        let (what, weight, next) = match flaw.kind {
            FlawKind::NotPositive => (
                "a reading of zero or less is left out of the curve",
                Weight::Doubt,
                "read the row again",
            ),
            FlawKind::DuplicateVoltage => (
                "a second reading at one voltage is left out of the curve",
                Weight::Doubt,
                "take one of them out, or repeat the point",
            ),
            FlawKind::TurnsBack => (
                "the voltage turned back on the way",
                Weight::Doubt,
                "rise or fall without turning back, else hysteresis joins two branches",
            ),
            FlawKind::Level => (
                "the current is the same as at the next lower voltage",
                Weight::Information,
                "read with more digits or a lower range",
            ),
            FlawKind::StepsBack => (
                "the current is less than at the next lower voltage",
                Weight::Doubt,
                "check the range and the row, repeat the point",
            ),
        };
        let mut finding = observed(
            "curve-flaw",
            excited,
            what,
            Found::Nothing,
            unit::ONE,
            weight,
        )
        .next(next);
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
            "voltmeter-rms",
            "read with a true r.m.s. voltmeter; the curves of these classes are stated for a mean-sensing one",
        ),
        None if body.voltmeter.is_missing() => (
            "voltmeter-unstated",
            "nobody wrote whether the voltmeter senses the mean or the r.m.s. value",
        ),
        _ => return,
    };
    let mut finding = observed(
        rule,
        excited,
        what,
        Found::Nothing,
        unit::ONE,
        Weight::Information,
    )
    .remark("above the knee the voltage is no sine, and the two differ");
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
    let what = format!(
        "{above} reading above the knee, {} are asked for",
        least.limit
    );
    let mut finding = observed(
        "readings-above-knee",
        excited,
        &what,
        Found::Nothing,
        unit::ONE,
        Weight::Information,
    )
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
    let weight = if severe && !expected && (tap.is_some() || own.is_some()) {
        Weight::Doubt
    } else {
        Weight::Information
    };
    let what = if tap.is_some() {
        "voltage across the whole winding while the tap was driven"
    } else {
        "highest voltage at the open terminals"
    };
    let cited = match own {
        Some(_) => client(&j.case.criteria.file),
        None => (if severe { error } else { warn }).cited.clone(),
    };
    let mut finding = observed(
        "open-terminal-voltage",
        excited,
        what,
        Found::Known(volts),
        unit::VOLT,
        weight,
    );
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
            finding = finding.next("drive the full winding instead");
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
