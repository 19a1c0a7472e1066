//! Current on load: as read, and against the primary current where another measurement gave it: how much it
//! is, and which way it goes. An angle whose reference is not stated shows nothing.

mod links;
mod three;

use super::in_service::is_thousandfold;
use super::text;
use crate::derive::kinds::load::{OnLoad, Turned, Undriven, primary_of};
use crate::derive::workings::Value;
use crate::document::{self, Grade, Phrase, say};
use crate::ground::quantity::Quantity;
use crate::judge::assess::Judging;
use crate::judge::decision::Word;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::Rule;
use crate::judge::rules::load as rules;
use crate::judge::words::quantity;
use crate::record::criteria::Criteria;
use crate::record::kinds::Test;
use crate::record::kinds::load::{Load, LoadRow};
use crate::record::phase::Phase;
use crate::standards::{Cited, Threshold, threshold};
use std::f64::consts::PI;

/// Shows all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for (index, test, load) in j.case.visit.of(Test::load) {
        let mut found = Vec::new();
        for (place, row) in load.rows.iter().enumerate() {
            found.extend(observed(j, load, row).map(|one| one.within(index, row.core, row.span)));
            let mut ratios = j.derived.load.ratios.iter();
            let ratio = ratios.find(|one| one.test == index && one.row == place);
            found.extend(match ratio {
                Some(one) => against_primary(j, one, row),
                None => lacking(j, load, row).map(|one| one.within(index, row.core, row.span)),
            });
            let mut turned = j.derived.load.turned.iter();
            let turned = turned.find(|one| one.test == index && one.row == place);
            let driven = ratio.and_then(|one| one.share).map(|share| share.si);
            let direction = turned.and_then(|one| direction(j, load, one, row));
            // What drives it tells more than what arrived.
            found.extend(direction.map(|one| match driven {
                Some(share) => one.at_current(Some(share)),
                None => one,
            }));
            let mut unfed = j.derived.load.unfed.iter();
            let unfed = unfed.find(|one| one.test == index && one.row == place);
            found.extend(unfed.and_then(|one| undriven(j, one, row)));
        }
        found.extend(links::judge(j, index, load, &found));
        let three = j.derived.load.three.iter().filter(|one| one.test == index);
        found.extend(three.flat_map(|one| three::judge(j, load, one)));
        out.extend(
            found
                .into_iter()
                .map(|finding| finding.withheld(test.doubtful)),
        );
    }
}

/// What a tap, a ratio or a second path makes of a current is far more than a clamp meter errs.
fn against_primary(j: &Judging<'_>, one: &OnLoad, row: &LoadRow) -> Option<Finding> {
    let (near, far) = (threshold("load-differs")?, threshold("load-fails")?);
    let begun = |rule: &'static Rule| {
        Finding::new(rule, one.deviation, unit::PERCENT)
            .at(one.test, one.pair, one.readings.clone())
            .of_row(&row.at, &row.remark)
            .of_phase(&row.phase)
            .at_current(one.share.map(|share| share.si))
    };
    if is_thousandfold(1.0 + one.deviation.si / 100.0, &row.current) {
        let slip = begun(&rules::LOAD_SLIP).graded(Grade::Review);
        return Some(slip.remark("a slip of the unit?"));
    }
    let expected = quantity(one.expected.si, 3, unit::AMPERE);
    let finding = begun(&rules::LOAD_RATIO).remark(say!("{} by the rated ratio", expected));
    let against = |row: &Threshold| Against::within(row.limit, &row.cited);
    let of_job = j.case.criteria.service.current_error.map(|limit| {
        let what = "deviation of a current on load";
        Against::within(limit, &Criteria::own("service-current-error", what))
    });
    let share = one.share.map(|share| share.si);
    Some(finding.unless_small(share, |finding| {
        let judged = match of_job {
            Some(limit) => finding.headline().against(j, limit.no_wider()),
            None => {
                let held = finding
                    .clone()
                    .headline()
                    .against(j, against(far).no_wider());
                match held.fails() {
                    true => held,
                    false => finding.for_review(j, against(near)),
                }
            }
        };
        match nearer(j, one) {
            Some(other) if judged.fails() => judged.remark(other),
            Some(other) => judged.graded(Grade::Review).remark(other),
            None => judged,
        }
    }))
}

/// Another ratio of the core that the current fits better than the one in service, by more than its uncertainty.
fn nearer(j: &Judging<'_>, one: &OnLoad) -> Option<Phrase> {
    let core = one.pair.core;
    let (pair, ratio) = j.serving(core).ok()?;
    let known = j.case.record.cores.get(core)?;
    let scale = ratio / known.nominal_ratio(pair.from, pair.to)?;
    let others = j.case.taps(core).chain(j.case.full(core));
    // The deviation that the other ratio would show.
    let others = others.filter_map(|other| {
        let other_ratio = known.nominal_ratio(other.from, other.to)? * scale;
        Some((other, other_ratio, 100.0 * (ratio / other_ratio - 1.0)))
    });
    let off = |at: f64| (one.deviation.si - at).abs();
    let (other, other_ratio, at) = others.min_by(|a, b| off(a.2).total_cmp(&off(b.2)))?;
    let half = Against::within(at.abs() / 2.0, &threshold("load-differs")?.cited);
    let beyond = j.hold(one.deviation, &half) == Verdict::Word(Word::Fail);
    let name = Phrase::terminals(j.case.record.pair_text(other));
    let fits = beyond && off(at) < at.abs() / 2.0;
    fits.then(|| say!("nearer to {} of {}", j.rated(other, other_ratio), name))
}

/// A current that nothing shows to be the right one. The neutral is held against the phases; a phase that no
/// source drives, against nothing.
fn lacking(j: &Judging<'_>, load: &Load, row: &LoadRow) -> Option<Finding> {
    row.current.value()?;
    let (own, phase) = (j.case.phase(), row.phase.value().copied());
    let injected = load.is_injected() && !matches!(phase, None | Some(Phase::N));
    let of_others = match load.is_injected() {
        true => injected && own.is_some() && phase != own,
        // Between the neutral of a transformer and earth it is the neutral that the primary current goes through.
        false => (phase == Some(Phase::N)) != (own == Some(Phase::N) && phase.is_some()),
    };
    let given = [&load.primary_current, &row.primary];
    let misread = row.phase.is_unreadable() || given.iter().any(|given| given.is_unreadable());
    if misread || of_others {
        return None;
    }
    let needs = match j.serving(row.core?) {
        Err(needs) => needs,
        Ok(_) if primary_of(load, row, own).is_some() => "needs a value, not a bound".into(),
        Ok(_) if injected && own.is_none() => {
            "needs the phase of this unit, or the primary current of the row".into()
        }
        Ok(_) => "needs the primary current by another measurement".into(),
    };
    let finding = Finding::without(&rules::LOAD_RATIO, unit::PERCENT).needs(needs);
    Some(finding.of_row(&row.at, &row.remark).of_phase(&row.phase))
}

/// How far an angle on load may be off: the job's figure, else that of common practice, radian.
fn angle_limit(j: &Judging<'_>) -> Option<(f64, Against)> {
    let of_job = j.case.criteria.service.angle_error.map(|limit| {
        let cited = Criteria::own("service-angle-error", "error of an angle on load");
        (limit, Against::within(limit, &cited))
    });
    of_job.or_else(|| {
        let row = threshold("load-angle")?;
        let limit = row.limit.to_radians();
        Some((limit, Against::within(limit, &row.cited)))
    })
}

/// Whether an angle is another one but for so much, and its uncertainty leaves no doubt of it; radian, within
/// half a turn either way.
fn is_at(j: &Judging<'_>, angle: Value, other: f64, limit: f64, cited: &Cited) -> bool {
    let about = if other.abs() >= PI {
        Against {
            magnitude: true,
            ..Against::at_least(PI - limit, cited)
        }
    } else {
        Against::between(other - limit, other + limit, cited)
    };
    matches!(
        j.hold(angle, &about),
        Verdict::Word(Word::Pass | Word::ConditionalPass)
    )
}

/// Of this unit's own phase: with the primary current, or against it.
fn direction(j: &Judging<'_>, load: &Load, one: &Turned, row: &LoadRow) -> Option<Finding> {
    let (limit, against) = angle_limit(j)?;
    let finding = Finding::new(&rules::LOAD_ANGLE, one.off, unit::DEGREE)
        .at(one.test, one.pair, one.readings.clone())
        .of_row(&row.at, &row.remark)
        .of_phase(&row.phase)
        .at_current(one.share.map(|share| share.si))
        .headline();
    let reference = text(&load.angles_against);
    if reference.is_empty() {
        return Some(finding.needs("needs what the angles are against"));
    }
    let share = one.share.map(|share| share.si);
    Some(finding.unless_small(share, |finding| {
        let is_turned = is_at(j, one.off, PI, limit, &against.cited);
        let held = finding.clone().against(j, against.clone().no_wider());
        match (held.fails(), beside(j, one, row, load, (limit, &against.cited))) {
            (true, Some(other)) if is_turned => held.remark(say!(
                "as if turned round; at {} the same core reads the right way, so not by its star point, or P1 and P2",
                other.to_owned()
            )),
            (true, None) if is_turned => {
                held.remark("as if turned round: star point, terminals, or P1 and P2")
            }
            (true, _) => finding.beyond(against),
            (false, _) => held,
        }
    }))
}

/// Of a phase that the source does not drive: it shows nothing, but for the noise of the input.
fn undriven(j: &Judging<'_>, one: &Undriven, row: &LoadRow) -> Option<Finding> {
    let finding = Finding::without(&rules::LOAD_UNFED, unit::PERCENT)
        .at(one.test, one.pair, one.readings.clone())
        .of_row(&row.at, &row.remark)
        .of_phase(&row.phase);
    finding.quiet(j, one.share)
}

/// Another relay or meter of the same core and phase that reads with the primary current: all of a circuit carry one.
fn beside<'r>(
    j: &Judging<'_>,
    one: &Turned,
    row: &LoadRow,
    load: &'r Load,
    (limit, cited): (f64, &Cited),
) -> Option<&'r str> {
    let mut others = j.derived.load.turned.iter().filter(|other| {
        other.test == one.test && other.row != one.row && other.pair.core == one.pair.core
    });
    others.find_map(|other| {
        let there = load.rows.get(other.row)?;
        let same = there.phase.value() == row.phase.value();
        let right = same && is_at(j, other.off, 0.0, limit, cited);
        Some(text(&there.at)).filter(|at| right && !at.is_empty())
    })
}

fn observed(j: &Judging<'_>, load: &Load, row: &LoadRow) -> Option<Finding> {
    let current = as_written(row.current.value()?);
    let observed = match row.angle.value() {
        Some(angle) => say!("{} at {}", current, as_written(angle)),
        None => Phrase::from(current),
    };
    let finding = Finding::observation(&rules::LOAD_CURRENT, observed, Grade::Info)
        .of_row(&row.at, &row.remark)
        .of_phase(&row.phase);
    Some(match primary_of(load, row, j.case.phase()) {
        Some(primary) => finding.remark(say!("primary current {}", as_written(&primary.value))),
        None => finding,
    })
}

fn as_written(quantity: &Quantity) -> document::Quantity {
    document::Quantity::new(quantity.written_number(), &quantity.unit.word)
}

#[cfg(test)]
mod tests;
