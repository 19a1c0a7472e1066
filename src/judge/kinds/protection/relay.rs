//! IEEE classes C and T.

use super::{at_most, current, told, volts};
use crate::derive::kinds::protection::relay::Relay;
use crate::document::{Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::protection as rules;
use crate::judge::verdict::not_judged;
use crate::judge::words::brief;
use crate::standards::ieee_relay;

pub(super) fn judge(j: &Judging<'_>, relay: &Relay) -> Finding {
    let outcome = current(&relay.at);
    let class = ieee_relay(relay.volts);
    let multiple = class.map_or_else(Phrase::default, |row| brief(row.multiple, "").into());
    let (emf, far) = (relay.emf.phasor.si, relay.emf.arithmetic.si);
    let finding = Finding::new(&rules::EXCITING_AT_CLASS, outcome, unit::AMPERE)
        .under(Condition::Class(format!("{}{}", relay.letter, relay.volts)))
        .headline()
        .remark(say!(
            "e.m.f. {}: {} times rated current through winding and standard burden, by phasors; by the arithmetic sum {}: {}",
            volts(emf),
            multiple,
            volts(far),
            told(&current(&relay.arithmetic), unit::AMPERE)
        ))
        .remark("the class binds the full winding");
    let row = class.and_then(|row| row.at_secondary(relay.isr.si));
    let Some(row) = row else { return finding };
    let against = Against::at_most(row.exciting_limit_a, &row.cited);
    let verdict = if relay.letter == 'T' {
        not_judged("class T is shown by test only, its leakage flux is not in the curve")
    } else {
        at_most(j, &outcome, &against, emf)
    };
    finding.held(against, verdict)
}
