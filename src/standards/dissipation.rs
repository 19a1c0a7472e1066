//! Dissipation factor of a primary of paper in oil: what is usual, and at which voltage.

use super::cited::Threshold;
use super::conductor::Family;
use super::practice::threshold;

/// What the standard calls usual for paper in oil of highest voltage `um` in V, in per cent, and the voltage in V
/// that it holds at; none below the voltage from which it is told.
#[must_use]
pub fn dissipation_figure(family: Family, um: f64) -> Option<(&'static Threshold, f64)> {
    let from = threshold("iec-dissipation-from").filter(|_| family == Family::Iec)?;
    let (most, share) = (
        threshold("iec-dissipation")?,
        threshold("iec-dissipation-voltage")?,
    );
    (um >= from.limit * (1.0 - 1e-9)).then_some((most, share.limit * um))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_told_from_its_voltage_on_at_the_voltage_to_earth() {
        let (most, volts) = dissipation_figure(Family::Iec, 145e3).unwrap();
        assert_eq!(most.limit, 0.5);
        assert!((volts - 145e3 / 3f64.sqrt()).abs() < 1.0);
        assert!(dissipation_figure(Family::Iec, 72.5e3).is_some());
        assert!(dissipation_figure(Family::Iec, 52e3).is_none());
        assert!(dissipation_figure(Family::Ieee, 145e3).is_none());
    }
}
