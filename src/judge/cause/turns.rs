//! Why turns ratios are as they are.

use super::evidence::{By, Evidence, Family, Item, Of};
use super::hypothesis::Hypothesis;
use crate::judge::assess::Judging;
use crate::judge::finding::unit;

/// What a turns ratio of a sound core may be off its plate: turns that were taken off, the drop of the exciting
/// current.
const OFF_THE_PLATE: f64 = 0.005;

/// Turns ratios beside the plate.
pub(super) fn families(j: &Judging<'_>) -> Vec<Family> {
    let sound = j.derived.ratio.turns.iter();
    let sound = sound.filter(|one| one.doubtful.is_none());
    let items = sound.filter_map(|one| {
        // The error is that of primary to secondary turns: positive with fewer secondary turns.
        let away = -libm::log1p(one.error.si / 100.0);
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
            u: libm::hypot(OFF_THE_PLATE, read),
            by: By::Plate,
        })
    });
    vec![Family {
        of: Of::Turns,
        items: items.collect(),
        shared: 0.0,
    }]
}

/// All that is known to move turns ratios.
pub(super) fn all(_: &Judging<'_>, _: &Evidence<'_>) -> Vec<Hypothesis> {
    Vec::new()
}
