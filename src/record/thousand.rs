//! Readings a factor of 1000 off what the plate lets expect: a prefix too much or too little, in a heading
//! or in one row. Told where it stands, and taken out of what is derived, so that nothing else is blamed.

use super::body::{Body, Table};
use super::core::Core;
use super::kinds::ratio::{Method, On, RatioTest};
use super::kinds::{Test, TestBody};
use super::plate::Plate;
use super::{check, words};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::quantity::Quantity;
use crate::ground::source::Source;
use crate::ground::span::{Given, Located, Span};
use crate::ground::unit::{Lookup, lookup};
use crate::standards::threshold;
use crate::trade::{Burden, Class, Pair};

/// Fewer readings than these show no scale.
const LEAST: usize = 5;
/// Share of the rated secondary current that no lowest reading of a curve reaches, and that which none
/// reaches whose curve goes far beyond the rated current: convention of this project.
const LOWEST: f64 = 0.5;
const LOW: f64 = 0.05;
/// Share of the rated secondary current that every curve of some points passes: convention of this project.
const HIGHEST: f64 = 1e-4;
/// Times the voltage or the current of the plate, past which a column is off: convention of this project.
const PAST: f64 = 100.0;

/// What a test is held against.
pub struct Ground<'a> {
    pub source: &'a Source,
    pub plate: Option<&'a Plate>,
    pub cores: &'a [Core],
}

/// All that is told of a test; what is in doubt of it is marked.
pub fn told(test: &mut Test, body: &Body, ground: &Ground<'_>) -> Vec<Diagnostic> {
    let told = match &mut test.body {
        TestBody::Resistance(resistance) => {
            let rows = resistance.rows.iter_mut();
            return rows.filter_map(|row| resistance_row(row, ground)).collect();
        }
        TestBody::Excitation(_) => excitation(test.pair, body, ground),
        TestBody::Ratio(ratio) => match ratio_heading(test.pair, ratio, body, ground) {
            Some(told) => Some(told),
            None => return ratio_rows(test.pair, ratio, ground),
        },
        _ => None,
    };
    if let Some(told) = &told {
        test.doubtful = test.doubtful.or(Some(told.span));
    }
    told.into_iter().collect()
}

/// A row whose resistance is about 1000 times the plate's, or a thousandth of it.
fn resistance_row(
    row: &mut super::kinds::resistance::ResistanceRow,
    ground: &Ground<'_>,
) -> Option<Diagnostic> {
    let pair = row.on?.value;
    let core = ground.cores.get(pair.core)?;
    let plate = core.resistance.get().filter(|_| core.is_full(pair))?;
    // Told at the plate, where the slip is.
    if check::implausible_plate(ground.plate?, core).is_some() {
        return None;
    }
    let (ohm, span) = match (row.resistance.get(), row.voltage.get(), row.current.get()) {
        (Some(ohm), _, _) => (ohm.value.si, ohm.span),
        (None, Some(volts), Some(amps)) => (volts.value.si / amps.value.si, volts.span),
        _ => return None,
    };
    let times = thousandfold(
        ohm / plate.value.value.si,
        threshold("resistance-thousandfold")?.limit,
    )?;
    let decimals = if ohm < 1.0 { 5 } else { 0 };
    let (ohm, stated) = (format!("{ohm:.decimals$} ohm"), plate.value.value.written());
    let told = words::resistance_implausible(&ohm, &stated, text(times), span, plate.span);
    if row.resistance.is_missing() {
        row.voltage = Given::Unreadable(span);
    } else {
        row.resistance = Given::Unreadable(span);
    }
    Some(told)
}

/// 1000 or a thousandth, when a share is one of them within `near` times.
fn thousandfold(share: f64, near: f64) -> Option<f64> {
    let close = |times: &f64| (1.0 / near..=near).contains(&(share / times));
    [1000.0, 0.001].into_iter().find(close)
}

fn text(times: f64) -> &'static str {
    if times > 1.0 { "1000" } else { "0.001" }
}

/// A column of a curve that is off as a whole.
fn excitation(pair: Option<Located<Pair>>, body: &Body, ground: &Ground<'_>) -> Option<Diagnostic> {
    let pair = pair?.value;
    let core = ground.cores.get(pair.core)?;
    body.tables.iter().find_map(|table| {
        let rows: Vec<(Quantity, Quantity)> = table
            .cells()
            .filter_map(|cells| {
                let volts = cells.get::<Quantity>("voltage").value().cloned()?;
                Some((volts, cells.get::<Quantity>("current").value().cloned()?))
            })
            .collect();
        if rows.len() < LEAST {
            return None;
        }
        let amps: Vec<f64> = rows.iter().map(|(_, amps)| amps.si).collect();
        let volts: Vec<f64> = rows.iter().map(|(volts, _)| volts.si).collect();
        let by_volts = voltage_of(core, pair).and_then(|rated| {
            let most = highest(&volts);
            let times = match () {
                () if most > PAST * rated && most < 1000.0 * PAST * rated => 1000.0,
                () if most < rated / PAST => 0.001,
                () => return None,
            };
            heading(ground, table, "voltage", "the plate", times)
        });
        by_volts.or_else(|| {
            let times = current_off(core, pair, &rows, &amps)?;
            heading(ground, table, "current", "the plate", times)
        })
    })
}

fn highest(values: &[f64]) -> f64 {
    values.iter().copied().fold(0.0, f64::max)
}

/// How far the currents of a curve are off, against rated secondary current and the plate's exciting current.
fn current_off(
    core: &Core,
    pair: Pair,
    rows: &[(Quantity, Quantity)],
    amps: &[f64],
) -> Option<f64> {
    let rated = core.rated_secondary()?;
    let (most, least) = (
        highest(amps),
        amps.iter().copied().fold(f64::INFINITY, f64::min),
    );
    let far = threshold("excitation-implausible")?.limit * rated;
    let stated = core.exciting.first().filter(|_| core.is_full(pair));
    let over_stated = stated.is_some_and(|stated| {
        let at = rows
            .iter()
            .rfind(|(volts, _)| volts.si <= stated.value.at.si);
        at.is_some_and(|(_, amps)| amps.si > PAST * stated.value.value.si)
    });
    let over = over_stated || least >= LOWEST * rated || (least >= LOW * rated && most > far);
    if over && most <= 1000.0 * far {
        return Some(1000.0);
    }
    (most < HIGHEST * rated).then_some(0.001)
}

/// The voltage that the plate speaks of: knee, that of the exciting current, or limit at the burden alone.
fn voltage_of(core: &Core, pair: Pair) -> Option<f64> {
    let tap = core.tap(pair.from.min(pair.to), pair.from.max(pair.to));
    if let Some(knee) = tap.and_then(|tap| tap.knee.value()) {
        return Some(knee.si);
    }
    if !core.is_full(pair) {
        return None;
    }
    if let Some(knee) = core.knee.value() {
        return Some(knee.si);
    }
    if let Some(stated) = core.exciting.first() {
        return Some(stated.value.at.si);
    }
    let factor = match core.class.value()? {
        Class::Protection { limit_factor, .. } => *limit_factor,
        Class::Measuring {
            security: Some(security),
            ..
        } => *security,
        Class::IeeeRelay { volts, .. } => return Some(*volts),
        _ => return None,
    };
    let rated = core.rated_secondary()?;
    let volts = match core.burden.value()? {
        Burden::Power { va, .. } | Burden::Range { va, .. } => va.si / rated,
        Burden::Impedance { ohm, .. } => ohm.si * rated,
        _ => return None,
    };
    Some(factor * volts).filter(|volts| *volts > 0.0)
}

/// All rows of a ratio by voltage off by the same factor.
fn ratio_heading(
    driven: Option<Located<Pair>>,
    ratio: &RatioTest,
    body: &Body,
    ground: &Ground<'_>,
) -> Option<Diagnostic> {
    let [table] = &body.tables[..] else {
        return None;
    };
    let off: Vec<Option<f64>> = ratio
        .rows
        .iter()
        .filter(|row| row.applied.get().is_some() && row.induced.get().is_some())
        .map(|row| Some(ratio_off(driven, row, ground)?.2))
        .collect();
    let times = (*off.first()?)?;
    if off.iter().any(|other| *other != Some(times)) {
        return None;
    }
    // A source gives volts: what is applied in anything else is the slip.
    let usual = |volts: f64| (0.5..=5000.0).contains(&volts);
    let mut applied = ratio.rows.iter().filter_map(|row| row.applied.value());
    if applied.all(|volts| usual(volts.si)) {
        let read = if table.has("read") { "read" } else { "induced" };
        heading(ground, table, read, "the plate's ratio", 1.0 / times)
    } else {
        heading(ground, table, "applied", "the plate's ratio", times)
    }
}

/// Single rows of a ratio by voltage.
fn ratio_rows(
    driven: Option<Located<Pair>>,
    ratio: &mut RatioTest,
    ground: &Ground<'_>,
) -> Vec<Diagnostic> {
    if ratio.method == Some(Method::Current) {
        return Vec::new();
    }
    let rows = ratio.rows.iter_mut().filter_map(|row| {
        let (read, nominal, times) = ratio_off(driven, row, ground)?;
        let span = row.induced.span()?;
        row.induced = Given::Unreadable(span);
        let [read, nominal] = [read, nominal].map(|value| format!("{value:.4}"));
        let plain = |text: &str| text.trim_end_matches('0').trim_end_matches('.').to_owned();
        Some(words::ratio_thousand(
            &plain(&read),
            &plain(&nominal),
            text(times),
            span,
        ))
    });
    rows.collect()
}

/// The ratio of a row, that of the plate, and how far the one is off the other.
fn ratio_off(
    driven: Option<Located<Pair>>,
    row: &super::kinds::ratio::RatioRow,
    ground: &Ground<'_>,
) -> Option<(f64, f64, f64)> {
    let (applied, induced) = (row.applied.value()?.si, row.induced.value()?.si);
    let nominal = |pair: Pair| {
        let pair = pair.ascending();
        ground
            .cores
            .get(pair.core)?
            .nominal_ratio(pair.from, pair.to)
    };
    let driven = driven.map(|pair| pair.value);
    let expected = match (driven, row.on?.value) {
        (Some(driven), On::Pair(read)) if driven.ascending() != read.ascending() => {
            nominal(driven)? / nominal(read)?
        }
        (Some(pair), _) | (None, On::Pair(pair)) => nominal(pair)?,
        (None, On::Primary) => return None,
    };
    let read = applied / induced;
    let times = thousandfold(read / expected, threshold("resistance-thousandfold")?.limit)?;
    Some((read, expected, times))
}

/// What is told of a column at its heading, with the unit that would fit.
fn heading(
    ground: &Ground<'_>,
    table: &Table,
    word: &str,
    what: &str,
    times: f64,
) -> Option<Diagnostic> {
    let column = table
        .columns
        .iter()
        .flatten()
        .find(|column| column.word == word)?;
    let text_of = ground.source.slice(table.heading);
    let start = table.heading.range().start;
    let names = std::iter::once(&column.word).chain(column.also);
    let cell = names
        .filter_map(|name| text_of.find(&format!("{name}/")))
        .next();
    let cell = cell.and_then(|at| {
        let rest = text_of.get(at..)?;
        let end = rest.find([' ', '\t', '|']).unwrap_or(rest.len());
        Some((rest.get(..end)?, Span::new(start + at, start + at + end)))
    });
    let (written, span) = cell.unwrap_or((word, table.heading));
    let unit = written.split_once('/').map(|(_, unit)| unit)?;
    let dimension = match column.kind {
        super::schema::Kind::Quantity(dimension) => dimension,
        _ => return None,
    };
    let prefixes = ["u", "m", "", "k", "M", "G"];
    let moved = |at: usize| {
        if times > 1.0 {
            at.checked_sub(1)
        } else {
            Some(at + 1)
        }
    };
    let units = prefixes
        .iter()
        .enumerate()
        .rev()
        .filter_map(|(at, prefix)| {
            let base = unit.strip_prefix(prefix)?;
            let meant = format!("{}{base}", prefixes.get(moved(at)?)?);
            let known = |unit: &str| matches!(lookup(unit, dimension), Lookup::Found(_));
            (known(base) && known(&meant)).then_some(meant)
        });
    let bare = written.strip_suffix(unit).unwrap_or(written);
    let meant = units.map(|unit| format!("{bare}{unit}")).next()?;
    let told = words::heading_thousand(word, what, written, &meant, text(times), span);
    Some(told.mend(format!("write {meant}"), span, meant, false))
}
