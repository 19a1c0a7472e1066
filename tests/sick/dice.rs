//! Choices and scatter, all from a text: the same text gives the same case everywhere.

use crate::demo::noise::Noise;

pub struct Dice(Noise);

impl Dice {
    pub fn of(text: &str) -> Self {
        Self(Noise::seeded(text))
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.unit()
    }

    /// Evenly spread over the decades: severities run from invisible to gross.
    pub fn decades(&mut self, low: f64, high: f64) -> f64 {
        low * libm::pow(high / low, self.0.unit())
    }

    pub fn chance(&mut self, share: f64) -> bool {
        self.0.unit() <= share
    }

    pub fn below(&mut self, count: usize) -> usize {
        ((self.0.unit() * count as f64) as usize).min(count - 1)
    }

    pub fn pick<T: Clone>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())].clone()
    }

    pub fn sign(&mut self) -> f64 {
        if self.chance(0.5) { 1.0 } else { -1.0 }
    }

    /// A factor of 1 give or take `percent`: the scatter of manufacture.
    pub fn spread(&mut self, percent: f64) -> f64 {
        self.0.spread(percent)
    }

    pub fn within(&mut self, limit: f64) -> f64 {
        self.0.within(limit)
    }
}
