//! What evidence must hold together, however good each part of it is: of a circuit a loop closed from each place where
//! it was read, the unit's own phase, and a current that goes where it is to go; of a demagnetisation its end.

use super::list::Required;
use super::register as the;
use crate::document::{Grade, Phrase, say};
use crate::judge::condition::Condition;
use crate::judge::finding::{Finding, Verdict};
use crate::judge::rules::demagnetisation::{DEMAGNETISATION_END, DEMAGNETISATION_START};
use crate::judge::rules::injection::INJECTION_ERROR;
use crate::judge::rules::load::{LOAD_ANGLE, LOAD_RATIO};
use crate::judge::standing::Told;
use crate::record::Record;
use crate::record::kinds::Test;
use crate::record::phase::Phase;
use crate::trade::mark;

/// What is missing in evidence of which no part is bad.
pub fn lacks(record: &Record, required: &Required, evidence: &[Told<'_>]) -> Option<Phrase> {
    let of = required.requirement;
    let good = |one: &&Told<'_>| one.grade() == Grade::Pass;
    let good: Vec<&Told<'_>> = evidence.iter().filter(good).collect();
    let visit = |one: &Told<'_>| record.visits.get(one.visit);
    let day = evidence
        .last()
        .and_then(visit)
        .map(|visit| visit.date.value);
    let own = day.and_then(|day| record.phase_on(day));
    if *of == the::DEMAGNETISED {
        return unended(evidence);
    }
    if *of == the::LOAD {
        let has = |rule| good.iter().any(|one| one.rule == rule && is_of(own, one));
        let both = has(&LOAD_RATIO) && has(&LOAD_ANGLE);
        return (!both).then(|| match own {
            Some(own) => say!(
                "needs current and angle of {}, this unit's phase, against the primary current",
                own.name()
            ),
            None => "needs current and angle of a phase against the primary current".into(),
        });
    }
    if *of == the::INJECTION {
        let shows = |at: Option<&str>| {
            let mut own_phase = good.iter().filter(|one| one.rule == &INJECTION_ERROR);
            own_phase.any(|one| is_at(one, at) && is_of(own, one))
        };
        let mut devices = evidence.iter().map(|one| device(one));
        let missing = devices.find(|at| !shows(*at))?;
        let at = missing.unwrap_or("the relay or meter").to_owned();
        return Some(match own {
            Some(own) => say!(
                "needs what {} shows of {}, this unit's phase",
                at,
                own.name()
            ),
            None => say!("needs what {} shows of a phase that is fed", at),
        });
    }
    if *of == the::CONTINUITY {
        let closed = |at| {
            let mut there = evidence.iter().filter(|one| is_at(one, at));
            there.any(|one| matches!(one.grade(), Grade::Pass | Grade::Info))
        };
        let mut undecided = evidence.iter().filter(|one| one.grade() == Grade::Open);
        let at = undecided
            .find_map(|one| Some(device(one)).filter(|at| !closed(*at)))?
            .unwrap_or("its other place")
            .to_owned();
        return Some(say!("needs the loop read as closed from {}", at));
    }
    if *of == the::STABILITY {
        let is_through = |one: &&Told<'_>| {
            let test = visit(one).zip(one.section);
            let test = test.and_then(|(visit, section)| visit.tests.get(section));
            let zone = test.and_then(Test::stability);
            zone.is_some_and(|zone| zone.is_through())
        };
        let lacking = !good.iter().any(is_through);
        return lacking
            .then(|| "needs a current through the zone, of load or of primary injection".into());
    }
    None
}

/// What is missing where no demagnetisation is shown to have ended at zero.
fn unended(evidence: &[Told<'_>]) -> Option<Phrase> {
    let ends = || {
        evidence
            .iter()
            .filter(|one| one.rule == &DEMAGNETISATION_END)
    };
    let ended = |start: &&Told<'_>| {
        let own = |end: &Told<'_>| {
            (end.visit, end.section, &end.points_at)
                == (start.visit, start.section, &start.points_at)
        };
        start.rule == &DEMAGNETISATION_START && !ends().any(own)
    };
    let open = ends().find_map(|end| match &end.verdict {
        Verdict::NotShown(needs) => Some(needs.clone()),
        _ => None,
    });
    open.filter(|_| !evidence.iter().any(|one| ended(&one)))
}

/// Whether a reading is of the unit's own phase; where nobody says which that is, of any. A row without a phase
/// is of its own.
fn is_of(own: Option<Phase>, one: &Finding) -> bool {
    let is_other = |phase: Phase| own.map_or(phase == Phase::N, |own| phase != own);
    let mut conditions = one.conditions.iter();
    !conditions.any(|one| matches!(one, Condition::Phase(phase) if is_other(*phase)))
}

/// Whether a reading is of a relay, a meter or another place.
fn is_at(one: &Finding, at: Option<&str>) -> bool {
    match (device(one), at) {
        (Some(own), Some(at)) => mark::is_one(own, at),
        (own, at) => own == at,
    }
}

/// The relay, the meter or another place of a reading.
fn device(one: &Finding) -> Option<&str> {
    one.conditions.iter().find_map(|one| match one {
        Condition::Item(name) => Some(name.as_str()),
        _ => None,
    })
}
