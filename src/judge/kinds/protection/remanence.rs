//! Remanence factor and loop time constant of cores with a gap.

use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::remanence::LoopConstant;
use crate::derive::workings::Value;
use crate::judge::assess::Judging;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::protection as rules;
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
