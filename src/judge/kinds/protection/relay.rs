//! IEEE classes C and T.

use super::{at_most, current, found, held, new, told};
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::relay::Relay;
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Finding, unit};
use crate::judge::kinds::excitation::not_judged;
use crate::judge::say::rounded;
use crate::judge::verdict::cited_limit;
use crate::standards::ieee_relay;

pub(super) fn judge(j: &Judging<'_>, accuracy: &Accuracy, relay: &Relay) -> Finding {
    let class = format!("{}{}", relay.letter, relay.volts);
    let outcome = current(&relay.at);
    let what = format!(
        "exciting current at {} V, class {class}",
        rounded(relay.emf.phasor.si, 4)
    );
    let finding = new(accuracy, "exciting-at-class", what, found(&outcome), unit::AMPERE)
        .headline()
        .remark(format!(
            "20 times rated current through winding and standard burden, by phasors; by the arithmetic sum {} V: {}",
            rounded(relay.emf.arithmetic.si, 4),
            told(&current(&relay.arithmetic), unit::AMPERE)
        ))
        .remark("the class binds the full winding");
    let row = ieee_relay(relay.volts).and_then(|row| row.at_secondary(relay.isr.si));
    let Some(row) = row else { return finding };
    let against = cited_limit(Requirement::at_most(row.exciting_limit_a), &row.cited);
    let verdict = if relay.letter == 'T' {
        not_judged("class T is shown by test only, its leakage flux is not in the curve")
    } else {
        at_most(j, &outcome, &against, relay.emf.phasor.si)
    };
    held(finding, against, verdict)
}
