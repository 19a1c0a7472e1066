//! Classes P and PR: composite error at the accuracy limit.

use super::{at_most, impedance, told, volts};
use crate::derive::kinds::protection::limit::Limit;
use crate::document::say;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::protection as rules;
use crate::judge::words;
use crate::standards;
use crate::trade::Class;

pub(super) fn judge(j: &Judging<'_>, limit: &Limit) -> Finding {
    let finding = Finding::new(&rules::COMPOSITE_ERROR, limit.error, unit::PERCENT)
        .under(Condition::Multiple(limit.factor.si))
        .under(impedance(&limit.burden))
        .headline();
    let Some(against) = against(&limit.class) else {
        return finding;
    };
    let (emf, far) = (limit.emf.phasor.si, limit.emf.arithmetic.si);
    let verdict = at_most(j, &limit.error, &against, emf);
    let unity = limit
        .unity
        .as_ref()
        .map(|(_, error)| at_most(j, error, &against, far));
    let arithmetic = say!("{}: {}", volts(far), told(&limit.arithmetic, unit::PERCENT));
    let beside = match unity {
        None => say!("by the arithmetic sum {}", arithmetic),
        Some(unity) if unity == verdict => say!(
            "at unity power factor, as by the arithmetic sum, {}",
            arithmetic
        ),
        Some(unity) => say!(
            "at unity power factor, as by the arithmetic sum, {}: {}; the manufacturer may have chosen it, so the burden's power factor decides",
            arithmetic,
            words::verdict(&unity)
        ),
    };
    finding
        .held(against, verdict)
        .remark(say!("e.m.f. {} by the phasor sum", volts(emf)))
        .remark(beside)
        .remark("indirect test, turns correction left out")
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
    Some(Against::at_most(f64::from(row.composite), &row.cited))
}
