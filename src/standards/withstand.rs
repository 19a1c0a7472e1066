//! Power-frequency withstand voltages, and the overvoltage between turns.

use std::sync::LazyLock;

use serde::Deserialize;

use super::cited::{Cited, Threshold};
use super::conductor::Family;
use super::practice::threshold;
use super::store::rows;

/// What the primary of a highest voltage for equipment is tested with.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct WithstandLevels {
    family: Family,
    um_kv: f64,
    /// Ascending; r.m.s.
    test_kv: Vec<f64>,
    /// The BIL that each belongs to, where there are several.
    bil_kv: Vec<f64>,
    #[serde(flatten)]
    pub cited: Cited,
}

/// The test voltage of a primary, in V r.m.s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TestVoltage {
    One(f64),
    /// Several levels are usual, and no BIL tells which: the lowest and the highest.
    Between(f64, f64),
}

static LEVELS: LazyLock<Vec<WithstandLevels>> = LazyLock::new(|| rows("withstand"));

/// The levels of a highest voltage for equipment in V; `None` where it is not in the table.
#[must_use]
pub fn withstand(family: Family, um: f64) -> Option<&'static WithstandLevels> {
    let same = |row: &&WithstandLevels| (row.um_kv * 1e3 - um).abs() <= 1e-6 * um.abs();
    LEVELS.iter().find(|row| row.family == family && same(row))
}

/// The least voltage in V that a partial discharge is read on the way down from; with the higher level where no BIL
/// tells which holds.
#[must_use]
pub fn prestress(family: Family, um: f64, bil: Option<f64>) -> Option<f64> {
    let share = threshold("iec-discharge-prestress")?.limit / 100.0;
    let (TestVoltage::One(most) | TestVoltage::Between(_, most)) =
        withstand(family, um)?.voltage(bil)?;
    Some(share * most)
}

/// The test voltage of every secondary.
#[must_use]
pub fn withstand_secondary(family: Family) -> Option<&'static Threshold> {
    match family {
        Family::Iec => threshold("iec-secondary-withstand"),
        Family::Ieee => threshold("ieee-secondary-withstand"),
        Family::Other => None,
    }
}

/// The test voltage between sections of a winding; `None` where none is known.
#[must_use]
pub fn withstand_sections(family: Family) -> Option<&'static Threshold> {
    threshold("iec-sections-withstand").filter(|_| family == Family::Iec)
}

/// The peak voltage between the ends of a winding that its turns are tested with, V; by the rated knee
/// e.m.f. of classes that state one.
#[must_use]
pub fn inter_turn(family: Family, rated_knee: Option<f64>) -> Option<(f64, &'static Cited)> {
    let plain = threshold("iec-inter-turn").filter(|_| family == Family::Iec)?;
    let by_knee = threshold("iec-inter-turn-knee").zip(threshold("iec-inter-turn-most"));
    let by_knee = rated_knee.zip(by_knee);
    let by_knee =
        by_knee.map(|(knee, (times, most))| ((times.limit * knee).min(most.limit), times));
    match by_knee {
        Some((volts, row)) if volts > plain.limit => Some((volts, &row.cited)),
        _ => Some((plain.limit, &plain.cited)),
    }
}

impl WithstandLevels {
    /// The voltage of a unit with that BIL in V.
    #[must_use]
    pub fn voltage(&self, bil: Option<f64>) -> Option<TestVoltage> {
        let pairs = self.test_kv.iter().zip(&self.bil_kv);
        let is = |kv: f64| bil.is_some_and(|bil| (kv * 1e3 - bil).abs() <= 1e-6 * bil.abs());
        if let Some((kv, _)) = pairs.into_iter().find(|(_, of)| is(**of)) {
            return Some(TestVoltage::One(kv * 1e3));
        }
        match (self.test_kv.first()?, self.test_kv.last()?) {
            (low, high) if low < high => Some(TestVoltage::Between(low * 1e3, high * 1e3)),
            (only, _) => Some(TestVoltage::One(only * 1e3)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bil_tells_which_of_two_levels_is_meant() {
        let levels = withstand(Family::Iec, 145e3).unwrap();
        let said = [None, Some(550e3), Some(650e3), Some(1.0)].map(|bil| levels.voltage(bil));
        let (low, high) = (230e3, 275e3);
        let between = Some(TestVoltage::Between(low, high));
        assert_eq!(said[0], between);
        assert_eq!(said[1], Some(TestVoltage::One(low)));
        assert_eq!(said[2], Some(TestVoltage::One(high)));
        assert_eq!(said[3], between);
        assert!(withstand(Family::Iec, 146e3).is_none());
    }

    /// Ten times the rated knee from 450 V on, at most 10 kV.
    #[test]
    fn turns_are_tested_higher_where_the_knee_is_high() {
        let knees = [None, Some(300.0), Some(449.0), Some(600.0), Some(1200.0)];
        let volts = knees.map(|knee| inter_turn(Family::Iec, knee).unwrap().0);
        assert_eq!(volts, [4500.0, 4500.0, 4500.0, 6000.0, 10_000.0]);
        assert!(inter_turn(Family::Ieee, None).is_none());
    }

    #[test]
    fn levels_rise_with_the_highest_voltage_and_each_has_its_bil_where_there_are_two() {
        for family in [Family::Iec, Family::Ieee] {
            let mut of: Vec<_> = LEVELS.iter().filter(|row| row.family == family).collect();
            of.sort_by(|a, b| a.um_kv.total_cmp(&b.um_kv));
            assert!(of.len() >= 15);
            let rising = |pair: &[&WithstandLevels]| pair[0].test_kv[0] <= pair[1].test_kv[0];
            assert!(of.windows(2).all(rising), "{family:?}");
            let matched = |row: &&WithstandLevels| {
                row.test_kv.len() == 1 || row.test_kv.len() == row.bil_kv.len()
            };
            assert!(of.iter().all(matched), "{family:?}");
        }
    }

    /// 80 % of 28 kV, of 275 kV and of 230 kV.
    #[test]
    fn a_discharge_is_read_behind_a_share_of_the_test_voltage() {
        let of = |um: f64, bil: Option<f64>| super::prestress(Family::Iec, um, bil);
        for (um, bil, expected) in [
            (12e3, None, 22.4e3),
            (145e3, None, 220e3),
            (145e3, Some(550e3), 184e3),
        ] {
            assert!((of(um, bil).unwrap() - expected).abs() < 1e-6, "{um}");
        }
        assert_eq!(of(13e3, None), None);
    }
}
