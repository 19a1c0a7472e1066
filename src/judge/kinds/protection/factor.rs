//! The accuracy limit factor that the curve really reaches. Information, not a verdict: with the
//! rated burden it is the class check again, with the connected one the duty decides.

use super::{impedance, ohm};
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::burden::Connected;
use crate::derive::kinds::protection::factor::{Factor, With};
use crate::derive::outcome::Outcome;
use crate::document::{Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Finding, unit};
use crate::judge::rules::protection as rules;
use crate::judge::verdict::{not_judged, reason};
use crate::judge::words::quantity;

pub(super) fn judge(j: &Judging<'_>, accuracy: &Accuracy, factor: &Factor) -> Finding {
    let error = Condition::ErrorOf(100.0 * factor.eps);
    let found = factor.found;
    let mut finding = match &factor.with {
        With::Rated(burden) => Finding::new(&rules::ACTUAL_FACTOR_RATED, found, unit::ONE)
            .under(error)
            .under(impedance(burden)),
        With::Connected(circuit) => {
            let finding = Finding::new(&rules::ACTUAL_FACTOR, found, unit::ONE);
            connected(finding.under(error), circuit).headline()
        }
    };
    if let Outcome::Lacking(why) = found {
        finding = finding.verdict(not_judged(reason(why)));
    }
    if let Some(proportion) = factor.proportion {
        finding = finding.remark(say!(
            "by the textbook proportion {}, an estimate from the rated factor",
            quantity(proportion.si, 3, unit::ONE)
        ));
    }
    let record = j.case.record;
    let in_service = record.pair_in_service(accuracy.pair.core, j.case.visit);
    if in_service.map(|pair| pair.ascending()) == Some(accuracy.pair) {
        finding = finding.remark("tap in service");
    }
    finding
}

fn connected(finding: Finding, circuit: &Connected) -> Finding {
    let va = circuit.va.map_or_else(Phrase::default, |va| {
        say!(", {}", quantity(va.si, 3, unit::VOLT_AMPERE))
    });
    let burden = say!("connected burden {}{}", ohm(circuit.impedance.z), va);
    let finding = finding
        .under(circuit.path.map(Condition::Loop))
        .remark(burden);
    if circuit.impedance.stated {
        return finding;
    }
    finding.remark("no angle was read, so the burden is taken as a resistance")
}
