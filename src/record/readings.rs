//! Every reading of a test with the kind of quantity it is to its instrument.
#![deny(clippy::wildcard_enum_match_arm)]

use super::kinds::{Test, TestBody};
use crate::ground::quantity::{Quantity, Reading};
use crate::ground::span::Given;

/// What an instrument measures, as `instruments.toml` names it.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    strum::IntoStaticStr,
    strum::VariantArray,
)]
#[strum(serialize_all = "kebab-case")]
pub enum Measure {
    Voltage,
    Current,
    Resistance,
    Insulation,
    Angle,
    Phase,
    RatioError,
    Ratio,
    Temperature,
    Frequency,
    Humidity,
    Time,
}

impl Measure {
    /// All of them.
    pub const ALL: &'static [Self] = <Self as strum::VariantArray>::VARIANTS;

    /// The word in `instruments.toml`.
    pub fn word(self) -> &'static str {
        self.into()
    }
}

/// The readings of a test that an instrument took, in the order of the file.
pub fn of(test: &Test) -> Vec<(Measure, Reading)> {
    let mut found = Vec::new();
    let mut add = |measure: Measure, given: &Given<Quantity>| {
        if let Some(reading) = given.get() {
            found.push((measure, *reading));
        }
    };
    match &test.body {
        TestBody::Insulation(insulation) => {
            for row in &insulation.rows {
                add(Measure::Insulation, &row.resistance);
            }
        }
        TestBody::Resistance(resistance) => {
            for row in &resistance.rows {
                add(Measure::Current, &row.current);
                add(Measure::Voltage, &row.voltage);
                add(Measure::Resistance, &row.resistance);
            }
        }
        TestBody::Excitation(excitation) => {
            for row in &excitation.rows {
                add(Measure::Voltage, &row.voltage);
                add(Measure::Current, &row.current);
                add(Measure::Angle, &row.angle);
            }
        }
        TestBody::Ratio(ratio) => {
            for row in &ratio.rows {
                add(Measure::Voltage, &row.applied);
                add(Measure::Voltage, &row.induced);
                add(Measure::Current, &row.primary);
                add(Measure::Current, &row.secondary);
                add(Measure::RatioError, &row.error);
                add(Measure::Phase, &row.phase);
            }
        }
        TestBody::Burden(burden) => {
            for row in &burden.rows {
                add(Measure::Current, &row.current);
                add(Measure::Voltage, &row.voltage);
                add(Measure::Angle, &row.angle);
            }
        }
        TestBody::Demagnetisation(_)
        | TestBody::Withstand(_)
        | TestBody::Inspection(_)
        | TestBody::State(_)
        | TestBody::SelfCheck(_)
        | TestBody::Remanence(_)
        | TestBody::Polarity(_)
        | TestBody::Load(_)
        | TestBody::Restored(_) => {}
    }
    found
}
