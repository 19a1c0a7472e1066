//! Charts as SVG elements, drawn by plotters: plain data in, text out. Nothing here knows what the
//! numbers mean.
//!
//! The unit of every drawing is a hundredth of a millimetre. An element says its natural size in
//! millimetres (about 140 mm wide, so that it fits A4 and Letter), at which a ruler reads the
//! decades; [`STYLE`] lets it shrink with a narrow window. Curves are told apart by dash and mark;
//! colour only helps. Text stays text; labels that find no free place go to the key.

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
mod style;
mod svg;
#[cfg(test)]
mod tests;
mod text;
mod ticks;
mod valid;

pub use pen::Pen;
pub use range::Range;
pub use space::Side;
pub use stamp::Shape;
pub use style::STYLE;

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
    },
    Plain {
        x: Axis,
        y: Axis,
    },
}

/// One axis by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    pub title: &'static str,
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
}

/// The marks of a curve.
#[derive(Clone, Debug, PartialEq)]
pub enum Marks {
    None,
    /// On the points of the line, with a shape of the curve's own.
    Along,
    At(Shape, Points),
}

/// A level line. The name should hold the value ("at least 210 V"); the chart adds none.
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
