//! What of a chart can be drawn, and what its axes must hold.

use super::range::ends;
use super::ruler::Scale;
use super::{Axes, Band, Chart, Curve, Marks};

impl Chart {
    fn scales(&self) -> (Scale, Scale) {
        match &self.axes {
            Axes::EqualDecades { .. } => (Scale::Log, Scale::Log),
            Axes::Plain { x, y } => (x.range.scale(), y.range.scale()),
        }
    }

    /// The chart without what cannot be drawn, and how many points that were.
    pub(super) fn cleaned(mut self) -> (Self, usize) {
        let (xs, ys) = self.scales();
        let drawable = |at: &(f64, f64)| xs.has(at.0) && ys.has(at.1);
        let count = |chart: &Self| {
            let curves = chart.curves.iter().flat_map(Curve::points).count();
            let bands = chart.bands.iter().flat_map(Band::points).count();
            curves + bands + chart.marks.len() + chart.limits.len()
        };
        let all = count(&self);
        for curve in &mut self.curves {
            curve.line.retain(drawable);
            if let Marks::At(_, points) = &mut curve.marks {
                points.retain(drawable);
            }
        }
        for band in &mut self.bands {
            band.there.retain(drawable);
            band.back.retain(drawable);
        }
        self.bands.retain(|band| !band.there.is_empty());
        self.marks.retain(|mark| drawable(&mark.at));
        self.limits.retain(|limit| ys.has(limit.at));
        let skipped = all - count(&self);
        self.curves.retain(|curve| curve.points().next().is_some());
        (self, skipped)
    }

    /// The two corners of everything that the axes must hold.
    pub(super) fn corners(&self) -> [(f64, f64); 2] {
        let (xs, ys) = self.scales();
        let across = ends(self.points().map(|point| point.0).filter(|x| xs.has(*x)));
        let up = ends(self.points().map(|point| point.1).filter(|y| ys.has(*y)));
        let none = (f64::NAN, f64::NAN);
        let (across, up) = (across.unwrap_or(none), up.unwrap_or(none));
        [(across.0, up.0), (across.1, up.1)]
    }

    /// Everything that the axes must hold; a limit has no value on the level axis.
    fn points(&self) -> impl Iterator<Item = (f64, f64)> {
        let held = match &self.axes {
            Axes::EqualDecades { holding, .. } => holding.as_slice(),
            Axes::Plain { .. } => &[],
        };
        let curves = self.curves.iter().flat_map(Curve::points);
        let bands = self.bands.iter().flat_map(Band::points);
        let marks = self.marks.iter().map(|mark| mark.at);
        let limits = self.limits.iter().map(|limit| (f64::NAN, limit.at));
        let drawn = curves.chain(bands).chain(held).copied();
        drawn.chain(marks).chain(limits)
    }
}

impl Curve {
    fn points(&self) -> impl Iterator<Item = &(f64, f64)> {
        self.line.iter().chain(self.marks.own())
    }
}

impl Band {
    fn points(&self) -> impl Iterator<Item = &(f64, f64)> {
        self.there.iter().chain(&self.back)
    }
}

impl Marks {
    /// The points that are not those of the line.
    fn own(&self) -> &[(f64, f64)] {
        match self {
            Self::At(_, points) => points,
            Self::None | Self::Along => &[],
        }
    }
}

/// Says how many points are left out.
pub(super) fn skipped_note(count: usize) -> Option<String> {
    let said = match count {
        0 => return None,
        1 => "1 point has no place on the axes and is not drawn.".to_owned(),
        n => format!("{n} points have no place on the axes and are not drawn."),
    };
    Some(said)
}
