//! Seeded noise: the same text gives the same readings on every machine.

/// A splitmix64 generator (published mixing function, constants from memory).
pub struct Noise(u64);

impl Noise {
    /// Seeds from a text (FNV-1a), so that adding one CT changes no other file.
    pub fn seeded(text: &str) -> Self {
        let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
        Self(hash)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Uniform in (0, 1]; never 0, because its logarithm is taken.
    pub fn unit(&mut self) -> f64 {
        ((self.next() >> 11) + 1) as f64 / (1_u64 << 53) as f64
    }

    /// Standard normal deviate (Box and Muller).
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * libm::log(self.unit())).sqrt();
        radius * libm::cos(2.0 * std::f64::consts::PI * self.unit())
    }

    /// Gaussian with a third of `limit` as standard deviation, cut at the limit: an instrument
    /// that keeps its stated accuracy.
    pub fn within(&mut self, limit: f64) -> f64 {
        (self.normal() / 3.0).clamp(-1.0, 1.0) * limit
    }

    /// A factor of 1 give or take `percent`: the scatter of manufacture.
    pub fn spread(&mut self, percent: f64) -> f64 {
        1.0 + self.within(percent / 100.0)
    }
}
