//! Sums of sections, and errors to be expected from turns and exciting current.

use super::{finding, in_doubt, list, plain};
use crate::derive::kinds::ratio::{Estimate, Sum};
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, Found, Verdict, Weight, Whose, unit};
use crate::judge::verdict::expanded;
use crate::record::kinds::TestKind;

/// Sections further off than this, per cent, and than U, deserve a look. Common practice, no source.
const OPEN: f64 = 0.5;

pub(super) fn judge(j: &mut Judging<'_>) {
    let told: Vec<Finding> = j
        .derived
        .ratio
        .sums
        .iter()
        .filter_map(|sum| closed(j, sum))
        .collect();
    j.findings.extend(told);
}

fn closed(j: &Judging<'_>, sum: &Sum) -> Option<Finding> {
    let core = j.case.core(sum.pair)?;
    let sections: Vec<String> = sum
        .sections
        .iter()
        .map(|pair| core.pair_text(pair.from, pair.to))
        .collect();
    let what = format!("sum of {} less the whole", list(&sections));
    let mut told = finding("tap-sum", what, sum.closure, unit::PERCENT).at(
        sum.test,
        sum.pair,
        sum.readings.clone(),
    );
    let (off, u) = (
        sum.closure.si.abs(),
        expanded(j.w, sum.closure, j.case.criteria),
    );
    let explained = u.is_some_and(|u| off <= u);
    told.verdict = Verdict::Observed(Weight::Information);
    if explained {
        told = told.remark("closes within its uncertainty");
    } else if off <= OPEN {
        told = told.remark(format!("within {OPEN} % (common practice, no source)"));
    } else {
        told.verdict = Verdict::Observed(Weight::Doubt);
        told = told.next("measure the sections again: one reading or one lead is wrong");
    }
    Some(in_doubt(told, sum.doubtful))
}

pub(super) fn estimates(j: &mut Judging<'_>) {
    let told: Vec<Finding> = j
        .derived
        .ratio
        .estimates
        .iter()
        .flat_map(|estimate| expected(j, estimate))
        .collect();
    j.findings.extend(told);
}

fn expected(j: &Judging<'_>, estimate: &Estimate) -> Vec<Finding> {
    let Some((ratio, phase)) = estimate.errors else {
        return outside(estimate);
    };
    let found = |value| {
        if estimate.bound {
            Found::AtMost(value)
        } else {
            Found::Known(value)
        }
    };
    let at = format!(
        "at {} % of rated current and {} VA",
        plain(estimate.percent),
        plain(estimate.burden)
    );
    let bound = if estimate.bound {
        "magnitude of the "
    } else {
        ""
    };
    let rows = [
        ("expected-ratio-error", "ratio error", ratio, unit::PERCENT),
        (
            "expected-phase",
            "phase displacement",
            phase,
            unit::MINUTE_OF_ARC,
        ),
    ];
    let told = rows.map(|(rule, name, value, unit)| {
        let what = format!("calculated {bound}{name} {at}");
        let mut told = Finding::new(rule, TestKind::Ratio, Whose::Ct, what, found(value), unit);
        told.core = Some(estimate.pair.core);
        told.pair = Some(estimate.pair);
        told.section = j
            .derived
            .ratio
            .turns
            .iter()
            .find(|turns| turns.pair == estimate.pair)
            .map(|turns| turns.test);
        told.points_at.clone_from(&estimate.readings);
        told = told.remark("from turns ratio and exciting current; not measured, so no verdict");
        if estimate.bound {
            told = told.remark("a bound: the angle of the exciting current was not read");
        }
        if estimate.plate_resistance {
            told = told.remark("with the plate's winding resistance: none was measured");
        }
        in_doubt(told, estimate.doubtful)
    });
    told.into()
}

/// The curve ends before: nothing is drawn on past it. Said once, at rated current.
fn outside(estimate: &Estimate) -> Vec<Finding> {
    if (estimate.percent - 100.0).abs() > 1e-9 {
        return Vec::new();
    }
    let what = format!(
        "calculated ratio error at rated current and {} VA",
        plain(estimate.burden)
    );
    let mut told = Finding::new(
        "expected-ratio-error",
        TestKind::Ratio,
        Whose::Ct,
        what,
        Found::Nothing,
        unit::PERCENT,
    );
    told.core = Some(estimate.pair.core);
    told.pair = Some(estimate.pair);
    told.points_at.clone_from(&estimate.readings);
    vec![
        told.remark(
            "the excitation readings do not hold this e.m.f.; nothing is drawn on past them",
        ),
    ]
}
