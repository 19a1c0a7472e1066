//! What of a chart can be drawn, and what its axes must hold.

use super::range::ends;
use super::ruler::Scale;
use super::{Axes, Chart, Curve, Marks, Points};

impl Chart {
    fn scales(&self) -> (Scale, Scale) {
        match &self.axes {
            Axes::EqualDecades { .. } => (Scale::Log, Scale::Log),
            Axes::Plain { x, y } => (x.range.scale(), y.range.scale()),
        }
    }

    /// The chart without what cannot be drawn, and how many points that were.
    pub(super) fn cleaned(&self) -> (Self, usize) {
        let (xs, ys) = self.scales();
        let drawable = |at: &(f64, f64)| xs.has(at.0) && ys.has(at.1);
        let mut chart = self.clone();
        let count = |chart: &Self| {
            let of = |curve: &Curve| curve.line.len() + curve.marks.own().len();
            let points: usize = chart.curves.iter().map(of).sum();
            let bands = chart.bands.iter();
            let bands: usize = bands.map(|band| band.there.len() + band.back.len()).sum();
            points + bands + chart.marks.len() + chart.limits.len()
        };
        for curve in &mut chart.curves {
            curve.line.retain(drawable);
            if let Marks::At(_, points) = &mut curve.marks {
                points.retain(drawable);
            }
        }
        for band in &mut chart.bands {
            band.there.retain(drawable);
            band.back.retain(drawable);
        }
        chart.bands.retain(|band| !band.there.is_empty());
        chart.marks.retain(|mark| drawable(&mark.at));
        chart.limits.retain(|limit| ys.has(limit.at));
        let skipped = count(self) - count(&chart);
        let empty = |curve: &Curve| curve.line.is_empty() && curve.marks.own().is_empty();
        chart.curves.retain(|curve| !empty(curve));
        (chart, skipped)
    }

    /// The two corners of everything that the axes must hold.
    pub(super) fn corners(&self) -> Points {
        let (xs, ys) = self.scales();
        let points = self.points();
        let across = ends(points.iter().map(|point| point.0).filter(|x| xs.has(*x)));
        let up = ends(points.iter().map(|point| point.1).filter(|y| ys.has(*y)));
        let none = (f64::NAN, f64::NAN);
        let (across, up) = (across.unwrap_or(none), up.unwrap_or(none));
        vec![(across.0, up.0), (across.1, up.1)]
    }

    /// Everything that the axes must hold; a limit has no value on the level axis.
    fn points(&self) -> Points {
        let mut all = Points::new();
        for curve in &self.curves {
            all.extend(&curve.line);
            all.extend(curve.marks.own());
        }
        for band in &self.bands {
            all.extend(band.there.iter().chain(&band.back));
        }
        if let Axes::EqualDecades { holding, .. } = &self.axes {
            all.extend(holding);
        }
        all.extend(self.marks.iter().map(|mark| mark.at));
        all.extend(self.limits.iter().map(|limit| (f64::NAN, limit.at)));
        all
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
