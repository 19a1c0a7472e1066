//! One number of a table of errors that was written wrongly: its point, its sign, two of its digits.

use super::room::{Column, Dot, Room, beside};
use super::whole::{MOST_APART, go_right, go_together};
use super::{BOTH, Bench, FAR, FITS, Row, UNLIKE, What, worst};
use crate::ground::quantity::Reading;
use crate::judge::cause::digits::{Meant, alternatives};
use crate::judge::cause::evidence::{Item, Of};
use crate::judge::cause::hypothesis::{Hypothesis, TIE, price};

const OF_A_SLIP: f64 = price::OF_A_FREE_SIZE;
/// A minus that was lost or is too many, in natural logarithms.
const OF_A_SIGN: f64 = 0.5;
/// What the yard induces, or the iron keeps, bends a table too: a number that is off by less than such a share of what
/// its column spans is no slip. A convention of this project.
const OF_THE_COLUMN: f64 = 0.25;
/// As a share of what was meant: where it may lie further apart, a point, two digits or a sign would put nearly anything
/// there. Conventions of this project.
const WIDE: f64 = 0.8;
const WIDE_FOR_DIGITS: f64 = 0.3;
const WIDE_FOR_A_SIGN: f64 = 1.0;

/// Why a number is told: what agrees with it.
const BY_THE_TABLE: &str = "the rows beside it and the other columns";

/// A number of a table with what was meant by it.
struct Slip<'a> {
    at: usize,
    row: &'a Row<'a>,
    cell: &'a Reading,
    meant: Meant,
    /// As it was written and as it was meant.
    own: f64,
    put: f64,
    /// How unlikely it is, in natural logarithms.
    cost: f64,
    /// Whether little else would fit, and the table goes the way of an exciting current with it.
    tells: bool,
}

impl<'a> Bench<'a> {
    /// The one number by which a column is as it should be. What could be two things is neither.
    pub fn slip(&self) -> Option<Hypothesis> {
        let rows = self.table.rows.iter().enumerate();
        let mut all: Vec<Slip<'_>> = rows.flat_map(|(at, row)| self.in_cell(at, row)).collect();
        all.sort_by(|one, other| one.cost.total_cmp(&other.cost));
        let mut all = all.into_iter();
        let first = all.next()?;
        let unique = all.next().is_none_or(|next| next.cost - first.cost >= TIE);
        if unique && first.tells {
            self.made(first)
        } else {
            None
        }
    }

    fn in_cell(&self, at: usize, row: &'a Row<'a>) -> Vec<Slip<'a>> {
        let (table, what) = (self.table, self.what);
        let Some((cell, own)) = row.cell(what).zip(table.dot(what, at)) else {
            return Vec::new();
        };
        let column = table.column(what);
        let held = self.held(row);
        let Some(near) = beside(column, &own, what.way()).or(held) else {
            return Vec::new();
        };
        let mut others = self.partners(column, &own);
        others.extend(held);
        let alike = others.iter().any(|room| room.beyond(own.y, own.u) < UNLIKE);
        let far = near.beyond(own.y, own.u) >= FAR;
        let far = far && near.outside(own.y).abs() >= OF_THE_COLUMN * range(column, &own);
        if !far || others.is_empty() || alike || self.is_odd_elsewhere(&own) {
            return Vec::new();
        }
        if self.may_saturate(at, &own, &near) {
            return Vec::new();
        }
        others.push(near);
        let times = own.y / cell.value.number;
        let all = alternatives(cell).into_iter();
        // No two digits are exchanged with a nought in front; and at an end of a table there is room for too many.
        let mut rows = column.iter().flatten();
        let is_between = rows.any(|one| one.x < own.x) && rows.any(|one| one.x > own.x);
        let size = |number: f64| libm::floor(libm::log10(number.abs()));
        let all = all.filter(|one| {
            let same = size(one.number) == size(cell.value.number);
            one.how != "unit" && (!one.is_digits || same && is_between)
        });
        let sign = Meant {
            number: -cell.value.number,
            cost: OF_A_SIGN,
            how: SIGN,
            is_digits: false,
        };
        let slips = all.chain([sign]).filter_map(|meant| {
            let put = meant.number * times;
            let cost = meant.cost + self.misfit(&others, put)?;
            let both = self.with(at, put);
            let [error, phase] = &both;
            let narrow = self.room(&others) <= wide(&meant) * put.abs();
            let tells = narrow && go_right(error, phase);
            let (own, sound) = (own.y, self.is_sound(&both));
            sound.then_some(Slip {
                at,
                row,
                cell,
                meant,
                own,
                put,
                cost,
                tells,
            })
        });
        slips.collect()
    }

    /// Whether the iron may be full at the highest current: the other column would show it, and does not.
    fn may_saturate(&self, at: usize, own: &Dot, near: &Room) -> bool {
        let mut rows = self.table.column(self.what).iter().flatten();
        let off = near.outside(own.y);
        if rows.any(|dot| dot.x > own.x) || self.what.way() * off > 0.0 {
            return false;
        }
        let other = self.what.other();
        let shown = self.table.dot(other, at).and_then(|dot| {
            let room = beside(self.table.column(other), &dot, other.way())?;
            let heard = off.abs() / MOST_APART > UNLIKE * libm::hypot(room.u, dot.u);
            heard.then(|| room.beyond(dot.y, dot.u) > UNLIKE)
        });
        shown.unwrap_or(true)
    }

    /// How wide the place is that is left for a number.
    fn room(&self, rooms: &[Room]) -> f64 {
        let low = rooms.iter().map(|room| room.low);
        let high = rooms.iter().map(|room| room.high);
        let low = low.fold(f64::NEG_INFINITY, f64::max);
        let high = high.fold(f64::INFINITY, f64::min);
        let u = rooms.iter().map(|room| room.u);
        let u = u.fold(f64::INFINITY, f64::min);
        (high - low).max(0.0) + FITS * libm::hypot(u, self.table.usual(self.what))
    }

    /// What is left of the misfit where a number lies as the rows beside it and all other columns ask for. What was meant
    /// is known as well as the numbers beside it.
    fn misfit(&self, rooms: &[Room], put: f64) -> Option<f64> {
        let usual = self.table.usual(self.what);
        let beyond = || rooms.iter().map(|room| room.beyond(put, usual));
        let fits = beyond().all(|beyond| beyond <= FITS);
        fits.then(|| beyond().map(|beyond| 0.5 * beyond * beyond).sum())
    }

    /// Both columns with one number of this one put right.
    fn with(&self, at: usize, put: f64) -> [Column; 2] {
        BOTH.map(|what| match what == self.what {
            true => self.table.put(what, &[(at, put)]),
            false => self.table.column(what).clone(),
        })
    }

    /// Whether a table as a whole is as it should be: its rows go on smoothly, and with the other columns.
    fn is_sound(&self, both: &[Column; 2]) -> bool {
        let [error, phase] = both;
        let column = if self.what == What::Error {
            error
        } else {
            phase
        };
        let goes_on = |dot: &Dot| {
            let others = self.partners(column, dot);
            let mut all = others.iter();
            all.all(|room| room.beyond(dot.y, dot.u) < UNLIKE)
        };
        let smooth = worst(self.what, column) < UNLIKE;
        smooth && go_together(error, phase) && column.iter().flatten().all(goes_on)
    }

    fn made(&self, slip: Slip<'_>) -> Option<Hypothesis> {
        let (table, what) = (self.table, self.what);
        let row = slip.row.point.row;
        let column = table.put(what, &[(slip.at, slip.put)]);
        let observed = slip.meant.told_by(slip.cell, BY_THE_TABLE);
        let made = Hypothesis::new(what.rule(), table.seat(vec![row]), observed)
            .price(OF_A_SLIP + slip.meant.cost)
            .decide("the sheet that was written at the test, or this row again");
        let made = match self.shift(&column) {
            Some((family, shift)) => made.shift(family, shift),
            None => made,
        };
        // An earlier visit, or the sisters, are held against the number that was meant too.
        let own = |item: &Item| what == What::Error && item.at.first() == Some(&row);
        let off = |item: &Item| if own(item) { slip.own - slip.put } else { 0.0 };
        let made = made.moves(self.evidence, Of::Error, off);
        (!made.shifts.is_empty()).then_some(made)
    }
}

/// What a column spans without one of its values.
fn range(column: &Column, own: &Dot) -> f64 {
    let others = column.iter().flatten().filter(|one| one.x != own.x);
    let ends = others.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), one| {
        (one.y.min(low), one.y.max(high))
    });
    (ends.1 - ends.0).max(0.0)
}

const SIGN: &str = "minus sign";

fn wide(meant: &Meant) -> f64 {
    match meant.is_digits {
        true => WIDE_FOR_DIGITS,
        false if meant.how == SIGN => WIDE_FOR_A_SIGN,
        false => WIDE,
    }
}
