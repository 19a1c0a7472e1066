//! The knees of a curve. The plate's rule decides; the others stand beside it, never against it.

use super::{DOUBTFUL, has_rated_knee, not_judged, reason};
use crate::derive::kinds::excitation::{EmfBy, Excited, KneeRule};
use crate::derive::knee::Knee;
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, Found, Verdict, Whose, unit};
use crate::judge::say::rounded;
use crate::record::kinds::TestKind;

pub(super) fn judge(j: &mut Judging<'_>, excited: &Excited) {
    let Some(core) = j.case.core(excited.pair) else {
        return;
    };
    let deciding = KneeRule::of(j.case.record.plate.family(), core);
    for rule in KneeRule::ALL {
        let knee = excited.knee(rule);
        if rule != deciding && matches!(knee, Knee::Lacking(_)) {
            continue;
        }
        let mut finding = finding(excited, rule, &knee);
        if rule == deciding {
            finding = remarks(excited, finding);
            finding.headline = !has_rated_knee(core, excited);
        } else {
            finding = finding.remark(
                "for information; knees by different rules are never compared with each other",
            );
        }
        j.findings.push(finding);
    }
}

fn name(rule: KneeRule) -> (&'static str, &'static str) {
    match rule {
        KneeRule::Iec => (
            "knee-iec",
            "knee point voltage, 10 % more voltage and 50 % more current",
        ),
        KneeRule::Tangent45 => ("knee-45", "knee point voltage, 45° tangent"),
        KneeRule::Tangent30 => ("knee-30", "knee point voltage, 30° tangent"),
    }
}

fn finding(excited: &Excited, rule: KneeRule, knee: &Knee) -> Finding {
    let (rule, what) = name(rule);
    let (found, verdict) = match knee {
        Knee::At(point) => (Found::Known(point.voltage), Verdict::NoLimit),
        Knee::NotReached { beyond } => (Found::NotReached { beyond: *beyond }, Verdict::NoLimit),
        Knee::Lacking(why) => (Found::Nothing, not_judged(reason(*why))),
    };
    let mut finding = Finding::new(
        rule,
        TestKind::Excitation,
        Whose::Ct,
        what,
        found,
        unit::VOLT,
    )
    .at(excited.test, excited.pair, excited.around(knee));
    finding.verdict = if excited.doubtful.is_some() {
        not_judged(DOUBTFUL)
    } else {
        verdict
    };
    if let (Knee::At(point), Some(curve)) = (knee, &excited.curve) {
        let volt = |at: usize| {
            curve
                .points()
                .iter()
                .find(|point| point.at == at)
                .map(|point| rounded(point.v.si, 4))
        };
        if let (Some(low), Some(high)) = (volt(point.between.0), volt(point.between.1)) {
            finding = finding.remark(format!("between the readings at {low} V and {high} V"));
        }
        let unit = unit::current(point.current.si);
        let current = rounded(point.current.si * unit.per_si, 4);
        finding = finding.remark(format!("exciting current there {current} {}", unit.word));
    }
    finding
}

/// How the voltage of the curve came about, where it is not simply what was read.
pub(in crate::judge::kinds) fn remarks(excited: &Excited, mut finding: Finding) -> Finding {
    match excited.emf {
        EmfBy::Voltage => {}
        EmfBy::Angle => finding = finding.remark("resistive drop taken off by phasors"),
        EmfBy::Quadrature => {
            finding = finding.remark("resistive drop taken off in quadrature, no angle was read; the rest is in the uncertainty");
        }
        EmfBy::DropLeftIn => {
            finding = finding.remark("resistive drop not taken off: no winding resistance fits")
        }
    }
    if let Some(hz) = excited.other_frequency {
        finding = finding
            .remark(format!("from {hz} Hz, voltage scaled to rated frequency; currents are on the low side below saturation, close in it"));
    }
    finding
}
