//! Where on its sheet everything of a chart stands.

use plotters_backend::BackendCoord;
use std::borrow::Cow;

use super::decades::equal_decades;
use super::ruler::{Ruler, Scale};
use super::space::Area;
use super::text::wrap;
use super::{Axes, Chart};

/// Width of every sheet.
pub(super) const SHEET: i32 = 8500;
pub(super) const HEADING: i32 = 280;
/// Distance of two lines of the heading.
pub(super) const HEADING_LEADING: i32 = 360;
/// Length of an upright axis that no decades decide, millimetres.
const UPRIGHT: f64 = 46.0;
/// Least distance of two labels of the upright axis, millimetres.
const LABEL_GAP: f64 = 4.5;
/// Height of what stands under the level axis: labels and title.
pub(super) const UNDER: i32 = 820;
/// Room between that and the key.
pub(super) const BEFORE_KEY: i32 = 100;
/// Room beside the title of the upright axis.
pub(super) const EDGE: i32 = 40;
/// Room for that title, and for the ticks.
const TITLE: i32 = 420;

/// Where what stands, in hundredths of a millimetre.
pub(super) struct Layout {
    pub x: Ruler,
    pub y: Ruler,
    pub titles: [Cow<'static, str>; 2],
    pub origins: [Option<f64>; 2],
    pub heading: Vec<String>,
    /// The plot.
    pub frame: Area,
    pub note: Option<String>,
}

/// The two axes as they are ruled for a width.
struct Ruled {
    x: Ruler,
    y: Ruler,
    /// Length of the upright axis, millimetres.
    height: f64,
    /// Length of a decade, where both axes have decades of one length.
    decade: Option<f64>,
}

impl Ruled {
    /// `across` is the length of the level axis in hundredths of a millimetre; `before` the axes as they
    /// were ruled for another one.
    fn of(axes: &Axes, points: &[(f64, f64)], across: i32, before: Option<Self>) -> Self {
        let across = f64::from(across) / 100.0;
        match axes {
            Axes::EqualDecades { decade, .. } => {
                let found = equal_decades(points, across, *decade);
                Self {
                    x: Ruler::level(Scale::Log, found.x, across),
                    y: Ruler::new(Scale::Log, found.y, found.height, LABEL_GAP),
                    height: found.height,
                    decade: Some(found.decade),
                }
            }
            Axes::Plain { x, y } => {
                let level = x.range.over(points.iter().map(|point| point.0));
                let upright = || {
                    let up = y.range.over(points.iter().map(|point| point.1));
                    Ruler::new(y.range.scale(), up, UPRIGHT, LABEL_GAP)
                };
                Self {
                    x: Ruler::level(x.range.scale(), level, across),
                    y: before.map_or_else(upright, |before| before.y),
                    height: UPRIGHT,
                    decade: None,
                }
            }
        }
    }

    /// Left and right margin that the labels ask for.
    fn margins(&self) -> (i32, i32) {
        let left = EDGE + TITLE + self.y.widest().max(300);
        (left, 220.max(self.x.widest() / 2 + 40))
    }
}

impl Layout {
    pub(super) fn of(chart: &Chart) -> Self {
        let points = chart.corners();
        let (mut left, mut right) = (0, 0);
        let mut ruled = Ruled::of(&chart.axes, &points, SHEET, None);
        // The labels decide how much is left for the axes, and these which labels there are.
        for _ in 0..3 {
            let (l, r) = ruled.margins();
            if l <= left && r <= right {
                break;
            }
            (left, right) = (left.max(l), right.max(r));
            let across = SHEET - left - right;
            ruled = Ruled::of(&chart.axes, &points, across, Some(ruled));
        }
        let Ruled {
            x,
            y,
            height,
            decade,
        } = ruled;
        let (titles, origins) = match &chart.axes {
            Axes::EqualDecades { x, y, .. } => ([(*x).into(), (*y).into()], [None, None]),
            Axes::Plain { x, y } => ([x.title.clone(), y.title.clone()], [x.origin, y.origin]),
        };
        let heading = wrap(&chart.title, HEADING, SHEET - 100, 4);
        Self {
            x,
            y,
            titles,
            origins,
            frame: Area {
                x: left,
                y: 180 + HEADING_LEADING * heading.len() as i32,
                w: SHEET - left - right,
                h: (height * 100.0).round() as i32,
            },
            heading,
            note: decade.map(decade_note),
        }
    }

    /// The place of a point.
    pub(super) fn place(&self, (x, y): (f64, f64)) -> BackendCoord {
        (self.x.place(x, self.across()), self.y.place(y, self.up()))
    }

    /// The two ends of the level axis.
    pub(super) fn across(&self) -> (i32, i32) {
        (self.frame.x, self.frame.x + self.frame.w)
    }

    /// The lower and the upper end of the upright axis.
    pub(super) fn up(&self) -> (i32, i32) {
        (self.frame.y + self.frame.h, self.frame.y)
    }

    /// Where the key begins.
    pub(super) fn bottom(&self) -> i32 {
        self.up().0 + UNDER + BEFORE_KEY
    }
}

fn decade_note(decade: f64) -> String {
    let text = format!("{decade:.1}");
    let length = text.strip_suffix(".0").unwrap_or(&text);
    format!("Logarithmic axes; one decade is {length} mm on both.")
}
