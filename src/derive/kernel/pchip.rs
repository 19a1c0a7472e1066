//! Monotone piecewise cubic interpolation, the arithmetic alone.
//!
//! Slopes at inner knots by the weighted harmonic mean, at the ends by the three-point rule held
//! to the shape: F. N. Fritsch and J. Butland, A Method for Constructing Local Monotone Piecewise
//! Cubic Interpolants, SIAM J. Sci. Stat. Comput. 5 (1984), as in the PCHIP routine of the open
//! SciPy library, against which it is checked.

use super::num::{Num, constant};

/// Slope at an inner knot: `h` widths and `m` chord slopes before and after it.
pub fn inner<const N: usize>(h: [Num<N>; 2], m: [Num<N>; 2]) -> Num<N> {
    let [h0, h1] = h;
    let [m0, m1] = m;
    if m0.v * m1.v <= 0.0 {
        return constant(0.0);
    }
    let (w1, w2) = (2.0 * h1 + h0, h1 + 2.0 * h0);
    (w1 + w2) / (w1 / m0 + w2 / m1)
}

/// Slope at an end knot: widths and chord slopes of the end interval and of the next one inward.
pub fn end<const N: usize>(h: [Num<N>; 2], m: [Num<N>; 2]) -> Num<N> {
    let [h0, h1] = h;
    let [m0, m1] = m;
    let d = ((2.0 * h0 + h1) * m0 - h0 * m1) / (h0 + h1);
    if sign(d.v) != sign(m0.v) {
        constant(0.0)
    } else if sign(m0.v) != sign(m1.v) && d.v.abs() > 3.0 * m0.v.abs() {
        3.0 * m0
    } else {
        d
    }
}

fn sign(x: f64) -> i8 {
    i8::from(x > 0.0) - i8::from(x < 0.0)
}

/// One interval: ordinate and slope at its ends, its left abscissa and its width.
#[derive(Clone, Copy, Debug)]
pub struct Piece<const N: usize> {
    pub x0: Num<N>,
    pub h: Num<N>,
    pub y: [Num<N>; 2],
    pub d: [Num<N>; 2],
}

impl<const N: usize> Piece<N> {
    /// Coefficients of the cubic in `x - x0`: first, second and third power.
    fn coefficients(&self) -> [Num<N>; 3] {
        let [d0, d1] = self.d;
        let [y0, y1] = self.y;
        let chord = (y1 - y0) / self.h;
        let bend = (d0 + d1 - 2.0 * chord) / self.h;
        [d0, (chord - d0) / self.h - bend, bend / self.h]
    }

    /// The ordinate at `x`.
    pub fn at(&self, x: Num<N>) -> Num<N> {
        let [a, b, c] = self.coefficients();
        let [y0, _] = self.y;
        let t = x - self.x0;
        y0 + t * (a + t * (b + t * c))
    }

    /// The slope at `x`.
    pub fn slope(&self, x: Num<N>) -> Num<N> {
        let [a, b, c] = self.coefficients();
        let t = x - self.x0;
        a + t * (2.0 * b + t * (3.0 * c))
    }

    /// The second derivative at `x`.
    pub fn bend(&self, x: Num<N>) -> Num<N> {
        let [_, b, c] = self.coefficients();
        2.0 * b + 6.0 * c * (x - self.x0)
    }
}
