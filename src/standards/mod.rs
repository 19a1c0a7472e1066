//! Limits as data: one TOML file per standard, every row with its source and provenance.
//!
//! The files are compiled in and read when first asked for, one standard at a time. All lookups
//! are pure. A lookup gives `None` where no limit is known; that is never a pass. A row that nothing
//! reads yet, or that nothing published can be held against, says why in the row.

mod cited;
mod conductor;
mod discharge;
mod dissipation;
mod insulation;
mod measuring;
mod metering;
mod older;
mod practice;
mod protection;
mod relaying;
mod row;
mod store;
mod withstand;

pub use cited::{Citation, Cited, Provenance, Threshold, ValueList, without_memory};
pub use conductor::{ConductorConstant, Family, Metal, conductor_constant};
pub use discharge::{DischargeLimit, Neutral, discharge_limits};
pub use dissipation::dissipation_figure;
pub use insulation::{
    AbsorptionTimes, InsulationKind, InsulationMinimum, Profile, TemperatureTable,
    insulation_absorption, insulation_profile, insulation_profile_names, insulation_temperature,
};
pub use measuring::{
    AIM, BurdenKind, ErrorLimit, MeasuringClass, measuring, measuring_names, power_factor,
};
pub use metering::{
    MeteringClass, MeteringRow, angle_constant, ieee_metering, ieee_metering_names,
};
pub use older::{OlderTable, Tables, is_called, older_standard, older_tables};
pub use practice::{threshold, values};
pub use protection::{
    PeakOf, ProtectionLimit, PxLimit, TransientClass, TransientLimit, protection, px, transient,
};
pub use relaying::{Burden, RelayClass, ieee_burden, ieee_relay, ieee_relay_at_rated};
pub use row::{Row, all_rows};
pub use store::{CITED, FILES, File};
pub use withstand::{
    TestVoltage, WithstandLevels, inter_turn, prestress, withstand, withstand_secondary,
    withstand_sections,
};

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::store::FILES;

    #[test]
    fn every_row_has_an_id_of_its_own_a_unit_a_source_and_a_provenance() {
        let mut seen = BTreeSet::new();
        for file in FILES {
            let file: toml::Table = toml::from_str(file.text).unwrap();
            for (group, list) in &file {
                for row in list.as_array().unwrap() {
                    let word = |key: &str| {
                        let value = row.get(key).and_then(toml::Value::as_str);
                        let value = value.unwrap_or_default();
                        let blank = value.trim_matches(' ').is_empty();
                        assert!(!blank, "{group}: no {key} in {row:?}");
                        value
                    };
                    let id = word("id");
                    assert!(seen.insert(id.to_owned()), "{group}: twice {id}");
                    let plain = |b| matches!(b, b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.');
                    assert!(id.bytes().all(plain), "{id}");
                    let source = word("source");
                    word("unit");
                    let provenance = word("provenance");
                    assert!(["seen", "memory", "derived"].contains(&provenance), "{id}");
                    // A page cites the source alone; how the figure came here stands in its annex.
                    let told = ["memory", "reprint", "summar"];
                    assert!(!told.iter().any(|word| source.contains(word)), "{id}");
                    let is_seen = provenance == "seen";
                    assert!(is_seen || row.get("seen_in").is_none(), "{id}");
                }
            }
        }
        assert!(
            seen.len() > 150,
            "only {} rows: a group was lost",
            seen.len()
        );
        assert_eq!(super::CITED.len(), seen.len());
    }

    /// Every phase row must find its ratio row, or a limit would vanish without a word.
    #[test]
    fn no_phase_row_is_lost_in_assembly() {
        let classes = super::measuring_names();
        let classes = classes.iter().filter_map(|name| super::measuring(name));
        let limits: Vec<_> = classes.flat_map(|class| &class.rows).collect();
        let phases = limits.iter().filter(|row| row.phase_minutes.is_some());
        let written = FILES
            .iter()
            .map(|file| file.text.matches("-phase-").count());
        assert_eq!(phases.count(), written.sum::<usize>());
    }
}
