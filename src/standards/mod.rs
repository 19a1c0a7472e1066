//! Limits as data: one TOML file per standard, every row with its source and provenance.
//!
//! The files are compiled in and read when first asked for, one standard at a time. All lookups
//! are pure. A lookup gives `None` where no limit is known; that is never a pass.

mod cited;
mod conductor;
mod insulation;
mod measuring;
mod metering;
mod practice;
mod protection;
mod relaying;
mod store;
mod taps;

pub use cited::{Cited, Provenance, Threshold, ValueList};
pub use conductor::{ConductorConstant, Family, Metal, conductor_constant};
pub use insulation::{
    InsulationKind, InsulationMinimum, Profile, TemperatureTable, insulation_profile,
    insulation_profile_names, insulation_temperature,
};
pub use measuring::{
    AIM, BurdenKind, ErrorLimit, MeasuringClass, measuring, measuring_names, power_factor,
};
pub use metering::{
    BETA_CONSTANT, MeteringClass, MeteringRow, ieee_metering, ieee_metering_names,
    inside_parallelogram,
};
pub use practice::{
    ExcitationCaps, ExcitationTolerance, ResistanceThresholds, accuracy_limit_factors,
    excitation_caps, excitation_tolerance, instrument_security, primary_currents, rated_outputs,
    resistance_thresholds, secondary_currents, security_factors, self_check, threshold, values,
};
pub use protection::{
    PeakOf, ProtectionLimit, PxLimit, TransientClass, TransientLimit, protection, px, transient,
};
pub use relaying::{
    Burden, RelayClass, RelayLetter, ieee_burden, ieee_burdens, ieee_relay, ieee_relay_at_rated,
};
pub use taps::{TapPair, TapTable, tap_table, tap_tables};

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::store::{IEC_TEXT, IEEE_TEXT, IecFile, IeeeFile, PRACTICE_TEXT, PracticeFile};

    /// The loader turns an unreadable file into no limits at all, so this is what guards it.
    #[test]
    fn every_file_reads_into_its_types() {
        toml::from_str::<IecFile>(IEC_TEXT).unwrap();
        toml::from_str::<IeeeFile>(IEEE_TEXT).unwrap();
        toml::from_str::<PracticeFile>(PRACTICE_TEXT).unwrap();
    }

    #[test]
    fn every_row_has_an_id_of_its_own_a_unit_a_source_and_a_provenance() {
        let mut seen = BTreeSet::new();
        let mut rows = 0;
        for text in [IEC_TEXT, IEEE_TEXT, PRACTICE_TEXT] {
            let file: toml::Table = toml::from_str(text).unwrap();
            for (group, list) in &file {
                for row in list.as_array().unwrap() {
                    let word = |key: &str| {
                        let value = row
                            .get(key)
                            .and_then(toml::Value::as_str)
                            .unwrap_or_default();
                        assert!(
                            !value.trim_matches(' ').is_empty(),
                            "{group}: no {key} in {row:?}"
                        );
                        value
                    };
                    assert!(
                        seen.insert(word("id").to_owned()),
                        "{group}: twice {}",
                        word("id")
                    );
                    assert!(
                        word("id")
                            .bytes()
                            .all(|b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.')),
                        "{}",
                        word("id")
                    );
                    word("source");
                    word("unit");
                    assert!(
                        ["seen", "memory", "derived"].contains(&word("provenance")),
                        "{}",
                        word("id")
                    );
                    rows += 1;
                }
            }
        }
        assert_eq!(rows, seen.len());
        assert!(rows > 150, "only {rows} rows: a group was lost");
    }

    /// Every phase row must find its ratio row, or a limit would vanish without a word.
    #[test]
    fn no_row_is_lost_in_assembly() {
        let file: IecFile = toml::from_str(IEC_TEXT).unwrap();
        let classes = super::measuring::assemble(&file);
        let ratios: usize = classes.iter().map(|c| c.rows.len()).sum();
        let phases = classes
            .iter()
            .flat_map(|c| &c.rows)
            .filter(|r| r.phase_minutes.is_some())
            .count();
        assert_eq!(ratios, file.measuring_ratio.len());
        assert_eq!(phases, file.measuring_phase.len());
        for class in &classes {
            assert!(
                class.rows.is_sorted_by(|a, b| a.percent < b.percent),
                "{}",
                class.name
            );
        }
    }
}
