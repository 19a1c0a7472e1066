//! The knees of a curve. The plate's rule decides; the others stand beside it, never against it.

use super::{DOUBTFUL, has_rated_knee, not_judged, reason};
use crate::derive::kinds::excitation::{EmfBy, Excited};
use crate::derive::knee::{Knee, KneeRule};
use crate::document::{Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, Found, Verdict, unit};
use crate::judge::rules::{self, Rule};
use crate::judge::words::{quantity, short};

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

fn registered(rule: KneeRule) -> &'static Rule {
    match rule {
        KneeRule::Iec => &rules::KNEE_IEC,
        KneeRule::Tangent45 => &rules::KNEE_45,
        KneeRule::Tangent30 => &rules::KNEE_30,
    }
}

fn finding(excited: &Excited, rule: KneeRule, knee: &Knee) -> Finding {
    let (found, verdict) = match knee {
        Knee::At(point) => (Found::Known(point.voltage), Verdict::NoLimit),
        Knee::NotReached { beyond } => (Found::NotReached { beyond: *beyond }, Verdict::NoLimit),
        Knee::Lacking(why) => (Found::Nothing, not_judged(reason(*why))),
    };
    let mut finding = Finding::new(registered(rule), found, unit::VOLT);
    finding = finding.at(excited.test, excited.pair, excited.around(knee));
    finding.verdict = if excited.doubtful.is_some() {
        not_judged(DOUBTFUL)
    } else {
        verdict
    };
    if let (Knee::At(point), Some(curve)) = (knee, &excited.curve) {
        let volt = |at: usize| {
            let point = curve.points().iter().find(|point| point.at == at)?;
            Some(quantity(point.v.si, 4, unit::VOLT))
        };
        if let (Some(low), Some(high)) = (volt(point.between.0), volt(point.between.1)) {
            finding = finding.remark(say!("between the readings at {} and {}", low, high));
        }
        let current = quantity(point.current.si, 4, unit::current(point.current.si));
        finding = finding.remark(say!("exciting current there {}", current));
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
        finding = finding.remark(say!(
            "from {}, voltage scaled to rated frequency; currents are on the low side below saturation, close in it",
            Quantity::new(short(hz), "Hz")
        ));
    }
    finding
}
