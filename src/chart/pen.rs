//! Pens and dashes, and how they pass through plotters: its colours are only numbers on the way to
//! our own backend, which turns them back into classes that the style sheet colours.

use plotters::style::{RGBColor, ShapeStyle};

/// What is drawn with which class, so that light, dark and paper can have colours of their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum Pen {
    /// What the chart is about; stands out by weight too.
    Main,
    Second,
    Third,
    Fourth,
    /// What no reading shows: continued or assumed.
    Guess,
    Limit,
    /// A point on a curve.
    Point,
    Grid,
    Frame,
    Leader,
    Note,
    Plain,
}

const CLASSES: [&str; 12] = [
    "main", "second", "third", "fourth", "guess", "limit", "point", "grid", "frame", "leader",
    "small", "",
];

/// Stroke patterns in hundredths of a millimetre; the first is a full line.
const DASHES: [&str; 9] = [
    "",
    "180 80",
    "300 80 40 80",
    "40 80",
    "120 80",
    "40 70",
    "260 80",
    "210 60 40 60",
    "40 60",
];
/// The thin dots that lead from a point to the axes; never given to a curve.
pub(super) const DOTS: Dash = Dash(8);

/// A stroke pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Dash(u8);

/// A line without gaps.
pub(super) const FULL: Dash = Dash(0);

/// What a pen is used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(super) enum Use {
    Line,
    /// A mark at a point, whose inside hides the line under it.
    Mark,
    /// Text on a rim of the paper's colour, so that the grid does not run through it.
    Label,
    /// The inside of a band.
    Fill,
}

impl Pen {
    pub(super) fn colour(self, dash: Dash, with: Use) -> RGBColor {
        RGBColor(self as u8, dash.0, with as u8)
    }

    pub(super) fn line(self, dash: Dash) -> ShapeStyle {
        let width = match self {
            Self::Main => 48,
            Self::Fourth | Self::Guess => 34,
            Self::Limit => 28,
            Self::Frame => 16,
            Self::Leader => 12,
            Self::Grid => 10,
            _ => 22,
        };
        ShapeStyle::from(self.colour(dash, Use::Line)).stroke_width(width)
    }

    pub(super) fn mark(self) -> ShapeStyle {
        ShapeStyle::from(self.colour(FULL, Use::Mark)).stroke_width(22)
    }

    /// The `n`-th pattern of the pen, so that two lines of one colour differ.
    pub(super) fn dash(self, n: usize) -> Dash {
        let first = match self {
            Self::Second => 1,
            Self::Third => 2,
            Self::Fourth => 3,
            Self::Guess => 4,
            Self::Limit => 4,
            _ => 0,
        };
        Dash(((first + n) % usize::from(DOTS.0)) as u8)
    }
}

/// A pen, a dash and a use, as they come back through plotters.
pub(super) type Colour = (u8, u8, u8);

/// The classes of a colour: of its use, of its pen.
pub(super) fn class((pen, _, with): Colour) -> [&'static str; 2] {
    let of_use = ["", "mark ", "label ", "band "];
    let of_use = of_use.get(usize::from(with)).copied().unwrap_or_default();
    let of_pen = CLASSES.get(usize::from(pen)).copied().unwrap_or_default();
    [of_use, of_pen]
}

pub(super) fn dashes((_, dash, _): Colour) -> &'static str {
    DASHES.get(usize::from(dash)).copied().unwrap_or_default()
}
