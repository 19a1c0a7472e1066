//! Remanence factor and loop time constant of cores with a gap.

use super::new;
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::remanence::LoopConstant;
use crate::derive::workings::Value;
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Finding, Found, unit};
use crate::judge::rules;
use crate::judge::verdict::cited_limit;
use crate::standards::TransientClass;
use crate::standards::{self, Cited};
use crate::trade::Class;

fn class<'a>(j: &Judging<'a>, accuracy: &Accuracy) -> Option<&'a Class> {
    j.case.core(accuracy.pair)?.class_of(accuracy.pair)
}

pub(super) fn factor(j: &Judging<'_>, accuracy: &Accuracy, value: Value) -> Finding {
    let finding = new(
        accuracy,
        &rules::REMANENCE_FACTOR,
        Found::Known(value),
        unit::PERCENT,
    )
    .headline();
    let Some((most, cited)) = class(j, accuracy).and_then(most) else {
        return finding;
    };
    let against = cited_limit(Requirement::at_most(most), cited);
    finding.against(j.w, j.case.criteria, against)
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
    let mut finding = new(
        accuracy,
        &rules::LOOP_TIME_CONSTANT,
        Found::Known(constant.found),
        unit::SECOND,
    );
    if constant.computed {
        finding = finding
            .remark("from the inductance, with winding resistance at 75 °C and rated burden");
    }
    let Some(core) = j.case.core(accuracy.pair) else {
        return finding;
    };
    let id = match class(j, accuracy) {
        Some(Class::Protection {
            low_remanence: true,
            ..
        }) => "iec-ts-tolerance-pr",
        Some(Class::Transient(TransientClass::Tpy)) => "iec-ts-tolerance-tpy",
        Some(Class::Transient(TransientClass::Tpz)) => "iec-ts-tolerance-tpz",
        _ => return finding,
    };
    let rated = core
        .loop_time_constant
        .get()
        .filter(|rated| rated.value.si > 0.0);
    let (Some(rated), Some(tolerance)) = (rated, standards::threshold(id)) else {
        return finding;
    };
    let share = tolerance.limit / 100.0;
    let requirement = Requirement::between(
        rated.value.si * (1.0 - share),
        rated.value.si * (1.0 + share),
    );
    let mut against = cited_limit(requirement, &tolerance.cited);
    against.span = Some(rated.span);
    finding.against(j.w, j.case.criteria, against)
}
