//! Classes P and PR: composite error at the accuracy limit.

use super::{at_most, impedance, told, volts};
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::limit::Limit;
use crate::document::{Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::Word;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::protection as rules;
use crate::judge::words::{self, brief};
use crate::standards;
use crate::trade::Class;

pub(super) fn judge(j: &Judging<'_>, accuracy: &Accuracy, limit: &Limit) -> Finding {
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
        .held(against, by_this_method(j, accuracy, verdict))
        .remark(say!("e.m.f. {} by the phasor sum", volts(emf)))
        .remark(beside)
        .remark(condition(j, accuracy))
        .remark("turns correction left out")
}

/// Several primary turns, and nothing on the plate proves that the leakage reactance is low all the same.
fn is_unproven(j: &Judging<'_>, accuracy: &Accuracy) -> bool {
    let core = j.case.core(accuracy.pair);
    let proven = core.is_some_and(|core| core.low_leakage.value().is_some());
    j.case.primary_turns() > 1.0 && !proven
}

/// What the indirect test finds too high is too high; what it finds low enough holds only where leakage
/// flux adds nothing to it.
fn by_this_method(j: &Judging<'_>, accuracy: &Accuracy, verdict: Verdict) -> Verdict {
    match verdict {
        Verdict::Word(Word::Pass | Word::ConditionalPass) if is_unproven(j, accuracy) => {
            let needs = "needs the direct test, or proof that the type is of low leakage reactance: `low leakage` in [core]";
            Verdict::NotShown(needs.into())
        }
        verdict => verdict,
    }
}

/// The condition of the indirect test, IEC 61869-2:2012, 7.2.6.203 (from memory), and how far it is met.
fn condition(j: &Judging<'_>, accuracy: &Accuracy) -> Phrase {
    let core = j.case.core(accuracy.pair);
    let proof = core.and_then(|core| core.low_leakage.value());
    let turns = j.case.primary_turns();
    let holds = "indirect test, which holds for a low-leakage-reactance transformer";
    match proof {
        Some(proof) => say!("{}; shown by {}", holds, proof.clone()),
        None if turns > 1.0 => say!(
            "{}; the primary has {} turns, and nothing here shows that it is one",
            holds,
            brief(turns, "")
        ),
        None => say!("{}; taken as one, with one primary turn", holds),
    }
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
