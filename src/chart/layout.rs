//! Where on its sheet everything of a chart stands.

use super::decades::{ACROSS, equal_decades};
use super::ruler::{Ruler, Scale};
use super::text::wrap;
use super::{Axes, Chart};

pub(super) const HEADING: i32 = 360;
/// Distance of two lines of the heading.
pub(super) const HEADING_LEADING: i32 = 470;
/// Length of an upright axis that no decades decide, millimetres.
const UPRIGHT: f64 = 76.0;
/// Least distance of two labels of the upright axis, millimetres.
const LABEL_GAP: f64 = 6.0;
/// Height of what stands under the level axis: labels and title.
pub(super) const UNDER: i32 = 1000;
/// Room between that and the key.
pub(super) const BEFORE_KEY: i32 = 150;
/// Room beside the title of the upright axis.
pub(super) const EDGE: i32 = 80;

/// Where what stands, in hundredths of a millimetre.
pub(super) struct Layout {
    pub x: Ruler,
    pub y: Ruler,
    pub titles: [&'static str; 2],
    pub origins: [Option<f64>; 2],
    pub heading: Vec<String>,
    /// Left, upper and right margin of the plot.
    pub left: i32,
    pub top: i32,
    pub right: i32,
    height: i32,
    pub note: Option<String>,
}

impl Layout {
    pub(super) fn of(chart: &Chart) -> Self {
        let points = chart.points();
        let (x, y, height, note) = match &chart.axes {
            Axes::EqualDecades { .. } => {
                let found = equal_decades(&points);
                let x = Ruler::level(Scale::Log, found.x, ACROSS);
                let y = Ruler::new(Scale::Log, found.y, found.height, LABEL_GAP);
                (x, y, found.height, Some(decade_note(found.decade)))
            }
            Axes::Plain { x, y } => {
                let across = x.range.over(points.iter().map(|point| point.0));
                let up = y.range.over(points.iter().map(|point| point.1));
                let x = Ruler::level(x.range.scale(), across, ACROSS);
                let y = Ruler::new(y.range.scale(), up, UPRIGHT, LABEL_GAP);
                (x, y, UPRIGHT, None)
            }
        };
        let (titles, origins) = match &chart.axes {
            Axes::EqualDecades { x, y } => ([*x, *y], [None, None]),
            Axes::Plain { x, y } => ([x.title, y.title], [x.origin, y.origin]),
        };
        let left = EDGE + 600 + y.widest().max(400);
        let right = 500.max(x.widest() / 2 + 60);
        let heading = wrap(&chart.title, HEADING, left + width() + right - 100, 4);
        Self {
            x,
            y,
            titles,
            origins,
            top: 300 + HEADING_LEADING * heading.len() as i32,
            heading,
            left,
            right,
            height: (height * 100.0).round() as i32,
            note,
        }
    }

    pub(super) fn sheet_width(&self) -> i32 {
        self.left + width() + self.right
    }

    /// Where the key begins.
    pub(super) fn bottom(&self) -> i32 {
        self.top + self.height + UNDER + BEFORE_KEY
    }
}

fn width() -> i32 {
    (ACROSS * 100.0) as i32
}

fn decade_note(decade: f64) -> String {
    let text = format!("{decade:.1}");
    let length = text.strip_suffix(".0").unwrap_or(&text);
    format!("Both axes logarithmic; one decade is {length} mm on either at natural size.")
}
