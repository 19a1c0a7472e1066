//! Charts as SVG elements, drawn by plotters: plain data in, text out. Nothing here knows what the
//! numbers mean.
//!
//! The unit of every drawing is a hundredth of a millimetre. An element says its natural size in
//! millimetres (85 mm wide, so that two stand side by side on A4 and Letter, its text 7 points high),
//! at which a ruler reads the decades; [`STYLE`] lets it grow on a screen and shrink with a narrow
//! window. Curves are told apart by dash and mark; colour only helps. Limits carry short strokes on
//! the side to keep off. Text stays text and lies on no line: a label that finds no free place leaves
//! a number there and goes to the key.

mod bands;
mod curves;
mod decades;
mod key;
mod labels;
mod layout;
mod pen;
mod plot;
mod range;
mod ruler;
mod sheet;
mod space;
mod stamp;
mod step;
mod strokes;
mod style;
mod svg;
#[cfg(test)]
pub(crate) mod tests;
mod text;
mod thin;
mod ticks;
mod valid;

pub use decades::common_decade;
pub use pen::Pen;
pub use range::Range;
pub use space::Side;
pub use stamp::Shape;
pub use strokes::Hand;
pub use style::STYLE;

use std::borrow::Cow;

/// Level value and upright value, in the units of the axes.
pub type Points = Vec<(f64, f64)>;

/// A chart: two axes and what lies between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    pub title: String,
    /// For readers who do not see the picture.
    pub description: String,
    pub axes: Axes,
    /// The first is first in the key and drawn on top.
    pub curves: Vec<Curve>,
    /// Drawn under everything else.
    pub bands: Vec<Band>,
    pub limits: Vec<Limit>,
    /// Labelled in this order, so the first ones find the best places.
    pub marks: Vec<Mark>,
    /// Sentences under the key.
    pub notes: Vec<String>,
}

/// The two axes. Titles name the unit too: "current / A".
#[derive(Clone, Debug, PartialEq)]
pub enum Axes {
    /// Both logarithmic, decades of one length, so that angles are true.
    EqualDecades {
        x: &'static str,
        y: &'static str,
        /// Points that the axes hold beside those that are drawn, so that charts share their axes.
        holding: Points,
        /// Greatest length of a decade in millimetres, so that charts share their scale.
        decade: Option<f64>,
    },
    Plain {
        x: Axis,
        y: Axis,
    },
}

/// One axis by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    pub title: Cow<'static, str>,
    pub range: Range,
    /// A line is drawn across the chart at this value.
    pub origin: Option<f64>,
}

/// A line, marks along it, or both.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// For the key; a curve without a name is not in it.
    pub name: String,
    pub pen: Pen,
    pub line: Points,
    pub marks: Marks,
    /// On which hand of who walks along it one has to keep off.
    pub off: Option<Hand>,
}

/// What lies between two lines.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// For the key.
    pub name: String,
    pub pen: Pen,
    /// One of its edges; the other one comes back from its end.
    pub there: Points,
    pub back: Points,
}

/// The marks of a curve.
#[derive(Clone, Debug, PartialEq)]
pub enum Marks {
    None,
    /// On the points of the line, with a shape of the curve's own.
    Along,
    At(Shape, Points),
}

/// A level line to keep above. The name should hold the value ("at least 210 V"); the chart adds none.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    pub name: String,
    pub at: f64,
}

/// A point with a name.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    pub label: String,
    /// Its values in words, on a line of their own: "316.8 V, 8.51 mA".
    pub value: String,
    pub at: (f64, f64),
    pub shape: Shape,
    pub pen: Pen,
    /// Where the label should rather stand.
    pub side: Side,
    /// Thin lines lead from the point to both axes.
    pub guides: bool,
}
