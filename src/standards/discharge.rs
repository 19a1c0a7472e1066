//! Partial discharge of the primary: at which voltages the charge is read, and how much it may be.

use std::sync::LazyLock;

use serde::Deserialize;
use strum::{Display, EnumString, VariantNames};

use super::cited::Cited;
use super::conductor::Family;
use super::insulation::InsulationKind;
use super::practice::threshold;
use super::store::rows;

/// How the neutral of the system is earthed that a unit is made for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Display, EnumString, VariantNames)]
#[serde(rename_all = "lowercase")]
#[strum(serialize_all = "lowercase")]
pub enum Neutral {
    /// Effectively, so that an earth fault raises the other phases little.
    Earthed,
    Isolated,
}

/// The charge allowed at one voltage.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct DischargeLimit {
    /// `None` where it holds for either.
    neutral: Option<Neutral>,
    /// The voltage as a multiple of the highest voltage for equipment.
    of_um: f64,
    liquid_pc: f64,
    solid_pc: f64,
    #[serde(flatten)]
    pub cited: Cited,
}

static LIMITS: LazyLock<Vec<DischargeLimit>> = LazyLock::new(|| rows("discharge"));

/// The limits of a unit of highest voltage `um` in V; none below the voltage from which they hold.
pub fn discharge_limits(
    family: Family,
    um: f64,
    neutral: Neutral,
) -> impl Iterator<Item = &'static DischargeLimit> {
    let from = threshold("iec-discharge-from").filter(|_| family == Family::Iec);
    let asked = from.is_some_and(|from| um >= from.limit * (1.0 - 1e-9));
    let holds = move |row: &&DischargeLimit| asked && row.neutral.is_none_or(|of| of == neutral);
    LIMITS.iter().filter(holds)
}

impl DischargeLimit {
    /// The voltage that it holds at, V r.m.s.
    #[must_use]
    pub fn voltage(&self, um: f64) -> f64 {
        self.of_um * um
    }

    /// The most charge, coulomb; `None` where nobody knows what insulates the primary.
    #[must_use]
    pub fn most(&self, insulation: InsulationKind) -> Option<f64> {
        let picocoulomb = match insulation {
            InsulationKind::Oil | InsulationKind::Gas => self.liquid_pc,
            InsulationKind::Solid => self.solid_pc,
            InsulationKind::Unknown => return None,
        };
        Some(picocoulomb * 1e-12)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The highest voltage from which on it is measured is itself one of those: IEC 61869-1:2007, 5.3.3.1 (from memory).
    #[test]
    fn it_is_asked_for_from_its_voltage_on() {
        let asked = |um: f64| discharge_limits(Family::Iec, um, Neutral::Earthed).count() > 0;
        assert!(asked(7.2e3) && asked(123e3) && !asked(7.1e3) && !asked(720.0));
        assert_eq!(
            discharge_limits(Family::Ieee, 123e3, Neutral::Earthed).count(),
            0
        );
    }
}
