//! IEEE classes C and T, and what a C class comes to on a tap.

use super::{at_most, current, told, volts};
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::relay::Relay;
use crate::document::{Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::protection as rules;
use crate::judge::verdict::not_judged;
use crate::judge::words::brief;
use crate::standards::{Cited, ieee_relay, threshold};
use crate::trade::{Class, Pair};

pub(super) fn judge(j: &Judging<'_>, accuracy: &Accuracy, relay: &Relay) -> Finding {
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
    let finding = with_given(j, relay, finding);
    let finding = in_service(j, accuracy, finding);
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

/// What the core gives at the exciting current of the class, and what of it is left for the burden.
fn with_given(j: &Judging<'_>, relay: &Relay, finding: Finding) -> Finding {
    let row = ieee_relay(relay.volts).and_then(|row| row.at_secondary(relay.isr.si));
    let (Some(given), Some(row), 'C') = (&relay.given, row, relay.letter) else {
        return finding;
    };
    finding.remark(say!(
        "at {} of exciting current the e.m.f. is {}; of it {} are left at the terminals at {} times rated current, where the class stands for {}",
        brief(given.current.si, unit::AMPERE.word),
        j.number(given.emf, unit::VOLT),
        j.number(given.terminal, unit::VOLT),
        brief(row.multiple, ""),
        brief(row.voltage, unit::VOLT.word)
    ))
}

/// What the class comes to on the tap in service.
fn in_service(j: &Judging<'_>, accuracy: &Accuracy, finding: Finding) -> Finding {
    let tap = j.case.in_service(accuracy.pair.core);
    let Some((pair, tap)) = tap.and_then(|pair| Some((pair, on_tap(j, pair)?))) else {
        return finding;
    };
    let pair = Phrase::terminals(j.case.record.pair_text(pair));
    finding.remark(say!("{} in service: {}", pair, tap.told))
}

/// A C class on a tap that has none of its own.
pub(in crate::judge::kinds) struct OnTap {
    /// Burden that it serves at the multiple of the class, VA.
    pub va: f64,
    pub cited: Cited,
    /// `C400 of the full winding is C200 there, with 2 ohm usable`.
    pub told: Phrase,
}

/// Volts per turn stay, so that the class voltage of a tap, and the burden that it serves, go with its
/// turns. A T class has leakage flux of its own on each tap, and says nothing of them.
pub(in crate::judge::kinds) fn on_tap(j: &Judging<'_>, pair: Pair) -> Option<OnTap> {
    let core = j.case.core(pair)?;
    let full = j.case.full(pair.core)?;
    let Class::IeeeRelay { letter: 'C', volts } = core.class_of(full)? else {
        return None;
    };
    if pair == full || core.class_of(pair).is_some() {
        return None;
    }
    let turns = |pair: Pair| j.case.turns(pair).filter(|turns| *turns > 0.0);
    let row = threshold("ieee-tap-share")?;
    let share = row.limit / 100.0 * turns(pair)? / turns(full)?;
    let secondary = j.case.rated_secondary(pair)?;
    let class = ieee_relay(*volts)?.at_secondary(secondary)?;
    let ohm = share * class.voltage / (class.multiple * secondary);
    let va = ohm * secondary * secondary;
    va.is_finite().then(|| OnTap {
        va,
        cited: row.cited.clone(),
        told: say!(
            "C{} of the full winding is C{} there, with {} usable",
            brief(*volts, ""),
            brief(share * volts, ""),
            brief(ohm, unit::OHM.word)
        ),
    })
}
