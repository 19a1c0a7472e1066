//! Turns ratios beside the plate and an earlier visit, and polarities beside the marks.

use crate::derive::kinds::ratio::Turns;
use crate::judge::assess::Judging;
use crate::judge::cause::evidence::{By, Family, Item, Of};
use crate::judge::cause::resistance::by_visit;
use crate::judge::finding::unit;

/// What a turns ratio of a sound core may be off its plate: turns that were taken off, the drop of the exciting
/// current.
const OFF_THE_PLATE: f64 = 0.005;
/// Between two visits the turns are the same; what is left is the drop of the exciting current.
const BETWEEN_VISITS: f64 = 0.002;
/// A polarity that was read the wrong way round: about 1 in 250 for each reading, a convention of this project.
const READ_WRONG: f64 = 0.3;

pub(in crate::judge::cause) fn families(j: &Judging<'_>) -> Vec<Family> {
    let mut all = vec![
        by_plate(j),
        before(j),
        polarity(j),
        super::errors::family(j),
    ];
    all.extend(super::by_current::families(j));
    all
}

/// ln of the turns ratio over what is rated. The error is that of primary to secondary turns: positive with
/// fewer secondary turns.
fn off(one: &Turns) -> f64 {
    -libm::log1p(one.error.si / 100.0)
}

fn item(j: &Judging<'_>, one: &Turns, away: f64, scatter: f64, by: By) -> Option<Item> {
    let u = j.w.uncertainty(one.error);
    let read = if u.known { u.u / 100.0 } else { 0.002 };
    away.is_finite().then(|| Item {
        pair: one.pair,
        section: one.test,
        at: one.readings.clone(),
        observed: one.ratio.si,
        expected: one.ratio.si * libm::exp(-away),
        unit: unit::ONE,
        away,
        u: libm::hypot(scatter, read),
        by,
    })
}

fn by_plate(j: &Judging<'_>) -> Family {
    let sound = j.derived.ratio.turns.iter();
    let sound = sound.filter(|one| one.doubtful.is_none());
    let items = sound.filter_map(|one| item(j, one, off(one), OFF_THE_PLATE, By::Plate));
    Family {
        of: Of::Turns,
        items: items.collect(),
        shared: 0.0,
    }
}

/// Beside the last earlier visit that read the same pair, links and passes of both taken off.
fn before(j: &Judging<'_>) -> Family {
    let sound = |one: &&Turns| one.doubtful.is_none();
    let now = j.derived.ratio.turns.iter().filter(sound);
    let items = now.filter_map(|one| {
        let visits = j.earlier_visits().rev();
        let mut then = visits.filter_map(|(visit, assessed)| {
            let turns = assessed.derived.ratio.turns.iter().filter(sound);
            let mut same = turns.filter(|then| then.pair == one.pair);
            Some((visit, off(same.next()?)))
        });
        let (visit, then) = then.next()?;
        item(j, one, off(one) - then, BETWEEN_VISITS, by_visit(visit))
    });
    Family {
        of: Of::Turns,
        items: items.collect(),
        shared: 0.0,
    }
}

/// Polarities: 1 away where it is reversed. Those of inputs stand by themselves, since one of several may be
/// reversed alone.
fn polarity(j: &Judging<'_>) -> Family {
    let sound = j.derived.polarity.iter();
    let sound = sound.filter(|one| one.doubtful.is_none() && one.fed.is_none());
    let items = sound.filter_map(|one| {
        let away = if one.as_marked? { 0.0 } else { 1.0 };
        Some(Item {
            pair: one.pair,
            section: one.test,
            at: one.readings.clone(),
            observed: 1.0 - 2.0 * away,
            expected: 1.0,
            unit: unit::ONE,
            away,
            u: READ_WRONG,
            by: By::Plate,
        })
    });
    Family {
        of: Of::Polarity,
        items: items.collect(),
        shared: 0.0,
    }
}
