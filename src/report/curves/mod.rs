//! Charts of the report, as SVG elements.
//!
//! The unit of every drawing is a hundredth of a millimetre. An element says its natural size in
//! millimetres (about 140 mm wide, so that it fits A4 and Letter), at which a ruler reads the
//! decades; [`STYLE`] lets it shrink with a narrow window. The units are the same on every chart,
//! A and V, never mA or kV, so that two charts can be laid side by side. Series are told apart by
//! dash and mark; colour only helps. Text stays text; labels that find no free place go to the key.

pub mod axis;
mod decades;
mod excitation;
mod factor;
mod figure;
mod ink;
mod key;
mod labels;
mod look;
mod parallelogram;
mod place;
mod ratio_errors;
mod series;
mod style;
#[cfg(test)]
mod tests;
mod text;
pub mod ticks;
mod waveform;

pub use style::STYLE;

/// A point with a name and its values in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What the point is: "knee, IEC 10/50".
    pub label: String,
    /// Its values as the report prints them: "316.8 V, 8.51 mA".
    pub value: String,
    /// In the unit of the level axis (s for a [`Waveform`]).
    pub x: f64,
    /// In the unit of the upright axis.
    pub y: f64,
}

/// Whose points a series holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// The core that the report is about.
    This,
    /// The same core of another phase.
    Sister,
    /// An earlier visit.
    Earlier,
    /// The maker's certificate.
    Factory,
}

/// A named run of points.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    pub name: String,
    pub points: Vec<(f64, f64)>,
    pub role: Role,
}

/// A named limit. The name should hold the value ("required knee 210 V"); the chart adds none.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    pub name: String,
    pub kind: LimitKind,
}

/// Where a limit lies, in the units of the axes.
#[derive(Clone, Debug, PartialEq)]
pub enum LimitKind {
    /// At this y.
    Horizontal(f64),
    /// At this x.
    Vertical(f64),
    /// At this x and y.
    Point(f64, f64),
    /// Along these points.
    Path(Vec<(f64, f64)>),
}

/// Excitation characteristic, log-log with decades of one length, so that the angles of knee-point
/// rules are true. Currents in A, voltages in V.
#[derive(Clone, Debug, PartialEq)]
pub struct Excitation {
    pub title: String,
    /// For readers who do not see the picture.
    pub description: String,
    /// Points of the interpolated curve, dense.
    pub curve: Vec<(f64, f64)>,
    /// The readings themselves.
    pub readings: Vec<(f64, f64)>,
    pub others: Vec<Series>,
    pub knees: Vec<Mark>,
    pub limits: Vec<Limit>,
}

/// Which error of the ratio a chart shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ErrorKind {
    /// Ratio error in %.
    Ratio,
    /// Phase displacement in minutes of arc.
    Phase,
}

/// Errors over the primary current, in percent of rated current.
#[derive(Clone, Debug, PartialEq)]
pub struct RatioErrors {
    pub title: String,
    pub description: String,
    /// (percent of rated current, error in the unit of `quantity`).
    pub runs: Vec<Series>,
    /// (percent of rated current, limit); the limit holds both ways.
    pub envelope: Vec<(f64, f64)>,
    pub quantity: ErrorKind,
}

/// Accuracy of an IEEE metering class: phase angle across, ratio correction factor upward.
#[derive(Clone, Debug, PartialEq)]
pub struct Parallelogram {
    pub title: String,
    pub description: String,
    /// (name, least and greatest transformer correction factor).
    pub limits: Vec<(String, f64, f64)>,
    /// (name, ratio correction factor, phase angle in minutes, positive when the secondary leads).
    pub points: Vec<(String, f64, f64)>,
}

/// Accuracy limit factor or instrument security factor over the burden.
#[derive(Clone, Debug, PartialEq)]
pub struct FactorOverBurden {
    pub title: String,
    pub description: String,
    /// (burden in VA, factor).
    pub points: Vec<(f64, f64)>,
    /// Rated burden in VA and rated factor.
    pub rated: (f64, f64),
    /// Connected burden in VA and the factor there.
    pub connected: Option<(f64, f64)>,
    /// The points are lower bounds, since the readings end below the limit.
    pub at_least: bool,
}

/// Simulated currents. Both in A on one scale: hand in the primary current divided by the rated ratio.
#[derive(Clone, Debug, PartialEq)]
pub struct Waveform {
    pub title: String,
    pub description: String,
    /// (time in s, primary current divided by the rated ratio in A).
    pub primary: Vec<(f64, f64)>,
    /// (time in s, secondary current in A).
    pub secondary: Vec<(f64, f64)>,
    pub marks: Vec<Mark>,
}
