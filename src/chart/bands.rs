//! Bands: what lies between two lines, lightly filled under everything else.

use plotters::element::Polygon;

use super::key::{Entry, Sample};
use super::layout::Layout;
use super::pen::{FULL, Use};
use super::plot::{Drawn, Sheet};
use super::space::Space;
use super::{Band, Chart};

impl Band {
    /// Once around.
    fn ring(&self) -> impl Iterator<Item = &(f64, f64)> {
        self.there.iter().chain(self.back.iter().rev())
    }
}

impl Chart {
    pub(super) fn draw_bands(
        &self,
        sheet: &Sheet<'_>,
        layout: &Layout,
        space: &mut Space,
    ) -> Drawn<()> {
        for band in &self.bands {
            let ring: Vec<_> = band.ring().map(|at| layout.place(*at)).collect();
            space.curve(ring.iter().chain(ring.first()).copied());
            let fill = band.pen.colour(FULL, Use::Fill);
            sheet.draw(&Polygon::new(ring, fill))?;
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
