//! Conductors: resistance by length and section, and by temperature.

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Conductor {
    Copper,
    Aluminium,
}

impl Conductor {
    /// Resistance of a metre of 1 mm2 at 20 °C, ohm: annealed copper (IEC 60028; from memory),
    /// drawn aluminium (common practice, no source).
    pub fn of_metre(self) -> f64 {
        match self {
            Self::Copper => 0.017_241,
            Self::Aluminium => 0.0282,
        }
    }

    /// Change per kelvin from 20 °C: copper by IEC 60028 (from memory), aluminium as common practice.
    fn per_kelvin(self) -> f64 {
        match self {
            Self::Copper => 0.003_93,
            Self::Aluminium => 0.004_03,
        }
    }

    /// Factor from 20 °C to a temperature.
    pub fn at(self, celsius: f64) -> f64 {
        1.0 + self.per_kelvin() * (celsius - 20.0)
    }
}
