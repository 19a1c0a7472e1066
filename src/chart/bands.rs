//! Bands: what lies between two lines, lightly filled under everything else.

use plotters::element::Polygon;

use super::key::{Entry, Sample};
use super::pen::{FULL, Use};
use super::plot::{Drawn, Plot};
use super::space::Space;
use super::{Band, Chart, Points};

impl Band {
    /// Once around.
    fn ring(&self) -> Points {
        let back = self.back.iter().rev();
        self.there.iter().chain(back).copied().collect()
    }
}

impl Chart {
    pub(super) fn draw_bands(&self, plot: &mut Plot<'_>, space: &mut Space) -> Drawn<()> {
        for band in &self.bands {
            let ring = band.ring();
            let closed = ring.iter().chain(ring.first());
            space.curve(closed.map(|at| plot.backend_coord(at)));
            let fill = band.pen.colour(FULL, Use::Fill);
            plot.draw_series([Polygon::new(ring, fill)])?;
        }
        Ok(())
    }

    pub(super) fn band_entries(&self) -> impl Iterator<Item = Entry> {
        let named = self.bands.iter().filter(|band| !band.name.is_empty());
        named.map(|band| Entry {
            pen: band.pen,
            sample: Sample::Band,
            shape: None,
            text: band.name.clone(),
        })
    }
}
