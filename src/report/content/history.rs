//! What changed since an earlier visit, in words, and where a value drifts to.

use super::Ctx;
use super::cores::drawn;
use crate::compare::{Change, Drift};
use crate::derive::history::By;
use crate::derive::outcome::Side;
use crate::document::{Block, Phrase, Quantity, Text, say};
use crate::judge::finding::Unit;
use crate::judge::words;
use crate::record::visit::Visit;
use crate::report::rows::{Before, Row as Required};
use crate::trade::Purpose;

/// From here on a share is no way to tell two values apart, per cent.
pub(super) const FAR: f64 = 100.0;

/// Years past the line's own meeting with a limit from which on its flattest slope says nothing.
const NEVER: i32 = 100;

/// `Δ +2.1 ± 0.5 %`, `× 0.33 (0.16 to 0.68)`, `no change shown (± 0.5 %)`, `Δ +1.2 %, U not known`.
pub(super) fn change(change: &Change, unit: Unit) -> Phrase {
    let (size, u) = (change.size, change.u);
    if change.is_shown() == Some(false) {
        let nothing = "no change shown";
        return match u.filter(|_| change.side == Side::Known) {
            Some(u) => say!("{} ({})", nothing, within(change.by, u, unit)),
            None => nothing.into(),
        };
    }
    // A bound has its uncertainty taken off.
    let (side, size, u) = match change.side {
        Side::Known => ("", size, u),
        Side::AtLeast => ("at least ", size - u.unwrap_or(0.0), u.filter(|_| false)),
        Side::AtMost => ("at most ", size + u.unwrap_or(0.0), u.filter(|_| false)),
    };
    let said = match change.by {
        By::Times => {
            let times = say!("×\u{a0}{}{}", side, times(size));
            match u {
                Some(u) => say!(
                    "{} ({} to {})",
                    times,
                    self::times(size - u),
                    self::times(size + u)
                ),
                None => times,
            }
        }
        by => say!("Δ\u{a0}{}{}", side, amount(by, size, u, unit)),
    };
    match change.u {
        Some(_) => said,
        None => say!("{}, U not known", said),
    }
}

/// A difference in the value's unit, or per cent.
fn amount(by: By, size: f64, u: Option<f64>, unit: Unit) -> Quantity {
    let unit = shown_in(by, unit);
    words::signed(size * unit.per_si, u.map(|u| u * unit.per_si), unit.word)
}

fn shown_in(by: By, unit: Unit) -> Unit {
    match by {
        By::Difference => unit,
        By::Percent | By::Times => crate::judge::finding::unit::PERCENT,
    }
}

/// `± 0.5 %`, `within × 2.1`
fn within(by: By, u: f64, unit: Unit) -> Phrase {
    match by {
        By::Times => say!("within ×\u{a0}{}", times(u)),
        by => say!("±\u{a0}{}", words::quantity(u, 2, shown_in(by, unit))),
    }
}

/// A multiple by its logarithm.
fn times(log: f64) -> Quantity {
    Quantity::new(words::rounded(libm::exp(log), 2), "")
}

impl Ctx<'_> {
    /// What stands in a column of an earlier visit: what changed, or the value there where the two cannot be
    /// compared.
    pub(super) fn before(&self, before: Option<&Before>) -> Text {
        let Some(before) = before else {
            return Text::default();
        };
        let Some(of) = &before.change else {
            return self.phrase(&before.value);
        };
        let visit = self.record.visits.get(before.visit);
        let site = |visit: &&Visit| visit.purpose() != Purpose::Factory;
        let shown = visit.filter(site).filter(|_| of.is_shown() == Some(true));
        let since = shown.map(|visit| say!(" since {}", visit.name()));
        let told = match of.by == By::Percent && of.size >= FAR {
            true => say!("from {}", before.value.clone()),
            false => change(of, before.unit),
        };
        self.phrase(&told.then(since.unwrap_or_default()))
    }

    /// The values that drift, and where to.
    pub(super) fn drifts(&self, rows: &[&Required]) -> Vec<Block> {
        let line = |row: &&Required| {
            let drift = row.beside.drift.as_ref()?;
            let name = say!("{}: {}: ", row.subject.clone(), row.full_name());
            let limit = row.limit.clone();
            Some(self.phrase(&name.then(self.drift(drift, row.unit?, limit))))
        };
        let lines: Vec<Text> = rows.iter().filter_map(line).collect();
        let mut blocks = super::listed(2, "Drift over the visits", lines);
        let drifting = rows.iter().filter(|row| row.beside.drift.is_some());
        let charts = drifting
            .zip(1..)
            .filter_map(|(row, number)| self.trend(row, number));
        let charts: Vec<Block> = charts.flat_map(|(chart, svg)| drawn(chart, svg)).collect();
        if !charts.is_empty() {
            blocks.push(Block::Group("charts", charts));
        }
        blocks
    }

    /// `12.4 GΩ (2019-05-21), …: falls each year to …; if it goes on …`
    fn drift(&self, drift: &Drift, unit: Unit, limit: Phrase) -> Phrase {
        let read = drift.readings.iter().map(|(visit, value)| {
            let name = self.record.visits.get(*visit).map(|visit| visit.name());
            let number = words::number(self.w, self.criteria, *value, unit);
            say!("{} ({})", number, name.unwrap_or_default())
        });
        let read = Phrase::join(read, ", ");
        let way = match drift.line.slope > 0.0 {
            true => "rises",
            false => "falls",
        };
        let (slope, u) = (drift.line.slope, drift.u);
        let (pace, line) = match drift.by {
            By::Times => (
                say!(
                    "each year to {} ({} to {}) times that of the year before",
                    times(slope),
                    times(slope - u),
                    times(slope + u)
                ),
                "in a straight line of its logarithm",
            ),
            By::Difference | By::Percent => {
                let scale = unit.per_si;
                let size = words::signed(slope.abs() * scale, Some(u * scale), unit.word);
                let number = size.number.trim_start_matches('+').to_owned();
                (
                    say!("by {} a year", Quantity { number, ..size }),
                    "in a straight line",
                )
            }
        };
        let said = say!("{}: {} {}", read, way, pace);
        let few = match drift.readings.len() {
            3 => "three readings show no law",
            _ => "a few readings show no law",
        };
        let Some(reached) = drift.limit else {
            return say!("{}; {}", said, few);
        };
        let number = |year: i32| Quantity::new(year.to_string(), "");
        let span = match reached.to - reached.year > NEVER {
            true => say!("{} at the earliest", number(reached.from)),
            false => say!("{} to {}", number(reached.from), number(reached.to)),
        };
        say!(
            "{}. If it goes on {}, it is at its limit, {}, in about {} ({}); {}",
            said,
            line,
            limit,
            number(reached.year),
            span,
            few
        )
    }
}
