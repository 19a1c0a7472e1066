//! Finds room for labels: a grid of small cells knows what is drawn where. A label lies on nothing
//! that is drawn, and on no other label.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::ops::RangeInclusive;

use plotters_backend::BackendCoord;

use super::layout::SHEET;
use super::stamp::Shape;

/// Cells side by side at most, a bit each: more than a sheet is wide.
const COLS: i32 = u128::BITS as i32;
/// Side of a cell, hundredths of a millimetre.
const CELL: i32 = 70;
const _: () = assert!(SHEET / CELL < COLS);
/// Lines are noted at places this far apart; half of it is the most that one can slip between.
const SAMPLE: i32 = 50;
/// Room around a label: half a thick line, what slips between two samples, and a little air.
const AIR: i32 = SAMPLE / 2 + 24 + 16;
/// A label this near to its point needs no leader.
const NEAR: i32 = 230;
/// A label farther away than this is not found any more.
const FAR: i64 = 2400;
/// A label keeps this distance from its point.
const CLEAR: i32 = 130;
/// A leader ends this far from its label.
const GAP: i32 = 30;
/// What a leader costs, in hundredths of a millimetre of distance.
const LEADER: i64 = 300;
/// What it costs besides for each cell with a line in it.
const CROSSED: i64 = 250;

/// A rectangle on the sheet, hundredths of a millimetre.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Area {
    pub x: i32,
    pub y: i32,
    pub w: i32,
    pub h: i32,
}

impl Area {
    /// The place in the rectangle that is nearest to a point.
    fn nearest(&self, (x, y): BackendCoord) -> BackendCoord {
        (
            x.clamp(self.x, self.x + self.w),
            y.clamp(self.y, self.y + self.h),
        )
    }

    fn holds(&self, other: &Area) -> bool {
        let inside = |start: i32, length: i32, from: i32, room: i32| {
            start >= from && start + length <= from + room
        };
        inside(other.x, other.w, self.x, self.w) && inside(other.y, other.h, self.y, self.h)
    }

    fn grown(&self, by: i32) -> Self {
        let Self { x, y, w, h } = *self;
        Self {
            x: x - by,
            y: y - by,
            w: w + 2 * by,
            h: h + 2 * by,
        }
    }

    fn has(&self, (x, y): BackendCoord) -> bool {
        (self.x..=self.x + self.w).contains(&x) && (self.y..=self.y + self.h).contains(&y)
    }

    /// Whether a straight line touches the rectangle.
    fn touches(&self, line: Line) -> bool {
        let (right, low) = (self.x + self.w, self.y + self.h);
        let across = [
            ((self.x, self.y), (right, low)),
            ((self.x, low), (right, self.y)),
        ];
        self.has(line.0) || self.has(line.1) || across.iter().any(|side| cross(*side, line))
    }
}

/// Where a label went, and the end of its leader if it needs one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    pub area: Area,
    pub leader: Option<BackendCoord>,
}

/// Which side of its point a label should rather take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    Any,
    /// Below and to the right, the empty corner of a rising curve that bends over.
    LowerRight,
}

type Line = (BackendCoord, BackendCoord);

/// What is occupied of a plot.
pub(super) struct Space {
    /// The plot.
    frame: Area,
    /// The last column.
    right: i32,
    /// Rows of cells: a bit says whether something is drawn there.
    rows: Vec<u128>,
    labels: Vec<Area>,
    leaders: Vec<Line>,
}

impl Space {
    pub(super) fn new(frame: Area) -> Self {
        let rows = (frame.h / CELL).clamp(1, 400) as usize;
        Self {
            frame,
            right: (frame.w / CELL).clamp(1, COLS) - 1,
            rows: vec![0; rows],
            labels: Vec::new(),
            leaders: Vec::new(),
        }
    }

    /// The column of a place; one outside counts to the nearest.
    fn col(&self, x: i32) -> u32 {
        ((x - self.frame.x) / CELL).clamp(0, self.right) as u32
    }

    /// The row of a place; one outside counts to the nearest.
    fn row(&self, y: i32) -> usize {
        let row = (y - self.frame.y).max(0) / CELL;
        (row as usize).min(self.rows.len() - 1)
    }

    fn is_drawn(&self, (x, y): BackendCoord) -> bool {
        let row = self.rows.get(self.row(y));
        row.is_some_and(|row| row >> self.col(x) & 1 == 1)
    }

    /// Notes a drawn line.
    pub(super) fn line(&mut self, from: BackendCoord, to: BackendCoord) {
        along(from, to).for_each(|at| self.note(at));
    }

    /// Notes a curve.
    pub(super) fn curve(&mut self, points: impl Iterator<Item = BackendCoord>) {
        let mut last = None;
        for at in points {
            // Where one piece ended the next one starts.
            let known = usize::from(last.is_some());
            let places = along(last.unwrap_or(at), at).skip(known);
            places.for_each(|at| self.note(at));
            last = Some(at);
        }
    }

    /// Notes that something is drawn at a place.
    fn note(&mut self, (x, y): BackendCoord) {
        let (bit, row) = (1 << self.col(x), self.row(y));
        if let Some(row) = self.rows.get_mut(row) {
            *row |= bit;
        }
    }

    /// Keeps a rectangle free of labels.
    pub(super) fn keep_free(&mut self, area: Area) {
        let (mask, rows) = (self.mask(area.x, area.w), self.across(area.y, area.h));
        let rows = self.rows.get_mut(rows).unwrap_or_default();
        rows.iter_mut().for_each(|row| *row |= mask);
    }

    /// The cells of a stretch, as the bits of a row.
    fn mask(&self, x: i32, w: i32) -> u128 {
        let (first, last) = (self.col(x), self.col(x + w));
        u128::MAX << first & u128::MAX >> (u128::BITS - 1 - last)
    }

    /// The rows of a stretch.
    fn across(&self, y: i32, h: i32) -> RangeInclusive<usize> {
        self.row(y)..=self.row(y + h)
    }

    /// What is drawn on a stretch of rows and around it: a row that has all their bits.
    fn drawn(&self, y: i32, h: i32) -> u128 {
        let rows = self.rows.get(self.across(y - AIR, h + 2 * AIR));
        let rows = rows.unwrap_or_default().iter();
        rows.fold(0, |all, row| all | row)
    }

    /// The cells of a label and around it.
    fn wanted(&self, x: i32, w: i32) -> u128 {
        self.mask(x - AIR, w + 2 * AIR)
    }

    /// Keeps the place of a mark free of labels.
    pub(super) fn keep_mark(&mut self, (x, y): BackendCoord, shape: Shape) {
        let reach = shape.reach();
        if reach > 0 {
            let (w, h) = (0, 0);
            self.keep_free(Area { x, y, w, h }.grown(reach));
        }
    }

    /// Room for a label of the given size near a point: as near as may be, its leader on no label and
    /// across no other leader. `None` if there is none.
    pub(super) fn near(
        &mut self,
        size: (i32, i32),
        point: BackendCoord,
        side: Side,
    ) -> Option<Spot> {
        // Most labels find room near by; only for the others it is looked for farther away.
        let (mut most, mut under, all) = (FAR / 8, i64::MAX, FAR + LEADER);
        loop {
            match self.best(size, point, side, most, under) {
                Some((cost, area)) if cost <= most || most >= all => {
                    return Some(self.settle(area, point));
                }
                // Whatever wins over this one costs no more.
                Some((cost, _)) => (most, under) = (cost, cost + 1),
                None if most >= all => return None,
                None => most = all.min(3 * most),
            }
        }
    }

    /// The best of the places that cost less than `under`, among them all that cost no more than `most`.
    fn best(
        &self,
        size: (i32, i32),
        point: BackendCoord,
        side: Side,
        most: i64,
        mut under: i64,
    ) -> Option<(i64, Area)> {
        let mut options = self.options(size, point, side, most);
        let mut best = None;
        // Leaders are costly to judge: cheap places first, and none that cannot win any more.
        while let Some(Reverse((cost, y, x))) = options.pop() {
            if cost >= under {
                break;
            }
            let (w, h) = size;
            let area = Area { x, y, w, h };
            if let Some(leader) = self.leader_cost(point, area, under - cost) {
                under = cost + leader;
                best = Some((under, area));
            }
        }
        best
    }

    /// The free places for a label that may cost no more than `most`, with what they cost without their
    /// leader; the cheapest on top, of two as cheap the one above, of two side by side the left one.
    fn options(
        &self,
        (w, h): (i32, i32),
        point: BackendCoord,
        side: Side,
        most: i64,
    ) -> BinaryHeap<Reverse<(i64, i32, i32)>> {
        let mut options = Vec::new();
        let frame = self.frame.grown(-50);
        // So near that there is no leader, or so near that there is enough left for one.
        let reach = (most - LEADER).clamp(i64::from(NEAR + GAP), FAR) as i32;
        let most = most.min(FAR);
        // Places within reach, on a grid that starts with the frame.
        let near = |at: i32, from: i32, room: i32, own: i32, step: i32| {
            let skipped = (at - reach - own - from + step - 1).max(0) / step;
            let places = from + skipped * step..=(from + room - own).min(at + reach);
            places.step_by(step.unsigned_abs() as usize)
        };
        let cols = near(point.0, frame.x, frame.w, w, 110);
        let cols: Vec<(i32, u128)> = cols.map(|x| (x, self.wanted(x, w))).collect();
        for y in near(point.1, frame.y, frame.h, h, 70) {
            let drawn = self.drawn(y, h);
            for (x, _) in cols.iter().filter(|(_, wanted)| drawn & wanted == 0) {
                let area = Area { x: *x, y, w, h };
                let cost = distance_cost(area, point, side);
                if cost <= most {
                    options.push(Reverse((cost, y, *x)));
                }
            }
        }
        options.into()
    }

    fn settle(&mut self, area: Area, point: BackendCoord) -> Spot {
        self.take(area);
        let leader = leader(area, point);
        if let Some(end) = leader {
            self.line(point, end);
            self.leaders.push((point, end));
        }
        Spot { area, leader }
    }

    fn take(&mut self, area: Area) {
        self.keep_free(area);
        self.labels.push(area);
    }

    /// What the leader of a label costs; `None` if it must not be, or not for less than `under`.
    fn leader_cost(&self, from: BackendCoord, area: Area, under: i64) -> Option<i64> {
        let Some(end) = leader(area, from) else {
            return Some(0);
        };
        if under <= LEADER {
            return None;
        }
        let line = (from, end);
        let on_label = self
            .labels
            .iter()
            .any(|label| label.grown(AIR).touches(line));
        if on_label || self.leaders.iter().any(|other| cross(*other, line)) {
            return None;
        }
        // The mark at the start is its own.
        let places = along(from, end).skip(4).step_by(2);
        let covered = places.filter(|at| self.is_drawn(*at));
        let most = (under - LEADER - 1) / CROSSED;
        let crossed = covered.take(most as usize + 1).count() as i64;
        (crossed <= most).then_some(LEADER + crossed * CROSSED)
    }

    /// The first of the given rectangles that is free.
    pub(super) fn first(&mut self, areas: impl Iterator<Item = Area>) -> Option<Area> {
        let mut inside = areas.filter(|area| self.frame.holds(area));
        let free = |area: &Area| self.drawn(area.y, area.h) & self.wanted(area.x, area.w) == 0;
        let area = inside.find(free)?;
        self.take(area);
        Some(area)
    }
}

/// Where the leader of a label ends, if it needs one.
fn leader(area: Area, point: BackendCoord) -> Option<BackendCoord> {
    let end = area.grown(GAP).nearest(point);
    let far = (end.0 - point.0).abs().max((end.1 - point.1).abs()) > NEAR;
    far.then_some(end)
}

fn distance_cost(area: Area, point: BackendCoord, side: Side) -> i64 {
    let near = area.nearest(point);
    let (dx, dy) = (i64::from(near.0 - point.0), i64::from(near.1 - point.1));
    let distance = (((dx * dx + dy * dy) as f64).sqrt()) as i64;
    let close = (i64::from(CLEAR) - distance).max(0) * 8;
    let wrong_side = match side {
        Side::Any => 0,
        Side::LowerRight => {
            let (left, above) = (area.x < point.0, area.y < point.1);
            i64::from(left) * 700 + i64::from(above) * 500
        }
    };
    distance + close + wrong_side
}

/// Places on a straight line, both ends included.
fn along(from: BackendCoord, to: BackendCoord) -> impl Iterator<Item = BackendCoord> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let steps = (dx.abs().max(dy.abs()) / SAMPLE + 1).max(1);
    (0..=steps).map(move |n| {
        let part = f64::from(n) / f64::from(steps);
        let at = |start: i32, length: i32| start + (part * f64::from(length)) as i32;
        (at(from.0, dx), at(from.1, dy))
    })
}

fn cross(one: Line, two: Line) -> bool {
    let turn = |(a, b): Line, c: BackendCoord| {
        let (ux, uy) = (i64::from(b.0 - a.0), i64::from(b.1 - a.1));
        let (vx, vy) = (i64::from(c.0 - a.0), i64::from(c.1 - a.1));
        (ux * vy - uy * vx).signum()
    };
    turn(one, two.0) * turn(one, two.1) < 0 && turn(two, one.0) * turn(two, one.1) < 0
}
