//! A number that carries its derivatives to `N` inputs (forward differentiation).
//!
//! Portable transcendental functions come from `libm` here and nowhere else, so that the same
//! input gives the same bytes on every machine. Infinite and undefined results are possible inside
//! a formula; the ledger (`workings`) lets none of them out.
#![allow(
    clippy::indexing_slicing,
    reason = "every index runs over 0..N of arrays of length N"
)]

use std::ops::{Add, Div, Mul, Neg, Sub};

/// A value `v` with its `N` partial derivatives `d`; units are those of the formula that uses it.
#[derive(Clone, Copy, Debug)]
pub struct Num<const N: usize> {
    /// The value.
    pub v: f64,
    /// Partial derivative of `v` to each seeded input.
    pub d: [f64; N],
}

/// A number that depends on no input.
#[must_use]
pub const fn constant<const N: usize>(v: f64) -> Num<N> {
    Num { v, d: [0.0; N] }
}

/// Input number `i`; with `i >= N` it is a constant.
#[must_use]
pub const fn seed<const N: usize>(v: f64, i: usize) -> Num<N> {
    let mut d = [0.0; N];
    if i < N {
        d[i] = 1.0;
    }
    Num { v, d }
}

/// A derivative through a function of a slope. A zero derivative stays zero beside an infinite slope (sqrt at 0,
/// for a constant).
#[inline]
fn link(slope: f64, d: f64) -> f64 {
    if d == 0.0 { 0.0 } else { slope * d }
}

impl<const N: usize> Num<N> {
    /// Whether the value and every derivative are finite.
    #[must_use]
    pub fn is_finite(&self) -> bool {
        self.v.is_finite() && self.d.iter().all(|d| d.is_finite())
    }

    /// The function value `v` whose derivative to this number is `slope`.
    #[inline]
    fn chain(mut self, v: f64, slope: f64) -> Self {
        for d in &mut self.d {
            *d = link(slope, *d);
        }
        self.v = v;
        self
    }

    /// The function value `v` of two numbers, with slopes `a` to `self` and `b` to `other`.
    #[inline]
    fn chain2(mut self, other: Self, v: f64, a: f64, b: f64) -> Self {
        for (d, more) in self.d.iter_mut().zip(other.d) {
            *d = link(a, *d) + link(b, more);
        }
        self.v = v;
        self
    }

    /// Square root.
    #[must_use]
    pub fn sqrt(self) -> Self {
        let root = self.v.sqrt();
        self.chain(root, 0.5 / root)
    }

    /// Natural logarithm.
    #[must_use]
    pub fn ln(self) -> Self {
        self.chain(libm::log(self.v), 1.0 / self.v)
    }

    /// Exponential function.
    #[must_use]
    pub fn exp(self) -> Self {
        let e = libm::exp(self.v);
        self.chain(e, e)
    }

    /// Magnitude; at zero the derivative is the one from above.
    #[must_use]
    pub fn abs(self) -> Self {
        let slope = if self.v < 0.0 { -1.0 } else { 1.0 };
        self.chain(self.v.abs(), slope)
    }

    /// Whole power.
    #[must_use]
    pub fn powi(self, n: i32) -> Self {
        self.powf(f64::from(n))
    }

    /// Power with a constant exponent.
    #[must_use]
    pub fn powf(self, p: f64) -> Self {
        let slope = if p == 0.0 {
            0.0
        } else {
            p * libm::pow(self.v, p - 1.0)
        };
        self.chain(libm::pow(self.v, p), slope)
    }

    /// Sine of an angle in radians.
    #[must_use]
    pub fn sin(self) -> Self {
        self.chain(libm::sin(self.v), libm::cos(self.v))
    }

    /// Cosine of an angle in radians.
    #[must_use]
    pub fn cos(self) -> Self {
        self.chain(libm::cos(self.v), -libm::sin(self.v))
    }

    /// Angle in radians of the point with ordinate `self` and abscissa `x`.
    #[must_use]
    pub fn atan2(self, x: Self) -> Self {
        let square = self.v * self.v + x.v * x.v;
        let angle = libm::atan2(self.v, x.v);
        self.chain2(x, angle, x.v / square, -self.v / square)
    }

    /// Length of the right-angled pair `self`, `other`.
    #[must_use]
    pub fn hypot(self, other: Self) -> Self {
        let long = libm::hypot(self.v, other.v);
        self.chain2(other, long, self.v / long, other.v / long)
    }

    /// The larger by value; `self` when they are equal.
    #[must_use]
    pub fn max(self, other: Self) -> Self {
        if other.v > self.v { other } else { self }
    }

    /// The smaller by value; `self` when they are equal.
    #[must_use]
    pub fn min(self, other: Self) -> Self {
        if other.v < self.v { other } else { self }
    }
}

impl<const N: usize> Neg for Num<N> {
    type Output = Self;
    fn neg(self) -> Self {
        self.chain(-self.v, -1.0)
    }
}

impl<const N: usize> Add for Num<N> {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        self.chain2(o, self.v + o.v, 1.0, 1.0)
    }
}

impl<const N: usize> Sub for Num<N> {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        self.chain2(o, self.v - o.v, 1.0, -1.0)
    }
}

impl<const N: usize> Mul for Num<N> {
    type Output = Self;
    fn mul(self, o: Self) -> Self {
        self.chain2(o, self.v * o.v, o.v, self.v)
    }
}

impl<const N: usize> Div for Num<N> {
    type Output = Self;
    fn div(self, o: Self) -> Self {
        let q = self.v / o.v;
        self.chain2(o, q, 1.0 / o.v, -q / o.v)
    }
}

macro_rules! with_plain_numbers {
    ($($operation:ident $name:ident),*) => {$(
        impl<const N: usize> $operation<f64> for Num<N> {
            type Output = Self;
            fn $name(self, o: f64) -> Self { $operation::$name(self, constant(o)) }
        }
        impl<const N: usize> $operation<Num<N>> for f64 {
            type Output = Num<N>;
            fn $name(self, o: Num<N>) -> Num<N> { $operation::$name(constant::<N>(self), o) }
        }
    )*};
}
with_plain_numbers!(Add add, Sub sub, Mul mul, Div div);

#[cfg(test)]
mod tests {
    use super::*;

    type Pair = (&'static str, fn([Num<2>; 2]) -> Num<2>, fn(f64, f64) -> f64);

    #[test]
    fn every_operation_agrees_with_a_difference_quotient() {
        let operations: [Pair; 17] = [
            ("+", |[a, b]| a + b, |a, b| a + b),
            ("-", |[a, b]| 3.0 - (a - b) - 1.0, |a, b| 2.0 - a + b),
            ("*", |[a, b]| 2.0 * (a * b), |a, b| 2.0 * a * b),
            ("/", |[a, b]| a / b + 1.0 / b, |a, b| (a + 1.0) / b),
            ("neg", |[a, b]| -a * b, |a, b| -a * b),
            ("sqrt", |[a, b]| (a * b).sqrt(), |a, b| (a * b).sqrt()),
            ("ln", |[a, b]| (a * b).ln(), |a, b| (a * b).ln()),
            ("exp", |[a, b]| (a - b).exp(), |a, b| (a - b).exp()),
            (
                "abs",
                |[a, b]| (a - b * 3.0).abs(),
                |a, b| (a - b * 3.0).abs(),
            ),
            ("powi", |[a, b]| (a * b).powi(3), |a, b| (a * b).powi(3)),
            ("powf", |[a, b]| (a * b).powf(0.3), |a, b| (a * b).powf(0.3)),
            ("sin", |[a, b]| (a * b).sin(), |a, b| (a * b).sin()),
            ("cos", |[a, b]| (a * b).cos(), |a, b| (a * b).cos()),
            ("atan2", |[a, b]| a.atan2(b), f64::atan2),
            ("hypot", |[a, b]| a.hypot(b), f64::hypot),
            (
                "max min",
                |[a, b]| a.max(b) * a.min(b * 4.0),
                |a, b| a.max(b) * a.min(b * 4.0),
            ),
            (
                "max min of the other",
                |[a, b]| a.max(b * 4.0) * a.min(b),
                |a, b| a.max(b * 4.0) * a.min(b),
            ),
        ];
        let (a, b) = (1.3, 0.7);
        for (name, go, plain) in operations {
            let out = go([seed(a, 0), seed(b, 1)]);
            assert!((out.v - plain(a, b)).abs() < 1e-14, "{name}");
            let h = 1e-6;
            let da = (plain(a + h, b) - plain(a - h, b)) / (2.0 * h);
            let db = (plain(a, b + h) - plain(a, b - h)) / (2.0 * h);
            assert!((out.d[0] - da).abs() < 1e-8, "{name}: {} {da}", out.d[0]);
            assert!((out.d[1] - db).abs() < 1e-8, "{name}: {} {db}", out.d[1]);
        }
    }

    #[test]
    fn a_constant_keeps_zero_derivatives_beside_an_infinite_slope() {
        let root = constant::<1>(0.0).sqrt();
        assert!(root.is_finite());
        assert!(!seed::<1>(0.0, 0).sqrt().is_finite());
    }
}
