//! What evidence must hold together, however good each part of it is: of a circuit a loop closed from each place where
//! it was read, the unit's own phase, each relay and meter of the core, and a current that goes where it is to go; of a
//! demagnetisation its end.

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
use crate::record::visit::Visit;
use crate::trade::mark;

/// What is missing in evidence of which no part is bad, of visits that answer together.
pub fn lacks(
    record: &Record,
    visits: &[usize],
    required: &Required,
    evidence: &[Told<'_>],
) -> Option<Phrase> {
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
    let together = || visits.iter().filter_map(|index| record.visits.get(*index));
    if *of == the::RATIO_SETTING {
        let is_set = |at: &&str| good.iter().any(|one| is_at(one, Some(*at)));
        let all = devices(together(), required.core);
        let read = read_on_load(record, visits, required.core);
        let at = all.chain(read).find(|at| !is_set(at))?;
        return Some(say!("needs the ratio that {} is set to", at.to_owned()));
    }
    if *of == the::LOAD {
        let has = |rule| good.iter().any(|one| one.rule == rule && is_of(own, one));
        let both = has(&LOAD_RATIO) && has(&LOAD_ANGLE);
        if both {
            let elsewhere = own.and_then(|own| unread(own, &good));
            return elsewhere.or_else(|| undirected(together(), own, &good));
        }
        let odd = day.and_then(|day| record.odd_phase_on(day));
        return Some(match (own, odd) {
            (Some(own), _) => say!(
                "needs current and angle of {}, this unit's phase, against the primary current",
                own.name()
            ),
            (None, Some(odd)) if evidence.iter().any(|one| phase(one).is_some()) => say!(
                "the phase of this unit, `{}`, is none of {}",
                odd.to_owned(),
                <Phase as strum::VariantNames>::VARIANTS.join(", ")
            ),
            (None, _) => "needs current and angle of a phase against the primary current".into(),
        });
    }
    if *of == the::INJECTION {
        let shows = |at: Option<&str>| {
            let mut own_phase = good.iter().filter(|one| one.rule == &INJECTION_ERROR);
            own_phase.any(|one| is_at(one, at) && is_of(own, one))
        };
        let read = evidence.iter().map(|one| device(one));
        let others = devices(together(), required.core);
        let others = others.chain(read_on_load(record, visits, required.core));
        let others = others.map(Some);
        let missing = read.chain(others).find(|at| !shows(*at))?;
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
        let is_through = |one: &&&Told<'_>| {
            let test = visit(one).zip(one.section);
            let test = test.and_then(|(visit, section)| visit.tests.get(section));
            let zone = test.and_then(Test::stability);
            zone.is_some_and(|zone| zone.is_through())
        };
        let mut through = good.iter().filter(is_through).peekable();
        if through.peek().is_none() {
            return Some(
                "needs a current through the zone, of load or of primary injection".into(),
            );
        }
        // A zone that has one quantity for all phases shows each of them.
        let is_own =
            |one: &&Told<'_>, own| matches!(phase(one), Some(at) if at == own || at == Phase::N);
        let own = own.filter(|own| !through.any(|one| is_own(one, *own)))?;
        return Some(say!(
            "needs operating and restraining current of {}, this unit's phase",
            own.name()
        ));
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

/// The relays and meters that some visits set, feed or read a zone with on a core, in the order in which they stand. A
/// current on load is read at terminals and in boxes too, so that it makes no device of what it is read at.
fn devices<'r>(
    visits: impl Iterator<Item = &'r Visit>,
    core: Option<usize>,
) -> impl Iterator<Item = &'r str> {
    let of_visit = |visit: &'r Visit| {
        let set = visit
            .of(Test::ratio_setting)
            .flat_map(|(_, _, body)| &body.rows);
        let set = set.map(|row| (row.core, &row.at));
        let fed = visit
            .of(Test::injection)
            .flat_map(|(_, _, body)| &body.rows);
        let fed = fed.map(|row| (row.core, &row.at));
        let zone = visit
            .of(Test::stability)
            .flat_map(|(_, _, body)| &body.rows);
        let zone = zone.map(|row| (row.core, &row.at));
        set.chain(fed).chain(zone)
    };
    let all = visits.flat_map(of_visit).filter(move |(of, _)| *of == core);
    let all = all.filter_map(|(_, at)| at.value());
    all.map(|at| at.trim_matches([' ', '\t']))
        .filter(|at| !matches!(*at, "" | "-"))
}

/// What visits read a load of a core at, where the record names it as a relay or meter of that core: by an earlier row of
/// its setting, of what was fed into it, or of a zone, or as the zone of the duty that holds.
fn read_on_load<'r>(
    record: &'r Record,
    visits: &'r [usize],
    core: Option<usize>,
) -> impl Iterator<Item = &'r str> {
    let until = visits.last().map_or(0, |last| last + 1);
    let last = visits.last().and_then(|last| record.visits.get(*last));
    let duty = core.zip(last);
    let duty = duty.and_then(|(core, last)| record.duty_on(core, last.date.value));
    let zone = duty.and_then(|duty| duty.zone.value());
    let named = devices(record.visits.iter().take(until), core);
    let mut named: Vec<&str> = named.chain(zone.map(String::as_str)).collect();
    named.sort_by(|one, other| mark::order(one, other));
    let is_device = move |at: &&str| {
        let found = named.binary_search_by(|one| mark::order(one, at));
        found.is_ok()
    };
    let together = visits.iter().filter_map(|index| record.visits.get(*index));
    let rows = together.flat_map(|visit| visit.of(Test::load));
    let rows = rows.flat_map(|(_, _, load)| &load.rows);
    let own = rows.filter(move |row| row.core == core);
    own.filter_map(|row| row.at.value())
        .map(String::as_str)
        .filter(is_device)
}

/// Whether a reading that shows nothing is answered by a good one of the same device: of its phase, or on load of this
/// unit's, which is the one that is asked for. A phase that was fed is to be read.
pub fn is_answered(record: &Record, required: &Required, one: &Told<'_>, all: &[Told<'_>]) -> bool {
    let of_service = [&the::LOAD, &the::INJECTION, &the::STABILITY];
    if !of_service.contains(&required.requirement) || !matches!(one.verdict, Verdict::NotShown(_)) {
        return false;
    }
    let own = |other: &Told<'_>| {
        let day = record.visits.get(other.visit)?.date.value;
        record
            .phase_on(day)
            .filter(|own| phase(other) == Some(*own))
    };
    all.iter().any(|other| {
        let same = other.rule == one.rule || other.rule == &LOAD_RATIO;
        let good = same && other.grade() == Grade::Pass;
        let there = device(one).is_none() || is_at(other, device(one));
        let fed = required.requirement == &the::INJECTION;
        good && there && (phase(other) == phase(one) || !fed && own(other).is_some())
    })
}

/// A device that shows currents on load of other phases, and none of this unit's own.
fn unread(own: Phase, good: &[&Told<'_>]) -> Option<Phrase> {
    let currents = || good.iter().filter(|one| one.rule == &LOAD_RATIO);
    let by_mark = |one: &Option<&str>, other: &Option<&str>| {
        mark::order(one.unwrap_or_default(), other.unwrap_or_default())
    };
    let of_own = currents().filter(|one| is_of(Some(own), one));
    let mut of_own: Vec<Option<&str>> = of_own.map(|one| device(one)).collect();
    of_own.sort_by(by_mark);
    let shows_own = |at: Option<&str>| of_own.binary_search_by(|one| by_mark(one, &at)).is_ok();
    let at = currents()
        .map(|one| device(one))
        .find(|at| !shows_own(*at))?;
    Some(say!(
        "needs what {} shows of {}, this unit's phase",
        at.unwrap_or("the relay or meter").to_owned(),
        own.name()
    ))
}

/// A device that shows a current on load of this unit's phase, and not which way it goes, without a word why.
fn undirected<'r>(
    visits: impl Iterator<Item = &'r Visit> + Clone,
    own: Option<Phase>,
    good: &[&Told<'_>],
) -> Option<Phrase> {
    let currents = good
        .iter()
        .filter(|one| one.rule == &LOAD_RATIO && is_of(own, one));
    let turned = |at: Option<&str>, core| {
        let mut angles = good
            .iter()
            .filter(|one| one.rule == &LOAD_ANGLE && is_of(own, one));
        angles.any(|one| is_at(one, at) && one.core == core)
    };
    let says_why = |at: Option<&str>, core| {
        let rows = visits.clone().flat_map(|visit| visit.of(Test::load));
        let mut rows = rows.flat_map(|(_, _, load)| &load.rows);
        rows.any(|row| {
            let here = row.core == core && is_same_mark(row.at.value().map(String::as_str), at);
            let here = here && is_own(own, row.phase.value().copied());
            here && row.angle.is_missing() && row.remark.value().is_some_and(|why| !why.is_empty())
        })
    };
    let mut currents = currents.map(|one| (device(one), one.core));
    let (at, _) = currents.find(|(at, core)| !turned(*at, *core) && !says_why(*at, *core))?;
    Some(say!(
        "needs the angle of {}, or why it shows none",
        at.unwrap_or("the relay or meter").to_owned()
    ))
}

/// Whether a reading is of the unit's own phase; where nobody says which that is, of any. A row without a phase
/// is of its own.
fn is_of(own: Option<Phase>, one: &Finding) -> bool {
    is_own(own, phase(one))
}

fn is_own(own: Option<Phase>, phase: Option<Phase>) -> bool {
    let is_other = |phase: Phase| own.map_or(phase == Phase::N, |own| phase != own);
    !phase.is_some_and(is_other)
}

/// The phase that the row of a reading names.
fn phase(one: &Finding) -> Option<Phase> {
    one.conditions.iter().find_map(|one| match one {
        Condition::Phase(phase) => Some(*phase),
        _ => None,
    })
}

/// Whether a reading is of a relay, a meter or another place.
fn is_at(one: &Finding, at: Option<&str>) -> bool {
    is_same_mark(device(one), at)
}

fn is_same_mark(one: Option<&str>, other: Option<&str>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => mark::is_one(one, other),
        (one, other) => one == other,
    }
}

/// The relay, the meter or another place of a reading.
fn device(one: &Finding) -> Option<&str> {
    one.conditions.iter().find_map(|one| match one {
        Condition::Item(name) => Some(name.as_str()),
        _ => None,
    })
}
