//! Tables of errors that contradict the exciting current as a whole: both columns exchanged in all rows, or the burdens
//! of two tables. The exciting current lags, and is the greater a share of the current the lower that is and the greater
//! the burden: with it the error goes down and the phase up.

use super::room::Dot;
use super::{BOTH, Column, FAR, FITS, Row, Table, What, aligned, item, worst};
use crate::derive::kinds::ratio::Burdened;
use crate::document::{Phrase, say};
use crate::ground::quantity::Reading;
use crate::ground::span::Span;
use crate::judge::cause::digits::{OF_COLUMNS, in_each_others_column};
use crate::judge::cause::evidence::{Evidence, Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, price};
use crate::judge::condition;
use crate::judge::rules::{Rule, ratio as rules};

/// Of fewer rows nothing is told of a table.
const LEAST_ROWS: usize = 3;
/// What the exciting current makes of the one column over what it makes of the other, from the highest current to the
/// lowest: the tangent of an angle that is never so near to an axis. Common practice, no source.
pub(super) const MOST_APART: f64 = 20.0;
/// Burdens that differ by less than so many times tell nothing, nor errors. Common practice, no source.
const BURDENS: f64 = 1.5;
const SIZES: f64 = 1.15;
/// Angles of burdens, and of exciting currents, that differ by less tell nothing, in radian: 15 and 5 degrees. Common
/// practice, no source.
const OF_BURDENS: f64 = 0.26;
const OF_CURRENTS: f64 = 0.09;

/// What is told of whole tables.
pub(super) struct Whole {
    rule: &'static Rule,
    /// The table that it is told at.
    table: usize,
    at: Vec<Span>,
    pub items: Vec<Item>,
    observed: Phrase,
    cost: f64,
}

/// What the exciting current takes more of the lowest current than of the highest: in phase and across, as shares.
#[derive(Clone, Copy)]
struct Taken {
    along: f64,
    across: f64,
    /// What these scatter by.
    u: (f64, f64),
}

impl Taken {
    fn of(error: &Column, phase: &Column) -> Option<Self> {
        let both = error.iter().zip(phase);
        let both = both.filter_map(|(error, phase)| Some((error.as_ref()?, phase.as_ref()?)));
        let both: Vec<_> = both.collect();
        let ((low_error, low_phase), (high_error, high_phase)) = (both.first()?, both.last()?);
        let u = (
            libm::hypot(low_error.u, high_error.u),
            libm::hypot(low_phase.u, high_phase.u),
        );
        (both.len() >= LEAST_ROWS).then_some(Self {
            along: high_error.y - low_error.y,
            across: low_phase.y - high_phase.y,
            u,
        })
    }

    /// What its size scatters by.
    fn scatter(&self) -> f64 {
        self.u.0.max(self.u.1)
    }

    fn size(&self) -> f64 {
        libm::hypot(self.along, self.across)
    }

    fn angle(&self) -> f64 {
        libm::atan2(self.across, self.along)
    }

    /// Whether an exciting current takes it.
    fn is_of_iron(&self) -> bool {
        let seen = self.along > FITS * self.u.0 && self.across > FITS * self.u.1;
        seen && !self.is_of_no_iron()
    }

    /// Whether no exciting current takes so much more of the one than of the other.
    fn is_of_no_iron(&self) -> bool {
        let along = (self.along.abs(), self.u.0);
        let across = (self.across.abs(), self.u.1);
        let is_alone = |(most, of_most): (f64, f64), (least, of_least): (f64, f64)| {
            most > FAR * of_most && MOST_APART * (least + of_least) < most
        };
        is_alone(along, across) || is_alone(across, along)
    }
}

/// Whether two columns may be of one core.
pub(super) fn go_together(error: &Column, phase: &Column) -> bool {
    Taken::of(error, phase).is_none_or(|taken| !taken.is_of_no_iron())
}

/// Whether what is seen of both goes the way of an exciting current behind an ordinary burden.
pub(super) fn go_right(error: &Column, phase: &Column) -> bool {
    let falls = |taken: Taken| taken.along < -FITS * taken.u.0 || taken.across < -FITS * taken.u.1;
    !Taken::of(error, phase).is_some_and(falls)
}

pub(super) fn all(tables: &[Table<'_>]) -> Vec<Whole> {
    let each = tables.iter().enumerate();
    let columns = each.filter_map(|(at, table)| columns(tables, at, table));
    let each = tables.iter().enumerate();
    let burdens = each.flat_map(|(at, _)| {
        let others = 0..tables.len();
        others.filter_map(move |other| burdens(tables, at, other))
    });
    columns.chain(burdens).collect()
}

pub(super) fn named(evidence: &Evidence<'_>, tables: &[Table<'_>]) -> Vec<Hypothesis> {
    let made = all(tables).into_iter().filter_map(|one| {
        let own = |items: &[Item]| {
            let same = items.iter().zip(&one.items);
            items.len() == one.items.len() && same.into_iter().all(|(a, b)| a.at == b.at)
        };
        let mut families = evidence.families_of(Of::ErrorOrder);
        let (at, _) = families.find(|(_, family)| own(&family.items))?;
        let shift = one.items.iter().map(|item| item.away).collect();
        let seat = tables.get(one.table)?.seat(one.at.clone());
        let made = Hypothesis::new(one.rule, seat, one.observed)
            .price(price::OF_A_LIST + one.cost)
            .shift(at, shift)
            .decide("the sheet that was written at the test, or one row of the table again");
        Some(made)
    });
    made.collect()
}

/// Both columns exchanged in all rows of a table.
fn columns(tables: &[Table<'_>], at: usize, table: &Table<'_>) -> Option<Whole> {
    let written = Taken::of(table.column(What::Error), table.column(What::Phase))?;
    let put = |row: &Row<'_>| {
        let pair = (row.cell(What::Error)?, row.cell(What::Phase)?);
        let (error, phase) = in_each_others_column(pair.0, pair.1);
        Some((
            error / What::Error.per_share(),
            phase / What::Phase.per_share(),
        ))
    };
    let rows: Option<Vec<(f64, f64)>> = table.rows.iter().map(put).collect();
    let rows = rows?;
    let values = |pick: fn(&(f64, f64)) -> f64| -> Vec<(usize, f64)> {
        rows.iter().map(pick).enumerate().collect()
    };
    // They are as fine as they were written, and not as others of their kind.
    let finely = |what: What, values: &[(usize, f64)]| -> Column {
        let column = table.put(what, values).into_iter().zip(&table.rows);
        let fine = |(dot, row): (Option<Dot>, &Row<'_>)| {
            let step = step(row.cell(what.other())?);
            let (one, other) = (row.cell(what)?, what.per_share());
            let step = step * one.value.si / one.value.number / other;
            let u = libm::hypot(what.scatters(), 0.5 * step);
            dot.map(|dot| Dot { u, ..dot })
        };
        column.map(fine).collect()
    };
    let error = finely(What::Error, &values(|one| one.0));
    let phase = finely(What::Phase, &values(|one| one.1));
    let put = Taken::of(&error, &phase)?;
    // An exciting current takes nothing that rises with the current alone.
    // What the yard induces does it in all tables, and not so smoothly.
    let falls = |table: &Table<'_>| {
        let taken = Taken::of(table.column(What::Error), table.column(What::Phase));
        taken.is_some_and(|taken| taken.along < 0.0)
    };
    let others = tables.iter().enumerate();
    let mut others = others.filter(|(other, one)| *other != at && one.pair() == table.pair());
    let smooth = BOTH
        .into_iter()
        .all(|what| worst(what.other(), table.column(what)) <= FITS);
    let is_none = falls(table) && smooth && written.is_of_no_iron();
    let is_none = is_none && !others.any(|(_, other)| falls(other));
    if !is_none
        || !put.is_of_iron()
        || worst(What::Error, &error) > FITS
        || worst(What::Phase, &phase) > FITS
    {
        return None;
    }
    let each = table.rows.iter().zip(&rows).enumerate();
    let items = each.filter_map(|(at, (row, (put, _)))| {
        let own = table.dot(What::Error, at)?;
        Some(item(table, row, What::Error, (own.y, *put), own.u))
    });
    Some(Whole {
        rule: &rules::ERRORS_EXCHANGED,
        table: at,
        at: table.rows.iter().map(|row| row.point.row).collect(),
        items: items.collect(),
        observed: "the two columns exchanged in all rows: the other way round they are what an exciting current makes"
            .into(),
        cost: OF_COLUMNS,
    })
}

/// A step of the last digit of a number.
fn step(cell: &Reading) -> f64 {
    let text = cell.value.written_number();
    let decimals = text.split_once('.').map_or(0, |(_, rest)| rest.len());
    libm::exp10(-i32::try_from(decimals).map_or(0.0, f64::from))
}

/// A burden in volt-amperes with its angle, where that is known.
fn burden(table: &Table<'_>) -> Option<(f64, Option<f64>)> {
    match &table.run.burden {
        Burdened::Stated { va, power_factor } => Some((
            *va,
            power_factor.map(|factor| libm::acos(factor.clamp(0.0, 1.0))),
        )),
        _ => None,
    }
}

/// Two tables of a pair with each other's burdens.
fn burdens(tables: &[Table<'_>], at: usize, other: usize) -> Option<Whole> {
    let (high, low) = (tables.get(at)?, tables.get(other)?);
    let ((most, angle), (least, low_angle)) = (burden(high)?, burden(low)?);
    if high.pair() != low.pair() || most < BURDENS * least {
        return None;
    }
    let beside = [What::Error, What::Phase].map(|what| aligned(high, low, what));
    let [low_error, low_phase] = &beside;
    // Only currents at which both were read.
    let common = |own: &Column, other: &Column| -> Column {
        let both = own.iter().zip(other);
        both.map(|(own, other)| other.as_ref().and(own.as_ref()).copied())
            .collect()
    };
    let high_error = common(high.column(What::Error), low_error);
    let high_phase = common(high.column(What::Phase), low_phase);
    let by_high = Taken::of(&high_error, &high_phase)?;
    let by_low = Taken::of(low_error, low_phase)?;
    let u = libm::hypot(by_high.scatter(), by_low.scatter());
    let grows = by_low.size() - by_high.size() > FITS * u && by_low.size() > SIZES * by_high.size();
    if !grows || !by_low.is_of_iron() || !by_high.is_of_iron() {
        return None;
    }
    // A burden that lags turns the exciting current towards the secondary current.
    let turns = by_high.angle() - by_low.angle();
    let turned = match angle.zip(low_angle) {
        Some((of_high, of_low)) if of_high - of_low > OF_BURDENS => turns > OF_CURRENTS,
        Some((of_high, of_low)) if (of_high - of_low).abs() < OF_CURRENTS => {
            turns.abs() < OF_BURDENS && by_low.size() < most / least * by_high.size()
        }
        _ => false,
    };
    let mut items = Vec::new();
    let mut most_of_it: f64 = 0.0;
    for (row, both) in high.rows.iter().zip(high_error.iter().zip(low_error)) {
        let (Some(of_high), Some(of_low)) = both else {
            continue;
        };
        let (apart, u) = (of_high.y - of_low.y, libm::hypot(of_high.u, of_low.u));
        if apart < FITS * u {
            return None;
        }
        most_of_it = most_of_it.max(apart / u);
        // It counts once, and is told of both.
        let u = u * libm::sqrt(2.0);
        let near =
            |one: &&Row<'_>| (one.point.percent / row.point.percent - 1.0).abs() < super::SAME;
        let beside = low.rows.iter().find(near)?;
        items.push(item(high, row, What::Error, (of_high.y, of_low.y), u));
        items.push(item(low, beside, What::Error, (of_low.y, of_high.y), u));
    }
    if !turned || most_of_it < FAR {
        return None;
    }
    let observed = say!(
        "the errors at {} are those of the greater burden, and those at {} of the smaller one",
        condition::burden(&low.run.burden),
        condition::burden(&high.run.burden)
    );
    let first = |table: &Table<'_>| table.rows.first().map(|row| row.point.row);
    Some(Whole {
        rule: &rules::BURDENS_EXCHANGED,
        table: at,
        at: first(high).into_iter().chain(first(low)).collect(),
        items,
        observed,
        cost: 0.0,
    })
}
