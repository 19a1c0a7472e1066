//! Burdens as plates and tests state them.

use crate::ground::quantity::Quantity;

/// A burden as stated on a plate or for a test.
#[derive(Clone, Debug)]
pub enum Burden {
    /// Apparent power at rated secondary current, with the power factor if stated.
    Power {
        va: Quantity,
        power_factor: Option<f64>,
    },
    /// An extended range: `1-10 VA`; the class holds from the lower value on.
    Range {
        least: f64,
        va: Quantity,
    },
    Impedance {
        ohm: Quantity,
        power_factor: Option<f64>,
    },
    /// IEEE designation: `B-0.5`.
    Designation(String),
    /// What was connected in service, value unknown here.
    Connected,
    Shorted,
}
