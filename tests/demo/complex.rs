//! The few phasor operations that the model needs.

use std::ops::{Add, Div, Mul};

/// A phasor.
#[derive(Clone, Copy)]
pub struct Complex {
    re: f64,
    im: f64,
}

impl Complex {
    pub fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }

    /// From magnitude and angle in degrees.
    pub fn polar(size: f64, degrees: f64) -> Self {
        let angle = degrees.to_radians();
        Self::new(size * libm::cos(angle), size * libm::sin(angle))
    }

    pub fn abs(self) -> f64 {
        libm::hypot(self.re, self.im)
    }

    pub fn arcmin(self) -> f64 {
        libm::atan2(self.im, self.re).to_degrees() * 60.0
    }

    /// The unit phasor of the same angle.
    pub fn direction(self) -> Self {
        let size = self.abs();
        Self::new(self.re / size, self.im / size)
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.re + other.re, self.im + other.im)
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let re = self.re * other.re - self.im * other.im;
        Self::new(re, self.re * other.im + self.im * other.re)
    }
}

impl Div for Complex {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let square = other.re * other.re + other.im * other.im;
        let re = (self.re * other.re + self.im * other.im) / square;
        Self::new(re, (self.im * other.re - self.re * other.im) / square)
    }
}
