//! Finds room for labels: a grid of small cells knows what is drawn where.

use plotters_backend::BackendCoord;

/// Side of a cell, hundredths of a millimetre.
const CELL: i32 = 140;
/// Weight of a cell that must stay free; above it, ordinary lines count by one each.
const HARD: u32 = 1 << 16;
/// A label this near to its point needs no leader.
const NEAR: i32 = 230;
/// What a cell with a line under a label costs, hundredths of a millimetre of distance.
const LINE: i64 = 280;
/// Places that cost more than the cheapest by this are not looked at.
const WORTH_A_LOOK: i64 = 2500;
/// A label keeps this distance from its point.
const CLEAR: i32 = 190;

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
    cols: usize,
    rows: usize,
    cells: Vec<u32>,
    /// Sums over all cells above and to the left, so that a rectangle costs four look-ups.
    sums: Vec<u32>,
    leaders: Vec<Line>,
}

impl Space {
    pub(super) fn new(frame: Area) -> Self {
        let cols = (frame.w / CELL).clamp(1, 400) as usize;
        let rows = (frame.h / CELL).clamp(1, 400) as usize;
        let (cells, sums) = (vec![0; cols * rows], vec![0; (cols + 1) * (rows + 1)]);
        Self {
            frame,
            cols,
            rows,
            cells,
            sums,
            leaders: Vec::new(),
        }
    }

    fn cell(&self, (x, y): BackendCoord) -> (usize, usize) {
        let at = |place: i32, start: i32, count: usize| {
            let cell = (place - start).div_euclid(CELL);
            cell.clamp(0, count as i32 - 1) as usize
        };
        (
            at(x, self.frame.x, self.cols),
            at(y, self.frame.y, self.rows),
        )
    }

    fn weight(&self, (col, row): (usize, usize)) -> u32 {
        let cell = self.cells.get(row * self.cols + col);
        cell.copied().unwrap_or(0)
    }

    fn mark(&mut self, place: BackendCoord, weight: u32) {
        let (col, row) = self.cell(place);
        if let Some(cell) = self.cells.get_mut(row * self.cols + col) {
            *cell = (*cell).max(weight);
        }
    }

    /// Notes a drawn line, which labels should rather not cover.
    pub(super) fn line(&mut self, from: BackendCoord, to: BackendCoord) {
        for at in along(from, to) {
            self.mark(at, 1);
        }
    }

    /// Notes a curve.
    pub(super) fn curve(&mut self, points: impl Iterator<Item = BackendCoord>) {
        let mut last = None;
        for at in points {
            self.line(last.unwrap_or(at), at);
            last = Some(at);
        }
    }

    /// Keeps a rectangle free of labels.
    pub(super) fn keep_free(&mut self, area: Area) {
        let (first, top) = self.cell((area.x, area.y));
        let (last, bottom) = self.cell((area.x + area.w, area.y + area.h));
        for row in top..=bottom {
            let cells = self.cells.iter_mut().skip(row * self.cols + first);
            cells.take(last - first + 1).for_each(|cell| *cell = HARD);
        }
    }

    /// Keeps the surroundings of a mark free of labels.
    pub(super) fn keep_mark(&mut self, (x, y): BackendCoord) {
        self.keep_free(Area {
            x: x - 120,
            y: y - 120,
            w: 240,
            h: 240,
        });
    }

    fn sum_up(&mut self) {
        for row in 0..self.rows {
            let mut run = 0;
            for col in 0..self.cols {
                run += self.weight((col, row));
                let above = self.sum(col + 1, row);
                if let Some(sum) = self.sums.get_mut((row + 1) * (self.cols + 1) + col + 1) {
                    *sum = above + run;
                }
            }
        }
    }

    fn sum(&self, col: usize, row: usize) -> u32 {
        let sum = self.sums.get(row * (self.cols + 1) + col);
        sum.copied().unwrap_or(0)
    }

    /// Lines under a rectangle, or `None` if something there must stay free.
    fn load(&self, area: Area) -> Option<u32> {
        let (c0, r0) = self.cell((area.x, area.y));
        let (c1, r1) = self.cell((area.x + area.w, area.y + area.h));
        let load = (self.sum(c1 + 1, r1 + 1) + self.sum(c0, r0))
            .wrapping_sub(self.sum(c0, r1 + 1) + self.sum(c1 + 1, r0));
        (load < HARD).then_some(load)
    }

    /// Room for a label of the given size near a point: as near as may be, on no other label, on
    /// few lines, its leader crossing no other leader. `None` if the plot is full.
    pub(super) fn near(
        &mut self,
        size: (i32, i32),
        point: BackendCoord,
        side: Side,
    ) -> Option<Spot> {
        self.sum_up();
        let mut options = self.options(size, point, side);
        let cheapest = options.iter().map(|(cost, _)| *cost).min()?;
        options.retain(|(cost, _)| *cost <= cheapest + WORTH_A_LOOK);
        options.sort_by_key(|(cost, _)| *cost);
        let mut best: Option<(i64, Area)> = None;
        // Leaders are costly to judge: cheap places first, and none that cannot win any more.
        for (cost, area) in options {
            if best.is_some_and(|(least, _)| cost >= least) {
                break;
            }
            let cost = cost + self.leader_cost(point, area.nearest(point));
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, area));
            }
        }
        best.map(|(_, area)| self.settle(area, point))
    }

    /// All free places for a label, with what they cost apart from the leader.
    fn options(&self, (w, h): (i32, i32), point: BackendCoord, side: Side) -> Vec<(i64, Area)> {
        let mut options = Vec::new();
        let frame = self.frame;
        for y in (frame.y + 60..=frame.y + frame.h - 60 - h).step_by(180) {
            for x in (frame.x + 80..=frame.x + frame.w - 80 - w).step_by(230) {
                let area = Area { x, y, w, h };
                if let Some(load) = self.load(area) {
                    let cost = distance_cost(area, point, side) + i64::from(load) * LINE;
                    options.push((cost, area));
                }
            }
        }
        options
    }

    fn settle(&mut self, area: Area, point: BackendCoord) -> Spot {
        let end = area.nearest(point);
        self.keep_free(area);
        let far = (end.0 - point.0).abs().max((end.1 - point.1).abs()) > NEAR;
        if far {
            self.line(point, end);
            self.leaders.push((point, end));
        }
        Spot {
            area,
            leader: far.then_some(end),
        }
    }

    fn leader_cost(&self, from: BackendCoord, to: BackendCoord) -> i64 {
        let leaders = self.leaders.iter();
        let crossed = leaders.filter(|line| cross(**line, (from, to))).count();
        // The mark at the start is its own.
        let weights = along(from, to).skip(2).map(|at| self.weight(self.cell(at)));
        let capped = weights.map(|weight| if weight >= HARD { 20 } else { weight });
        let covered: u32 = capped.sum();
        crossed as i64 * 4000 + i64::from(covered) * 200
    }

    /// The first of the given rectangles that is free, preferring those over few lines.
    pub(super) fn first(&mut self, areas: impl Iterator<Item = Area>) -> Option<Area> {
        self.sum_up();
        let inside = areas.filter(|area| self.frame.holds(area));
        let free = inside.filter_map(|area| Some((self.load(area)?, area)));
        let (_, area) = free.min_by_key(|(load, _)| *load)?;
        self.keep_free(area);
        Some(area)
    }
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
            i64::from(left) * 1500 + i64::from(above) * 1200
        }
    };
    distance + close + wrong_side
}

/// Places a cell apart on a straight line, both ends included.
fn along(from: BackendCoord, to: BackendCoord) -> impl Iterator<Item = BackendCoord> {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let steps = (dx.abs().max(dy.abs()) / CELL).max(1);
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
