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

impl Burden {
    /// Its number as stated, whatever its unit; of a range the lower one.
    pub fn number(&self) -> Option<f64> {
        match self {
            Self::Power { va, .. } => Some(va.number),
            Self::Range { least, .. } => Some(*least),
            Self::Impedance { ohm, .. } => Some(ohm.number),
            Self::Designation(_) | Self::Connected | Self::Shorted => None,
        }
    }
}

/// The designation of a standard burden of IEEE as the tables name it, `B-0.5`; plates also write it without the
/// hyphen.
pub fn designation(text: &str) -> Option<String> {
    let letter = text.chars().next().filter(|c| matches!(c, 'B' | 'E'))?;
    let size = text.get(1..)?;
    let size = size.strip_prefix('-').unwrap_or(size);
    let plain = size.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let value: f64 = size.parse().ok().filter(|_| plain)?;
    (value > 0.0 && value < 1000.0).then(|| format!("{letter}-{size}"))
}

#[cfg(test)]
mod tests {
    use super::designation;

    #[test]
    fn a_designation_has_one_form() {
        for (written, name) in [("B-0.5", "B-0.5"), ("B1.8", "B-1.8"), ("E0.2", "E-0.2")] {
            assert_eq!(designation(written).as_deref(), Some(name));
        }
        for none in [
            "B", "B-", "BB-0.5", "B--1", "B-inf", "B0.1xyz", "B0", "b-0.5", "15 VA", "",
        ] {
            assert_eq!(designation(none), None, "{none}");
        }
    }
}
