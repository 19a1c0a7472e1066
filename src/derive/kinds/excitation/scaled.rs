//! A curve taken on one pair as it would be on another pair of the same core.

use super::emf::Taken;
use super::{Excited, made};
use crate::derive::curve::{Curve, Point};
use crate::derive::deriving::Deriving;
use crate::derive::excitation::{CURRENT_BY_TURNS, VOLTAGE_BY_TURNS};
use crate::derive::workings::{Value, Workings};
use crate::trade::Pair;

/// The curve on every other pair that is declared, in service, or the whole winding.
pub(super) fn all(d: &mut Deriving<'_>, driven: &Excited) -> Vec<Excited> {
    let core = driven.pair.core;
    let duty = d.record.duty_on(core, d.visit.date.value);
    let duty = duty.and_then(|duty| duty.tap);
    let mut pairs: Vec<Pair> = d.full(core).into_iter().collect();
    pairs.extend(d.taps(core));
    pairs.extend(d.in_service(core));
    pairs.extend(duty.map(|tap| tap.value.ascending()));
    pairs.sort_unstable();
    pairs.dedup();
    pairs.retain(|pair| *pair != driven.pair && pair.core == core);
    let pairs = pairs.into_iter();
    pairs.filter_map(|pair| to(d, driven, pair)).collect()
}

fn to(d: &mut Deriving<'_>, driven: &Excited, pair: Pair) -> Option<Excited> {
    let curve = driven.curve.as_ref()?;
    let turns = [d.turns_of(pair)?, d.turns_of(driven.pair)?];
    let peaks = driven.peaks.as_ref();
    // The curve has its points in order of voltage, so its rows are put into that order too.
    let rows = curve.points().iter();
    let rows = rows.filter_map(|point| driven.rows.get(point.at));
    let taken = Taken {
        points: scaled(d.w, curve, turns)?,
        peaks: peaks
            .and_then(|peaks| scaled(d.w, peaks, turns))
            .unwrap_or_default(),
        rows: rows.copied().collect(),
        by: driven.emf,
        other_frequency: driven.other_frequency,
        highest: None,
        no_curve: None,
    };
    let at = (driven.test, pair);
    let made = made(d.w, at, Some(driven.pair), taken, driven.doubtful);
    Some(Excited {
        with_burden: driven.with_burden,
        ..made
    })
}

fn scaled(w: &mut Workings, curve: &Curve, [n, m]: [Value; 2]) -> Option<Vec<(Value, Value)>> {
    let one = |point: &Point| {
        let v = w.step(&VOLTAGE_BY_TURNS, [point.v, n, m])?;
        Some((v, w.step(&CURRENT_BY_TURNS, [point.i, n, m])?))
    };
    curve.points().iter().map(one).collect()
}

/// The voltage across the whole winding while a part of it was driven to its highest reading.
pub(super) fn open_terminals(d: &mut Deriving<'_>, driven: &Excited) -> Option<Value> {
    let full = d.full(driven.pair.core);
    let full = full.filter(|full| *full != driven.pair)?;
    let highest = driven.highest?;
    let (n, m) = (d.turns_of(full)?, d.turns_of(driven.pair)?);
    let what = "voltage across the whole winding";
    d.w.step_as(what, &VOLTAGE_BY_TURNS, [highest, n, m])
}
