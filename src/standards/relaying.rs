//! IEEE standard burdens and relaying classes.

use std::sync::LazyLock;

use serde::Deserialize;

use super::cited::{Cited, Threshold};
use super::practice::threshold;
use super::store::rows;

/// An IEEE standard burden.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Burden {
    /// Such as `B-0.5`; it names the impedance at 5 A.
    pub name: String,
    #[serde(rename = "use")]
    pub used_for: String,
    /// Resistance in ohm.
    pub r_ohm: f64,
    /// Inductance in millihenry; meant at 60 Hz only.
    pub l_mh: f64,
    /// Impedance in ohm.
    pub z_ohm: f64,
    /// Volt-amperes at rated secondary current.
    pub va: f64,
    /// Power factor, lagging.
    pub pf: f64,
    #[serde(flatten)]
    pub cited: Cited,
}

impl Burden {
    /// The same burden for another rated secondary current in A: constant volt-amperes, so R, L
    /// and Z times (5/In)^2 (IEEE interpretation of C57.13-1993, January 2005, seen).
    /// `None` when the current is not a number above zero, or so far off that an ohm overflows.
    #[must_use]
    pub fn at_secondary(&self, amperes: f64) -> Option<Self> {
        let factor = secondary_factor(amperes)?;
        let square = factor * factor;
        let scaled = Self {
            r_ohm: self.r_ohm * square,
            l_mh: self.l_mh * square,
            z_ohm: self.z_ohm * square,
            ..self.clone()
        };
        let finite =
            scaled.r_ohm.is_finite() && scaled.l_mh.is_finite() && scaled.z_ohm.is_finite();
        finite.then_some(scaled)
    }
}

fn secondary_factor(amperes: f64) -> Option<f64> {
    (amperes.is_finite() && amperes > 0.0)
        .then(|| 5.0 / amperes)
        .filter(|f| f.is_finite())
}

/// A relaying class C or T.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct RelayClass {
    /// Secondary terminal voltage in V that the class stands for.
    pub voltage: f64,
    /// Name of its standard burden.
    pub burden: String,
    /// The multiple of rated secondary current at which it is judged (20).
    pub multiple: f64,
    /// Ratio error at that multiple, at most, in %.
    pub ratio_error: f64,
    /// The exciting current in A that this error allows.
    pub exciting_limit_a: f64,
    #[serde(flatten)]
    pub cited: Cited,
}

impl RelayClass {
    /// The same class for another rated secondary current in A: constant volt-amperes, so voltage
    /// times 5/In and current times In/5 (IEEE C57.13, 6.4.1, from memory). `None` as for
    /// [`Burden::at_secondary`].
    #[must_use]
    pub fn at_secondary(&self, amperes: f64) -> Option<Self> {
        let factor = secondary_factor(amperes)?;
        let scaled = Self {
            voltage: self.voltage * factor,
            exciting_limit_a: self.exciting_limit_a / factor,
            ..self.clone()
        };
        let finite = scaled.voltage.is_finite() && scaled.exciting_limit_a.is_finite();
        finite.then_some(scaled)
    }
}

static BURDENS: LazyLock<Vec<Burden>> = LazyLock::new(|| rows("burden"));
static CLASSES: LazyLock<Vec<RelayClass>> = LazyLock::new(|| rows("relay"));

/// The standard burden of that name (case does not matter), at 5 A.
#[must_use]
pub fn ieee_burden(name: &str) -> Option<&'static Burden> {
    BURDENS
        .iter()
        .find(|burden| burden.name.eq_ignore_ascii_case(name))
}

/// The class C or T of that class voltage at 5 A (10, 20, 50, 100, 200, 400, 800 V). The letters
/// share their numbers; a T class cannot be shown from the excitation curve.
#[must_use]
#[allow(clippy::float_cmp, reason = "class voltages are whole numbers")]
pub fn ieee_relay(voltage: f64) -> Option<&'static RelayClass> {
    CLASSES.iter().find(|row| row.voltage == voltage)
}

/// Ratio error limit at rated current of classes C and T, in %: 10, or 3 when the record names
/// the 2008 edition of IEEE C57.13 or a later one. The sources disagree; see the row's note.
#[must_use]
pub fn ieee_relay_at_rated(edition: Option<u16>) -> Option<&'static Threshold> {
    threshold(match edition {
        Some(year) if year >= 2008 => "ieee-relay-rated-3",
        _ => "ieee-relay-rated-10",
    })
}
