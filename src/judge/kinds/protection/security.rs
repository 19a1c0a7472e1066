//! The instrument security factor: at most what the plate states.

use super::{at_most, found, held, new};
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::security::Security;
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Finding, unit};
use crate::judge::kinds::excitation::not_judged;
use crate::judge::say::rounded;
use crate::judge::verdict::plate_limit;

pub(super) fn judge(j: &Judging<'_>, accuracy: &Accuracy, security: &Security) -> Finding {
    let what = format!(
        "instrument security factor at rated burden, {} ohm at {:.2}",
        rounded(security.burden.z.si, 4),
        security.burden.power_factor.si
    );
    let mut finding = new(
        accuracy,
        "security-factor",
        what,
        found(&security.found),
        unit::ONE,
    )
    .headline();
    let core = j.case.core(accuracy.pair);
    let span = core.and_then(|core| core.class.span()).unwrap_or_default();
    let against = plate_limit(
        Requirement::at_most(security.rated.si),
        "instrument security factor",
        span,
    );
    let verdict = if accuracy.other_frequency.is_some() {
        not_judged("a curve of another frequency does not show the security factor")
    } else {
        at_most(j, &security.found, &against, security.emf.phasor.si)
    };
    if let Some(voltage) = security.voltage {
        let side = if voltage.si < security.emf.phasor.si {
            "below"
        } else {
            "not below"
        };
        finding = finding.remark(format!(
            "indirect test: the exciting current is 10 % of {} times rated current at {} V, {side} {} V",
            rounded(security.rated.si, 2),
            rounded(voltage.si, 4),
            rounded(security.emf.phasor.si, 4)
        ));
    }
    held(finding, against, verdict)
}
