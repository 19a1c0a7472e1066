//! Remanence factor and loop time constant of cores with a gap.

use crate::derive::kinds::excitation::CurveAt;
use crate::derive::kinds::protection::remanence::LoopConstant;
use crate::derive::kinds::protection::{Accuracy, Check};
use crate::derive::workings::Value;
use crate::judge::assess::Judging;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::protection as rules;
use crate::record::kinds::Test;
use crate::standards::{self, Cited, TransientClass};
use crate::trade::Class;

fn class<'a>(j: &Judging<'a>, accuracy: &Accuracy) -> Option<&'a Class> {
    j.case.core(accuracy.pair)?.class_of(accuracy.pair)
}

pub(super) fn factor(j: &Judging<'_>, accuracy: &Accuracy, value: Value) -> Finding {
    let finding = Finding::new(&rules::REMANENCE_FACTOR, value, unit::PERCENT).headline();
    match class(j, accuracy).and_then(most) {
        Some((most, cited)) => finding.against(j, Against::at_most(most, cited)),
        None => finding,
    }
}

fn most(class: &Class) -> Option<(f64, &'static Cited)> {
    let (most, cited) = match class {
        Class::Protection {
            composite,
            low_remanence: true,
            ..
        } => {
            let row = standards::protection(*composite, true)?;
            (row.remanence_max, &row.cited)
        }
        Class::Knee {
            low_remanence: true,
            ..
        } => {
            let row = standards::px(true)?;
            (row.remanence_max, &row.cited)
        }
        Class::Transient(kind) => {
            let row = standards::transient(*kind)?;
            (row.remanence_max, &row.cited)
        }
        _ => return None,
    };
    Some((most?, cited))
}

pub(super) fn loop_constant(
    j: &Judging<'_>,
    accuracy: &Accuracy,
    constant: &LoopConstant,
) -> Finding {
    let mut finding = Finding::new(&rules::LOOP_TIME_CONSTANT, constant.found, unit::SECOND);
    if constant.computed {
        finding = finding
            .remark("from the inductance, with winding resistance at 75 °C and rated burden");
    }
    match tolerance(j, accuracy) {
        Some(against) => finding.against(j, against),
        None => finding,
    }
}

/// An inductance that no time constant follows from, since winding or burden is not known.
pub(super) fn lacking(j: &Judging<'_>) -> impl Iterator<Item = Finding> {
    j.case
        .visit
        .of(Test::remanence)
        .filter_map(|(index, test, body)| {
            let at = body.inductance.span()?;
            let of_test = |one: &&Accuracy| matches!(one.at, CurveAt::Section(own) if own == index);
            let mut own = j.derived.protection.iter().filter(of_test);
            let is_known = own.any(|one| matches!(one.check, Check::LoopConstant(_)));
            let lacks = body.loop_time_constant.is_missing() && !is_known;
            let only = || {
                (j.case.record.cores.len() == 1)
                    .then(|| j.case.full(0))
                    .flatten()
            };
            let pair = j.case.driven(test).or_else(only).filter(|_| lacks)?;
            let needs = "needs the winding resistance and the rated burden beside the inductance";
            let finding = Finding::without(&rules::LOOP_TIME_CONSTANT, unit::SECOND);
            let finding = finding.verdict(Verdict::NotShown(needs.into()));
            Some(finding.at(index, pair, vec![at]).withheld(test.doubtful))
        })
}

/// So far the constant may be off the plate's, by class.
fn tolerance(j: &Judging<'_>, accuracy: &Accuracy) -> Option<Against> {
    let tolerance = standards::threshold(match class(j, accuracy)? {
        Class::Protection {
            low_remanence: true,
            ..
        } => "iec-ts-tolerance-pr",
        Class::Transient(TransientClass::Tpy) => "iec-ts-tolerance-tpy",
        Class::Transient(TransientClass::Tpz) => "iec-ts-tolerance-tpz",
        _ => return None,
    })?;
    let rated = j.case.core(accuracy.pair)?.loop_time_constant.get()?;
    let (si, share) = (rated.value.si, tolerance.limit / 100.0);
    let against = Against::between(si * (1.0 - share), si * (1.0 + share), &tolerance.cited);
    (si > 0.0).then(|| against.stated_at(rated.span))
}
