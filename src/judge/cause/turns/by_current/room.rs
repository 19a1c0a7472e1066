//! Where an error of a table should lie: between the rows beside it, and as the other column, the other burden or an
//! earlier reading lets one expect. Errors are made by the exciting current, which changes smoothly with the current,
//! and both columns and all burdens show the same of it.

/// A value of a column at ln of the current: ratio error as a share or phase displacement in radian, both of them the
/// same share of the current.
#[derive(Clone, Copy, Debug)]
pub(super) struct Dot {
    pub x: f64,
    pub y: f64,
    pub u: f64,
}

/// The rows of a column in the order of their currents; none where nothing was read.
pub(super) type Column = Vec<Option<Dot>>;

/// Where a value may lie, and what these bounds scatter by.
#[derive(Clone, Copy, Debug)]
pub(super) struct Room {
    pub low: f64,
    pub high: f64,
    pub u: f64,
}

/// Towards the ends of a table an error may change so many times as steeply as between the two rows beside it: the
/// exciting current of iron goes with a power of the flux of 0.4 to 1.5. Common practice, no source.
const STEEPER: f64 = 4.0;
/// What goes with the other column or the other burden in a straight line does so within such a share: the angle of
/// the exciting current changes with the flux. Common practice, no source.
const BENDS: f64 = 0.2;
/// Rows that differ by less than so many standard deviations tell no slope. A convention of this project.
const TELLS: f64 = 2.0;

/// So many times what lies between two rows a straight line through them reaches. A convention of this project.
const REACHES: f64 = 1.5;

impl Room {
    /// How far outside, with its sign.
    pub fn outside(&self, y: f64) -> f64 {
        (y - self.high).max(0.0) - (self.low - y).max(0.0)
    }

    /// The same in standard deviations, for a value with an uncertainty of its own.
    pub fn beyond(&self, y: f64, own: f64) -> f64 {
        self.outside(y).abs() / libm::hypot(self.u, own)
    }
}

/// Between the rows beside one; at an end, from the two rows beside it. `way` is 1 where a column rises with the
/// current and -1 where it falls.
pub(super) fn beside(column: &[Option<Dot>], own: &Dot, way: f64) -> Option<Room> {
    let before = column.iter().rev().flatten().filter(|one| one.x < own.x);
    let before: Vec<&Dot> = before.take(2).collect();
    let after = column.iter().flatten().filter(|one| one.x > own.x);
    let after: Vec<&Dot> = after.take(2).collect();
    let goes_on = |near: &Dot, next: &Dot, times: f64| {
        let slope = (near.y - next.y) / (near.x - next.x);
        near.y + times * slope * (own.x - near.x)
    };
    let (places, u) = match (before.as_slice(), after.as_slice()) {
        // Above the knee an error turns: what goes on from below as it should is as good.
        ([near, next], [after, ..]) => {
            let on = goes_on(near, next, 1.0);
            let on = if way * (on - near.y) > 0.0 {
                on
            } else {
                near.y
            };
            (vec![near.y, after.y, on], near.u.max(after.u))
        }
        ([near], [after, ..]) => (vec![near.y, after.y], near.u.max(after.u)),
        ([near, next], []) | ([], [near, next]) => {
            let u = libm::hypot(near.u, next.u);
            (vec![near.y, goes_on(near, next, STEEPER)], u)
        }
        _ => return None,
    };
    let low = places.iter().copied().fold(f64::INFINITY, f64::min);
    let high = places.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    (low.is_finite() && high.is_finite() && u > 0.0).then_some(Room { low, high, u })
}

/// By what another column says of the same currents, in a straight line through the rows where both were read that lie
/// furthest apart.
pub(super) fn by_another(column: &[Option<Dot>], other: &[Option<Dot>], own: &Dot) -> Option<Room> {
    let all = column.iter().zip(other);
    let both = all.filter_map(|(one, other)| Some((one.as_ref()?, other.as_ref()?)));
    let (anchors, here): (Vec<_>, Vec<_>) = both.partition(|(one, _)| one.x != own.x);
    let (_, here) = here.first()?;
    let by = |one: &&(&Dot, &Dot), two: &&(&Dot, &Dot)| one.1.y.total_cmp(&two.1.y);
    let (low, high) = (anchors.iter().min_by(by)?, anchors.iter().max_by(by)?);
    let apart = high.1.y - low.1.y;
    if anchors.len() < 2 || apart < TELLS * libm::hypot(low.1.u, high.1.u) {
        return None;
    }
    let slope = (high.0.y - low.0.y) / apart;
    let from_low = (here.y - low.1.y).abs() < (here.y - high.1.y).abs();
    let (near, there) = if from_low { *low } else { *high };
    if (here.y - there.y).abs() > REACHES * apart {
        return None;
    }
    let goes = slope * (here.y - there.y);
    let bends = BENDS * goes.abs();
    // What the two anchors scatter by tilts the line.
    let tilts = |one: f64, other: f64| libm::hypot(one, other) * (here.y - there.y) / apart;
    let across = libm::hypot(here.u, tilts(low.1.u, high.1.u));
    let along = libm::hypot(near.u, tilts(low.0.u, high.0.u));
    let u = libm::hypot(along, slope * across);
    Some(Room {
        low: near.y + goes - bends,
        high: near.y + goes + bends,
        u,
    })
}
