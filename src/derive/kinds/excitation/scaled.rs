//! A curve taken on one pair as it would be on another pair of the same core.

use super::{Excited, made};
use crate::derive::case::Case;
use crate::derive::curve::Curve;
use crate::derive::excitation::on_full_winding;
use crate::derive::formula::formulas;
use crate::derive::formula::{Symbol, symbol};
use crate::derive::input;
use crate::derive::workings::{Value, Workings};
use crate::trade::Pair;

const TO: Symbol = symbol("n", "", "turns of the pair");
const FROM: Symbol = symbol("m", "", "turns of the driven pair");

formulas! {
    static VOLTAGE = "tap-voltage", "voltage on another pair of the winding":
        "V*n/m" ("V") of [symbol("V", "V", "voltage on the driven pair"), TO, FROM],
        |[v, n, m]| v * n / m, "volts per turn are the same in evenly spread turns";

    static CURRENT = "tap-current", "exciting current on another pair of the winding":
        "I*m/n" ("A") of [symbol("I", "A", "exciting current of the driven pair"), TO, FROM],
        |[i, n, m]| i * m / n, "ampere-turns are the same in evenly spread turns";
}

/// The curve on every other pair that is declared, in service, or the whole winding.
pub(super) fn all(case: &Case<'_>, w: &mut Workings, driven: &Excited) -> Vec<Excited> {
    if driven.curve.is_none() {
        return Vec::new();
    }
    let pairs = wanted(case, driven.pair);
    pairs
        .into_iter()
        .filter_map(|pair| to(case, w, driven, pair))
        .collect()
}

fn wanted(case: &Case<'_>, driven: Pair) -> Vec<Pair> {
    let Some(core) = case.core(driven) else {
        return Vec::new();
    };
    let declared = core.taps.iter().map(|tap| Pair {
        core: driven.core,
        from: tap.from,
        to: tap.to,
    });
    let in_service = case
        .record
        .pair_in_service(driven.core, case.visit)
        .map(Pair::ascending);
    let duty = case
        .record
        .duty_on(driven.core, case.visit.date.value)
        .and_then(|duty| duty.tap)
        .map(|tap| tap.value.ascending());
    let mut pairs: Vec<Pair> = case
        .full(driven.core)
        .into_iter()
        .chain(declared)
        .chain(in_service)
        .chain(duty)
        .collect();
    pairs.sort_unstable();
    pairs.dedup();
    pairs.retain(|pair| *pair != driven && pair.core == driven.core);
    pairs
}

fn turns(case: &Case<'_>, w: &mut Workings, pair: Pair) -> Option<Value> {
    let core = case.core(pair)?;
    let turns = case.turns(pair).filter(|turns| *turns > 0.0)?;
    Some(input::plate_number(
        w,
        format!("turns of {}", core.pair_text(pair.from, pair.to)),
        "",
        turns,
        core.span,
    ))
}

fn to(case: &Case<'_>, w: &mut Workings, driven: &Excited, pair: Pair) -> Option<Excited> {
    let curve = driven.curve.as_ref()?;
    let (n, m) = (turns(case, w, pair)?, turns(case, w, driven.pair)?);
    let whole = case.full(pair.core) == Some(pair);
    let points = scaled(w, curve, n, m, whole)?;
    let peaks = driven
        .peaks
        .as_ref()
        .and_then(|peaks| scaled(w, peaks, n, m, whole));
    // The curve has its points in order of voltage, so its rows are put into that order too.
    let rows = curve
        .points()
        .iter()
        .filter_map(|point| driven.rows.get(point.at))
        .copied()
        .collect();
    let scaled = made(w, pair, driven.test, points);
    Some(Excited {
        scaled_from: Some(driven.pair),
        peaks: peaks.and_then(|peaks| Curve::new(&peaks).0),
        rows,
        emf: driven.emf,
        other_frequency: driven.other_frequency,
        doubtful: driven.doubtful,
        ..scaled
    })
}

fn scaled(
    w: &mut Workings,
    curve: &Curve,
    n: Value,
    m: Value,
    whole: bool,
) -> Option<Vec<(Value, Value)>> {
    let points = curve.points().iter();
    let one = |point: &crate::derive::curve::Point| {
        if whole {
            return on_full_winding(w, (point.v, point.i), n, m);
        }
        Some((
            w.step(&VOLTAGE, [point.v, n, m])?,
            w.step(&CURRENT, [point.i, n, m])?,
        ))
    };
    points.map(one).collect()
}

/// The voltage across the whole winding while a part of it was driven to its highest reading.
pub(super) fn open_terminals(case: &Case<'_>, w: &mut Workings, driven: &Excited) -> Option<Value> {
    let full = case
        .full(driven.pair.core)
        .filter(|full| *full != driven.pair)?;
    let highest = driven.highest?;
    let (n, m) = (turns(case, w, full)?, turns(case, w, driven.pair)?);
    w.step(&VOLTAGE, [highest, n, m])
}
