//! Insulation under direct voltage: a resistance that grows with time while it absorbs charge, falls
//! with warmth and moisture. Figures: common practice, no source.

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    OilPaper,
    CastResin,
    Gas,
    Dry,
}

impl Kind {
    pub fn word(self) -> &'static str {
        match self {
            Self::OilPaper => "oil and paper",
            Self::CastResin => "cast resin",
            Self::Gas => "gas",
            Self::Dry => "dry",
        }
    }

    /// Kelvins that halve it.
    fn halving(self) -> f64 {
        match self {
            Self::OilPaper => 10.0,
            Self::CastResin | Self::Dry => 15.0,
            Self::Gas => 60.0,
        }
    }
}

#[derive(Clone, Copy, Debug)]
pub struct Wall {
    pub kind: Kind,
    /// After 60 s, dry, at 20 °C, ohm.
    pub ohms: f64,
    /// Power of time by which it grows.
    pub absorbs: f64,
    /// Divides it, and takes the absorption; 1 is dry.
    pub wet: f64,
}

impl Wall {
    pub fn at(&self, seconds: f64, celsius: f64) -> f64 {
        let warm = libm::pow(2.0, (20.0 - celsius) / self.kind.halving());
        let grows = libm::pow(seconds / 60.0, self.absorbs / self.wet.sqrt());
        self.ohms / self.wet * warm * grows
    }
}

pub fn beside(one: f64, other: f64) -> f64 {
    1.0 / (1.0 / one + 1.0 / other)
}
