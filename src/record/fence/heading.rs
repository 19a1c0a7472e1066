//! The heading of a ratio by voltage that is a factor of 1000 off what the plate lets expect: a prefix too much
//! or too little.

use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::ground::span::{Located, Span};
use crate::ground::unit::{Lookup, lookup};
use crate::record::body::{Body, Table};
use crate::record::core::Core;
use crate::record::kinds::ratio::{On, RatioRow, RatioTest};
use crate::record::kinds::{Test, TestBody};
use crate::record::schema::Kind;
use crate::record::words;
use crate::standards::threshold;
use crate::trade::Pair;

/// What a test is held against.
pub struct Ground<'a> {
    pub source: &'a Source,
    pub cores: &'a [Core],
}

/// Where the heading is off; the section is in doubt then.
pub(super) fn told(test: &mut Test, body: &Body, ground: &Ground<'_>) -> Option<Diagnostic> {
    let TestBody::Ratio(ratio) = &test.body else {
        return None;
    };
    let told = ratio_heading(test.pair, ratio, body, ground)?;
    test.doubtful = test.doubtful.or(Some(told.span));
    Some(told)
}

/// 1000 or a thousandth, when a share is one of them within `near` times.
pub(super) fn thousandfold(share: f64, near: f64) -> Option<f64> {
    let close = |times: &f64| (1.0 / near..=near).contains(&(share / times));
    [1000.0, 0.001].into_iter().find(close)
}

fn text(times: f64) -> &'static str {
    if times > 1.0 { "1000" } else { "0.001" }
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
        .map(|row| ratio_off(driven, row, ground))
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
        heading(ground, table, read, 1.0 / times)
    } else {
        heading(ground, table, "applied", times)
    }
}

/// How many times the ratio of a row is off that of the plate, where it is a factor of 1000.
fn ratio_off(driven: Option<Located<Pair>>, row: &RatioRow, ground: &Ground<'_>) -> Option<f64> {
    let (applied, induced) = (row.applied.value()?.si, row.induced.value()?.si);
    let read = applied / induced;
    let expected = expected(ground.cores, driven, row)?;
    thousandfold(read / expected, threshold("resistance-thousandfold")?.limit)
}

/// The ratio of what is put in to what is read, by the plate.
pub(super) fn expected(
    cores: &[Core],
    driven: Option<Located<Pair>>,
    row: &RatioRow,
) -> Option<f64> {
    let nominal = |pair: Pair| {
        let pair = pair.ascending();
        cores.get(pair.core)?.nominal_ratio(pair.from, pair.to)
    };
    let driven = driven.map(|pair| pair.value);
    match (driven, row.on?.value) {
        (Some(driven), On::Pair(read)) if driven.ascending() != read.ascending() => {
            Some(nominal(driven)? / nominal(read)?)
        }
        (Some(pair), _) | (None, On::Pair(pair)) => nominal(pair),
        (None, On::Primary) => None,
    }
}

/// What is told of a column at its heading, with the unit that would fit.
fn heading(ground: &Ground<'_>, table: &Table, word: &str, times: f64) -> Option<Diagnostic> {
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
        Kind::Quantity(dimension) => dimension,
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
    let told = words::heading_thousand(word, written, &meant, text(times), span);
    Some(told.mend(format!("write {meant}"), span, meant, false))
}
