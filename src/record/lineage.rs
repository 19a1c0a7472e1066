//! Earlier visits whose readings are of no winding of this plate: the history of another CT, in the wrong file. What
//! the last visits read against the plate, the judge tells.

use super::core::Core;
use super::fence::{odd_plates, winding};
use super::kinds::Test;
use super::kinds::ratio::{Method, On, RatioRow, RatioTest};
use super::visit::Visit;
use super::{Record, occasion, words};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::span::Span;
use crate::standards::threshold;
use crate::trade::Pair;

/// What a core of the plate has, as something was read of it.
struct Read<'c> {
    core: &'c Core,
    /// The reading over what the plate has for the whole winding.
    share: f64,
    /// The same over what it has for the pair that was read.
    own: Option<f64>,
    /// What was read, in words: `a ratio of 600`.
    said: String,
    at: Span,
    plate: Span,
}

/// Tells of each such visit once, by its first reading; a visit of which one reading fits is this CT's.
pub(super) fn check(record: &Record, found: &mut Vec<Diagnostic>) {
    let last = occasion::last(record);
    let earlier = record.visits.len() - last.len();
    // A plate that is wrong says nothing of whose readings they are.
    let odd = odd_plates(record);
    for visit in record.visits.iter().take(earlier) {
        let told = of_ratio(record, visit).or_else(|| of_resistance(record, &odd, visit));
        found.extend(told);
    }
}

fn of_ratio(record: &Record, visit: &Visit) -> Option<Diagnostic> {
    let near = 1.0 + threshold("ratio-far-off")?.limit / 100.0;
    // The links of a primary may be set otherwise from one visit to the next.
    told(&ratios(record, visit), near, &[0.5, 1.0, 2.0])
}

fn of_resistance(record: &Record, odd: &[Option<f64>], visit: &Visit) -> Option<Diagnostic> {
    let near = threshold("resistance-least")?.limit;
    told(&resistances(record, odd, visit), near, &[1.0])
}

/// Readings that are off by one factor agree within so much of it. A convention of this project.
const SAME: f64 = 1.03;

/// Nothing where one reading fits a pair of its core, by so many times at most.
fn told(read: &[Read<'_>], near: f64, multiples: &[f64]) -> Option<Diagnostic> {
    let fits = |one: &Read<'_>| {
        let close = |share: f64| (1.0 / near..=near).contains(&(one.share / share));
        let mut shares = shares(one.core, multiples).into_iter();
        shares.any(close)
    };
    // All off their own pairs by one factor, it is no accident that one of them is near another pair.
    let own: Option<Vec<f64>> = read.iter().map(|one| one.own).collect();
    let together = own.filter(|own| own.len() > 1).is_some_and(|own| {
        let (least, most) = own
            .iter()
            .fold((f64::INFINITY, 0.0_f64), |(least, most), one| {
                (least.min(*one), most.max(*one))
            });
        let far = |times: &f64| least / times > near || most / times < 1.0 / near;
        most < SAME * least && multiples.iter().all(far)
    });
    let first = read
        .first()
        .filter(|_| together || !read.iter().any(fits))?;
    let told = words::visit_foreign(&first.said, &first.core.name, first.at, first.plate);
    Some(told)
}

/// All pairs of a core as shares of its whole winding, each at some multiples.
fn shares(core: &Core, multiples: &[f64]) -> Vec<f64> {
    let whole = core.full_ratio().map(|ratio| ratio.value());
    let last = core.last_mark();
    let pairs = (0..=last).flat_map(|from| (from + 1..=last).map(move |to| (from, to)));
    let ratios = pairs.filter_map(|(from, to)| core.nominal_ratio(from, to));
    let shares = ratios.filter_map(|ratio| whole.map(|whole| ratio / whole));
    shares
        .flat_map(|share| multiples.iter().map(move |times| times * share))
        .collect()
}

fn ratios<'c>(record: &'c Record, visit: &Visit) -> Vec<Read<'c>> {
    let passes = &record.plate.passes;
    // A cable may pass the window any number of times.
    if !passes.is_missing() || !visit.passes.is_missing() {
        return Vec::new();
    }
    let tests = visit.of(Test::ratio);
    let rows = tests.flat_map(|(_, test, ratio)| {
        let rows = ratio.rows.iter().filter(|_| test.doubtful.is_none());
        rows.filter_map(|row| ratio_of(record, test.pair.map(|pair| pair.value), ratio, row))
    });
    rows.collect()
}

fn ratio_of<'c>(
    record: &'c Record,
    driven: Option<Pair>,
    ratio: &RatioTest,
    row: &RatioRow,
) -> Option<Read<'c>> {
    // An input of a summation CT has a ratio of its own.
    if row.input.is_some() {
        return None;
    }
    let pair = match (driven, row.on?.value) {
        (None, On::Pair(pair)) => pair,
        (Some(driven), On::Primary) => driven,
        (Some(driven), On::Pair(read)) if driven.ascending() == read.ascending() => driven,
        _ => return None,
    };
    let core = record.cores.get(pair.core)?;
    let (more, less) = match ratio.method? {
        Method::Voltage => (row.applied.get()?, row.induced.get()?),
        Method::Current => (row.primary.get()?, row.secondary.get()?),
    };
    let read = more.value.si / less.value.si;
    let share = read / core.full_ratio()?.value();
    let plate = core.full_tap().map_or(core.span, |tap| tap.span);
    let own = core
        .nominal_ratio(pair.from, pair.to)
        .map(|ratio| read / ratio.abs());
    (share.is_finite() && share > 0.0).then(|| Read {
        core,
        share,
        own,
        said: format!("a ratio of {read:.0}"),
        at: less.span,
        plate,
    })
}

fn resistances<'c>(record: &'c Record, odd: &[Option<f64>], visit: &Visit) -> Vec<Read<'c>> {
    let is_odd = |core: usize| odd.get(core).is_some_and(Option::is_some);
    let tests = visit.of(Test::resistance);
    let rows = tests.flat_map(|(_, test, of)| {
        let rows = of.rows.iter().filter(|_| test.doubtful.is_none());
        rows.filter_map(|row| {
            let at = row.on?.value.core;
            let core = record.cores.get(at).filter(|_| !is_odd(at))?;
            let (read, plate) = (winding::read(row)?, core.resistance.get()?);
            let share = read.ohm / plate.value.value.si;
            (share.is_finite() && share > 0.0).then(|| Read {
                core,
                share,
                own: None,
                said: format!("a winding resistance of {}", winding::shown(read.ohm)),
                at: read.at,
                plate: plate.span,
            })
        })
    });
    rows.collect()
}
