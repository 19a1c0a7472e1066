//! Where a row of a curve should lie: between the rows beside it, or as far off the earlier curve as these. A slip sits
//! in one row, so that what its neighbours do as well is none.

use super::slip::Place;
use crate::judge::cause::held::Held;

/// ln of the current of a reading, as it scatters between its neighbours: by itself, and beside an earlier curve that
/// tells how it bends there; and of a voltage. Common practice, no source.
pub(super) const SCATTER: f64 = 0.04;
const BESIDE_A_CURVE: f64 = 0.02;
const VOLTS: f64 = 0.01;
/// What was put right lies as near as sound readings do, what was written far outside: in standard deviations.
/// Conventions of this project.
const FITS: f64 = 2.0;
const FAR: f64 = 6.0;
/// A voltage out of the order of its rows by more than a hand on the knob does, in natural logarithms. Common practice,
/// no source.
const OUT_OF_ORDER: f64 = 0.05;
/// Rows that differ more from each other, in natural logarithms, tell nothing of the one between them. Conventions of
/// this project: a point or a unit is told by less than two digits, of which some pair fits nearly anything.
const APART: f64 = 0.05;
const WIDE: f64 = 0.5;
const WIDE_FOR_DIGITS: f64 = 0.15;

/// The rows beside one, the nearest first.
pub(super) struct Beside {
    before: Vec<Place>,
    after: Vec<Place>,
}

/// Where ln I may lie, and what it scatters by there.
struct Room {
    low: f64,
    high: f64,
    u: f64,
}

impl Room {
    /// How far outside, in standard deviations.
    fn beyond(&self, y: f64) -> f64 {
        (self.low - y).max(y - self.high).max(0.0) / self.u
    }
}

impl Beside {
    pub fn of(places: &[Place], own: &Place) -> Self {
        let mut rows: Vec<Place> = places.to_vec();
        rows.sort_by_key(|place| place.row.start);
        let at = |place: &Place| place.row.start;
        let before = rows.iter().rev().filter(|one| at(one) < at(own));
        let after = rows.iter().filter(|one| at(one) > at(own));
        Self {
            before: before.take(2).copied().collect(),
            after: after.take(2).copied().collect(),
        }
    }

    /// Whether a row fits where it is put, and lies far outside as it was written.
    pub fn tells(
        &self,
        held: Option<&Held<'_>>,
        own: &Place,
        put: &Place,
        is_digits: bool,
    ) -> bool {
        let most = if is_digits { WIDE_FOR_DIGITS } else { WIDE };
        let fits = |room: Room| room.high - room.low <= most && room.beyond(put.y) <= FITS;
        let off = self.out_of_order(own.x);
        let is_far = match off > 0.0 {
            true => off > OUT_OF_ORDER,
            false => self
                .room(held, own.x)
                .is_some_and(|room| room.beyond(own.y) >= FAR),
        };
        is_far && self.out_of_order(put.x) <= 0.0 && self.room(held, put.x).is_some_and(fits)
    }

    /// How far a voltage lies out of the order of its rows, in natural logarithms; nothing where it lies strictly
    /// between its neighbours, or goes on as the two rows beside it do.
    fn out_of_order(&self, x: f64) -> f64 {
        let ends = match (self.before.as_slice(), self.after.as_slice()) {
            ([before, ..], [after, ..]) => Some((before.x.min(after.x), before.x.max(after.x))),
            ([near, next], []) | ([], [near, next]) if near.x > next.x => {
                Some((near.x, f64::INFINITY))
            }
            ([near, _], []) | ([], [near, _]) => Some((f64::NEG_INFINITY, near.x)),
            _ => None,
        };
        let Some((low, high)) = ends else {
            return f64::INFINITY;
        };
        match low < x && x < high {
            true => 0.0,
            false => (low - x).max(x - high).max(f64::MIN_POSITIVE),
        }
    }

    fn room(&self, held: Option<&Held<'_>>, x: f64) -> Option<Room> {
        match held {
            Some(held) => self.by_curve(held, x),
            None => self.by_neighbours(x),
        }
    }

    /// As far off the earlier curve as the neighbours.
    fn by_curve(&self, held: &Held<'_>, x: f64) -> Option<Room> {
        let neighbours: Vec<&Place> = match (self.before.as_slice(), self.after.as_slice()) {
            ([before, ..], [after, ..]) => vec![before, after],
            ([near, next], []) | ([], [near, next]) => vec![near, next],
            _ => return None,
        };
        if !held.holds(x) || !neighbours.iter().all(|one| held.holds(one.x)) {
            return None;
        }
        // In ln V where the curve is steep, else in ln I.
        let off = |one: &&Place| {
            let (away, slope) = held.pairing.apart(one.x, one.y);
            away / slope.max(1.0)
        };
        let low = neighbours.iter().map(off).fold(f64::INFINITY, f64::min);
        let high = neighbours.iter().map(off).fold(f64::NEG_INFINITY, f64::max);
        let (minus_then, slope) = held.pairing.apart(x, 0.0);
        (high - low <= APART).then(|| Room {
            low: low * slope.max(1.0) - minus_then,
            high: high * slope.max(1.0) - minus_then,
            u: libm::hypot(BESIDE_A_CURVE, VOLTS * slope),
        })
    }

    /// Between the straight line through the neighbours and what the two rows on each side go on to: a curve that bends
    /// one way lies between them.
    fn by_neighbours(&self, x: f64) -> Option<Room> {
        let (before, after) = (self.before.first()?, self.after.first()?);
        let line = |one: &Place, other: &Place| {
            let slope = (other.y - one.y) / (other.x - one.x);
            (one.y + slope * (x - one.x), slope)
        };
        let (middle, slope) = line(before, after);
        let sides = [self.before.as_slice(), self.after.as_slice()];
        let goes_on = sides.into_iter().filter_map(|side| match side {
            [near, next] => Some(line(near, next).0),
            _ => None,
        });
        let goes_on: Vec<f64> = goes_on
            .map(|y| y.clamp(before.y.min(after.y), before.y.max(after.y)))
            .collect();
        let under = goes_on.iter().filter(|y| **y < middle).copied();
        let over = goes_on.iter().filter(|y| **y > middle).copied();
        let room = Room {
            low: under.reduce(f64::max).unwrap_or(middle),
            high: over.reduce(f64::min).unwrap_or(middle),
            u: libm::hypot(SCATTER, VOLTS * slope),
        };
        (!goes_on.is_empty() && room.u.is_finite()).then_some(room)
    }
}
