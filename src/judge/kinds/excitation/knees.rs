//! The knees of a curve. The plate's rule decides; the others stand beside it, never against it.

use crate::derive::kinds::excitation::{EmfBy, Excited};
use crate::derive::knee::{Knee, KneeRule};
use crate::document::{Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, unit};
use crate::judge::rules::excitation as rules;
use crate::judge::verdict::{not_judged, reason};
use crate::judge::words::{quantity, short};
use crate::record::core::Core;

pub(super) fn judge(j: &Judging<'_>, excited: &Excited, out: &mut Vec<Finding>) {
    let Some(core) = j.case.core(excited.pair) else {
        return;
    };
    let deciding = KneeRule::of(j.case.record.plate.family(), core);
    for rule in KneeRule::ALL {
        let knee = excited.knee(rule);
        let others = !matches!(knee, Knee::Lacking(_)) && !excited.with_burden;
        if rule != deciding && !others {
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
        if excited.with_burden {
            finding = finding.verdict(not_judged(
                "the circuit was connected: the current is not the exciting current",
            ));
        }
        out.push(finding.withheld(excited.doubtful));
    }
}

/// Whether the plate states a knee for the pair of a curve.
fn has_rated_knee(core: &Core, excited: &Excited) -> bool {
    let tap = core.tap(excited.pair.from, excited.pair.to);
    tap.is_some_and(|tap| !tap.knee.is_missing())
        || (core.is_full(excited.pair) && !core.knee.is_missing())
}

fn finding(excited: &Excited, rule: KneeRule, knee: &Knee) -> Finding {
    let registered = match rule {
        KneeRule::Iec => &rules::KNEE_IEC,
        KneeRule::Tangent45 => &rules::KNEE_45,
        KneeRule::Tangent30 => &rules::KNEE_30,
    };
    let finding = Finding::new(registered, knee.voltage(), unit::VOLT).at(
        excited.test,
        excited.pair,
        excited.around(knee),
    );
    let point = match knee {
        Knee::At(point) => point,
        Knee::NotReached { .. } => return finding,
        Knee::Lacking(why) => return finding.verdict(not_judged(reason(*why))),
    };
    let readings = excited.curve.iter().flat_map(|curve| curve.points());
    let volt = |at: usize| {
        let point = readings.clone().find(|point| point.at == at)?;
        Some(quantity(point.v.si, 4, unit::VOLT))
    };
    let ends = volt(point.between.0).zip(volt(point.between.1));
    let mut finding = finding;
    if let Some((low, high)) = ends {
        finding = finding.remark(say!("between the readings at {} and {}", low, high));
    }
    let current = quantity(point.current.si, 4, unit::current(point.current.si));
    finding.remark(say!("exciting current there {}", current))
}

/// How the voltage of the curve came about, where it is not simply what was read.
fn remarks(excited: &Excited, mut finding: Finding) -> Finding {
    let drop = match excited.emf {
        EmfBy::Voltage => None,
        EmfBy::Angle => Some("resistive drop taken off by phasors"),
        EmfBy::Quadrature => Some(
            "resistive drop taken off in quadrature, no angle was read; the rest is in the uncertainty",
        ),
        EmfBy::DropLeftIn => Some("resistive drop not taken off: no winding resistance fits"),
    };
    finding.remarks.extend(drop.map(Into::into));
    if let Some(hz) = excited.other_frequency {
        finding = finding.remark(say!(
            "from {}, voltage scaled to rated frequency; currents are on the low side below saturation, close in it",
            Quantity::new(short(hz), "Hz")
        ));
    }
    finding
}
