//! Classes P and PR: composite error at the accuracy limit.

use super::{at_most, found, held, new, short, told};
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::limit::Limit;
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::say::rounded;
use crate::judge::verdict::cited_limit;
use crate::record::class::Class;
use crate::standards;

pub(super) fn judge(j: &Judging<'_>, accuracy: &Accuracy, limit: &Limit) -> Finding {
    let pf = limit.burden.power_factor.si;
    let what = format!(
        "composite error at {} times rated current, burden {} ohm at {pf:.2}, E {} V",
        limit.factor.si,
        rounded(limit.burden.z.si, 4),
        rounded(limit.emf.phasor.si, 4)
    );
    let finding = new(
        accuracy,
        "composite-error",
        what,
        found(&limit.error),
        unit::PERCENT,
    )
    .headline();
    let Some(against) = against(&limit.class) else {
        return finding;
    };
    let volts = limit.emf.phasor.si;
    let verdict = at_most(j, &limit.error, &against, volts);
    let far = limit.emf.arithmetic.si;
    let arithmetic = told(&limit.arithmetic, unit::PERCENT);
    let mut finding = held(finding, against.clone(), verdict.clone());
    finding = match &limit.unity {
        Some((_, error)) => {
            let unity = at_most(j, error, &against, far);
            let beside = format!(
                "at unity power factor, as by the arithmetic sum, {} V: {arithmetic}",
                rounded(far, 4)
            );
            if unity == verdict {
                finding.remark(beside)
            } else {
                let words = short(&unity);
                finding.remark(format!("{beside}: {words}; the maker may have chosen it, so the burden's power factor decides"))
            }
        }
        None => finding.remark(format!(
            "by the arithmetic sum {} V: {arithmetic}",
            rounded(far, 4)
        )),
    };
    finding.remark("indirect test, turns correction left out")
}

fn against(class: &Class) -> Option<Against> {
    let Class::Protection {
        composite,
        low_remanence,
        ..
    } = class
    else {
        return None;
    };
    let row = standards::protection(*composite, *low_remanence)?;
    Some(cited_limit(
        Requirement::at_most(f64::from(row.composite)),
        &row.cited,
    ))
}
