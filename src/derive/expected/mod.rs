//! What the rating plate lets one expect before a reading is taken. Plain numbers in SI units, no
//! uncertainty: these are aims for the person at the terminals, never limits of a verdict. What the
//! plate does not support is `None`, never a guess.

mod emf;
mod points;
mod winding;

pub use emf::{Basis, Load, Rated, TurningPoint, holds_up_to, turning_point};
pub use points::{Why, points};
pub use winding::Winding;

/// A result that may be shown: finite and above zero.
fn shown(value: f64) -> Option<f64> {
    (value.is_finite() && value > 0.0).then_some(value)
}

/// Resistance in ohm at `celsius` of a winding that has `ohm` at `at_celsius`; `k` is the constant of
/// the metal in °C (234.5 for copper). Same law as the correction to 75 °C (IEC 61869-1, winding
/// resistance, from memory).
#[must_use]
pub fn resistance_at(ohm: f64, at_celsius: f64, celsius: f64, k: f64) -> Option<f64> {
    let (from, to) = (at_celsius + k, celsius + k);
    if from <= 0.0 || to <= 0.0 {
        return None;
    }
    shown(ohm * to / from)
}

/// Voltage in volt at the primary when `applied` volt drive `secondary_turns`; the primary has
/// `primary_turns`. The law of the transformer with nothing taken off for drop or magnetising.
#[must_use]
pub fn induced(applied: f64, secondary_turns: f64, primary_turns: f64) -> Option<f64> {
    shown(applied * primary_turns / secondary_turns)
}

/// Voltage in volt for the ratio test by voltage: the largest round figure that stays within `share`
/// per cent of `emf` volt and within `cap` volt.
#[must_use]
pub fn ratio_voltage(emf: f64, share: f64, cap: f64) -> Option<f64> {
    round_down(shown(emf * share / 100.0)?.min(cap))
}

/// Highest round share of rated frequency, in hertz where `rated` is one, at which a core that takes `emf`
/// volt at rated frequency takes no more than `ceiling`: the e.m.f. of a flux goes with the frequency.
#[must_use]
pub fn lower_frequency(rated: f64, emf: f64, ceiling: f64) -> Option<f64> {
    round_down(rated * shown(ceiling)? / shown(emf)?)
}

/// Steps of round figures within a decade.
const ROUND: [f64; 10] = [8.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.2, 1.0];

/// The largest round figure not above the value.
fn round_down(value: f64) -> Option<f64> {
    let value = shown(value)?;
    let mut decade = 1.0;
    // Two loops of at most 308 steps: cheaper to read than a logarithm at the borders of a decade.
    while decade > value {
        decade /= 10.0;
    }
    while decade * 10.0 <= value {
        decade *= 10.0;
    }
    let fits = |step: &f64| step * decade <= value * (1.0 + 1e-12);
    shown(ROUND.iter().copied().find(fits)? * decade)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn resistance_by_hand() {
        // 3.40 ohm x (234.5 + 20)/(234.5 + 75) = 3.40 x 254.5/309.5
        assert!((resistance_at(3.40, 75.0, 20.0, 234.5).unwrap() - 2.795_800).abs() < 1e-5);
        assert!(resistance_at(3.40, 75.0, -300.0, 234.5).is_none());
        assert!(resistance_at(0.0, 75.0, 20.0, 234.5).is_none());
    }

    #[test]
    fn induced_voltage_by_hand() {
        // 120 V on 600 turns, one primary turn: 200 mV; two primary turns and 80 turns: 3 V
        assert!((induced(120.0, 600.0, 1.0).unwrap() - 0.2).abs() < 1e-15);
        assert!((induced(120.0, 80.0, 2.0).unwrap() - 3.0).abs() < 1e-15);
        assert!(induced(120.0, 0.0, 1.0).is_none());
    }

    #[test]
    fn the_lower_frequency_keeps_under_the_ceiling() {
        // 50 Hz x 800/930 = 43.0 Hz; 60 Hz x 2000/2500 = 48 Hz
        assert_eq!(lower_frequency(50.0, 930.0, 800.0), Some(40.0));
        assert_eq!(lower_frequency(60.0, 2500.0, 2000.0), Some(40.0));
        assert_eq!(lower_frequency(50.0, 0.0, 800.0), None);
    }

    #[test]
    fn the_ratio_voltage_is_a_round_figure_under_its_share() {
        assert_eq!(ratio_voltage(300.0, 70.0, 250.0), Some(200.0));
        assert_eq!(ratio_voltage(833.0, 70.0, 250.0), Some(250.0));
        assert_eq!(ratio_voltage(30.0, 70.0, 250.0), Some(20.0));
        assert_eq!(ratio_voltage(0.0, 70.0, 250.0), None);
        for emf in [0.013, 0.9, 1.0, 7.77, 47.0, 356.8, 12_345.0] {
            let found = ratio_voltage(emf, 70.0, f64::MAX).unwrap();
            assert!(
                found <= 0.7 * emf * (1.0 + 1e-9) && found > 0.5 * 0.7 * emf,
                "{emf}: {found}"
            );
        }
    }
}
