//! The instrument security factor: at most what the plate states.

use super::{at_most, impedance, volts};
use crate::derive::kinds::protection::Accuracy;
use crate::derive::kinds::protection::security::Security;
use crate::derive::kinds::resistance::From;
use crate::document::{Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::decision::Word;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::protection as rules;
use crate::judge::verdict::{not_judged, plate};
use crate::judge::words::{brief, quantity};
use crate::standards::threshold;

pub(super) fn judge(j: &Judging<'_>, accuracy: &Accuracy, security: &Security) -> Finding {
    let emf = security.emf.phasor.si;
    let finding = Finding::new(&rules::SECURITY_FACTOR, security.found, unit::ONE)
        .under(impedance(&security.burden))
        .headline();
    let core = j.case.core(accuracy.pair);
    let span = core.and_then(|core| core.class.span()).unwrap_or_default();
    let against = Against::at_most(security.rated.si, &plate("instrument security factor"));
    let against = against.stated_at(span);
    let verdict = if accuracy.other_frequency.is_some() {
        not_judged("a curve of another frequency does not show the security factor")
    } else {
        let found = at_most(j, &security.found, &against, emf);
        // With more resistance in the loop the core saturates earlier: what passes with the leads may fail without.
        let with_leads = matches!(accuracy.rct, Some((_, From::WithLeads)));
        match found {
            Verdict::Word(Word::Pass | Word::ConditionalPass) if with_leads => not_judged(
                "the leads may be in the winding resistance, and with them a security factor is too low",
            ),
            found => found,
        }
    };
    let finding = finding.held(against, verdict);
    let Some(voltage) = security.voltage else {
        return finding;
    };
    let side = if voltage.si < emf {
        "below"
    } else {
        "not below"
    };
    let share = threshold("iec-instrument-security");
    let share = share.map_or_else(Phrase::default, |row| brief(row.limit, "%").into());
    finding.remark(say!(
        "indirect test: the exciting current is {} of {} times rated current at {}, {} {}",
        share,
        quantity(security.rated.si, 2, unit::ONE),
        volts(voltage.si),
        side,
        volts(emf)
    ))
}
