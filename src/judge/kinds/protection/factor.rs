//! The accuracy limit factor that the curve really reaches. Information, not a verdict: with the
//! rated burden it is the class check again, with the connected one the duty decides.

use super::{found, new};
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::factor::{Factor, With};
use crate::derive::outcome::Outcome;
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, Verdict, Whose, unit};
use crate::judge::kinds::excitation::{not_judged, reason};
use crate::judge::say::rounded;

pub(super) fn judge(j: &Judging<'_>, accuracy: &Accuracy, factor: &Factor) -> Finding {
    let percent = 100.0 * factor.eps;
    let mut finding = match &factor.with {
        With::Rated(burden) => {
            let what = format!(
                "actual accuracy limit factor ({percent} %) at rated burden, {} ohm at {:.2}",
                rounded(burden.z.si, 4),
                burden.power_factor.si
            );
            new(
                accuracy,
                "actual-factor-rated",
                what,
                found(&factor.found),
                unit::ONE,
            )
        }
        With::Connected(circuit) => {
            let va = circuit
                .va
                .map(|va| format!(" ({} VA)", rounded(va.si, 3)))
                .unwrap_or_default();
            let path = if circuit.path.is_empty() {
                String::new()
            } else {
                format!(", {}", circuit.path)
            };
            let what = format!(
                "actual accuracy limit factor ({percent} %) at the connected burden, {} ohm{va}{path}",
                rounded(circuit.impedance.z.si, 4)
            );
            let mut finding = new(
                accuracy,
                "actual-factor",
                what,
                found(&factor.found),
                unit::ONE,
            )
            .headline();
            finding.whose = Whose::Circuit;
            if !circuit.impedance.stated {
                finding =
                    finding.remark("no angle was read, so the burden is taken as a resistance");
            }
            finding
        }
    };
    finding.verdict = match factor.found {
        Outcome::Lacking(why) => not_judged(reason(why)),
        _ => Verdict::NoLimit,
    };
    if let Some(proportion) = factor.proportion {
        finding = finding.remark(format!(
            "by the textbook proportion {}, an estimate from the rated factor",
            rounded(proportion.si, 3)
        ));
    }
    let in_service = j
        .case
        .record
        .pair_in_service(accuracy.pair.core, j.case.visit)
        .map(|pair| pair.ascending());
    if in_service == Some(accuracy.pair) {
        finding.remark("tap in service")
    } else {
        finding
    }
}
