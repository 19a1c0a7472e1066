//! A plate's resistance that is the odd one: all that was read of its core agrees, and is off what the plate states by
//! one factor. No row is accused of it then.

use super::winding::{is_usual, read, share_of_turns};
use crate::record::Record;
use crate::record::check::{implausible_plate, turns};
use crate::record::core::Core;
use crate::record::kinds::Test;
use crate::record::kinds::resistance::ResistanceRow;
use crate::record::visit::Visit;
use crate::standards::threshold;
use crate::trade::{Pair, Purpose};
use std::ops::RangeInclusive;

/// What a point or a prefix makes of a number.
const TIMES: [f64; 6] = [0.1, 10.0, 0.01, 100.0, 0.001, 1000.0];
/// Rows of one winding agree within so many times, in proportion to their turns: temperature and the length of outer
/// turns move them by some tenths. Convention of this project, as the next.
const AGREE: f64 = 1.5;
/// What is read cold of the most that a plate allows at 75 °C, as a share. Common practice, no source.
const FITS: RangeInclusive<f64> = 0.4..=1.05;
/// Rows that are read with one current, as a share.
const SAME_CURRENT: f64 = 0.02;

/// A row of a core.
struct Row {
    /// Its visit and its section.
    visit: usize,
    test: usize,
    pair: Pair,
    by_maker: bool,
    current: Option<f64>,
    ohm: f64,
    /// Its resistance over what the plate lets expect.
    share: f64,
}

/// Of each core by how much its plate's resistance has to be multiplied to fit all that was read of it, where the plate
/// is the odd one: by a power of ten where one fits.
pub fn odd_plates(record: &Record) -> Vec<Option<f64>> {
    let rows: Vec<Vec<Row>> = (0..record.cores.len())
        .map(|core| rows(record, core))
        .collect();
    let of_core = |(at, core)| times(record, at, core, &rows);
    record.cores.iter().enumerate().map(of_core).collect()
}

fn rows(record: &Record, core: usize) -> Vec<Row> {
    let visits = record.visits.iter().enumerate();
    let sections = visits.flat_map(|(at, visit)| {
        let tests = visit.of(Test::resistance);
        tests.map(move |(test, _, body)| ((at, visit, test), body))
    });
    let rows = sections.flat_map(|(place, body)| {
        let rows = body.rows.iter();
        rows.filter_map(move |row| of(record, core, place, row))
    });
    rows.collect()
}

fn of(
    record: &Record,
    core: usize,
    (visit, of, test): (usize, &Visit, usize),
    row: &ResistanceRow,
) -> Option<Row> {
    let pair = row.on?.value.ascending();
    let known = record.cores.get(core).filter(|_| pair.core == core)?;
    let (ohm, plate) = (read(row)?.ohm, known.resistance.value()?.value.si);
    let share = ohm / plate / share_of_turns(known, pair)?;
    let current = row.current.get().map(|reading| reading.value.si);
    (share.is_finite() && share > 0.0).then(|| Row {
        visit,
        test,
        pair,
        by_maker: of.purpose() == Purpose::Factory,
        current: current.filter(|_| row.resistance.get().is_none()),
        ohm,
        share,
    })
}

fn times(record: &Record, at: usize, core: &Core, all: &[Vec<Row>]) -> Option<f64> {
    let rows = all.get(at)?;
    let first = rows.first().filter(|_| rows.len() > 1)?;
    // A unit that no winding of these turns fits is told at the plate.
    if implausible_plate(&record.plate, core).is_some() {
        return None;
    }
    let shares = rows.iter().map(|row| row.share);
    let (least, most) = shares.fold((f64::INFINITY, 0f64), |(least, most), share| {
        (least.min(share), most.max(share))
    });
    let fits = |times: &f64| FITS.contains(&(least / times)) && FITS.contains(&(most / times));
    let point = TIMES.into_iter().find(fits);
    // Less than a quarter of it no winding has.
    let far = most * threshold("resistance-least")?.limit < 1.0;
    let times = point.or_else(|| far.then_some(most))?;
    let usual = |row: &Row| {
        let turns = turns(&record.plate, core, (row.pair.from, row.pair.to));
        turns.and_then(|turns| is_usual(row.ohm, turns)) != Some(false)
    };
    if most > AGREE * least || !rows.iter().all(usual) {
        return None;
    }
    // More than the plate's a bad joint has as well, but not of each section in proportion, nor in the works.
    let by_joint = times > 1.0
        && rows.iter().all(|row| row.pair == first.pair)
        && !rows.iter().any(|row| row.by_maker);
    (!by_joint && are_apart(at, all, rows, times)).then_some(times)
}

/// Whether no single slip of the bench is behind all rows: they are of two visits, or another core fits its plate in
/// the same section; or they have different currents, where the unit of a heading explains nothing.
fn are_apart(core: usize, all: &[Vec<Row>], rows: &[Row], times: f64) -> bool {
    let Some(first) = rows.first() else {
        return false;
    };
    let two_visits = rows.iter().any(|row| row.visit != first.visit);
    let others = all.iter().enumerate().filter(|(at, _)| *at != core);
    let mut others = others.flat_map(|(_, rows)| rows);
    let beside = others.any(|other| {
        let here = (other.visit, other.test) == (first.visit, first.test);
        here && FITS.contains(&other.share)
    });
    let same = |row: &Row| {
        let both = row.current.zip(first.current);
        both.is_some_and(|(one, other)| (one / other - 1.0).abs() < SAME_CURRENT)
    };
    let prefix = [0.001, 1000.0].contains(&times);
    two_visits || beside || !prefix && !rows.iter().all(same)
}
