//! The limit files, compiled in and read once each when first asked for.

use std::sync::OnceLock;

use serde::de::DeserializeOwned;

use super::cited::{Threshold, ValueList};
use super::conductor::ConductorConstant;
use super::insulation::{InsulationRow, TemperatureTable};
use super::measuring::{BurdenRow, MeasuringClass, PhaseRow, PowerFactor, RatioRow};
use super::metering::{MeteringClass, TcfRow};
use super::protection::{ProtectionLimit, PxLimit, TransientLimit};
use super::relaying::{Burden, RelayClass};
use super::taps::{TapRow, TapTable};

pub(super) const IEC_TEXT: &str = include_str!("tables/iec.toml");
pub(super) const IEEE_TEXT: &str = include_str!("tables/ieee.toml");
pub(super) const PRACTICE_TEXT: &str = include_str!("tables/practice.toml");

#[derive(Default, serde::Deserialize)]
pub(super) struct IecFile {
    pub(super) measuring_ratio: Vec<RatioRow>,
    pub(super) measuring_phase: Vec<PhaseRow>,
    pub(super) measuring_burden: Vec<BurdenRow>,
    pub(super) power_factor: Vec<PowerFactor>,
    pub(super) protection: Vec<ProtectionLimit>,
    pub(super) px: Vec<PxLimit>,
    pub(super) transient: Vec<TransientLimit>,
    pub(super) threshold: Vec<Threshold>,
    pub(super) values: Vec<ValueList>,
    pub(super) conductor: Vec<ConductorConstant>,
}

#[derive(Default, serde::Deserialize)]
pub(super) struct IeeeFile {
    pub(super) metering: Vec<TcfRow>,
    pub(super) burden: Vec<Burden>,
    pub(super) relay: Vec<RelayClass>,
    pub(super) tap: Vec<TapRow>,
    pub(super) threshold: Vec<Threshold>,
    pub(super) values: Vec<ValueList>,
    pub(super) conductor: Vec<ConductorConstant>,
}

#[derive(Default, serde::Deserialize)]
pub(super) struct PracticeFile {
    pub(super) insulation: Vec<InsulationRow>,
    pub(super) insulation_temperature: Vec<TemperatureTable>,
    pub(super) threshold: Vec<Threshold>,
}

/// The IEC rows, assembled.
pub(super) struct Iec {
    pub(super) file: IecFile,
    pub(super) measuring: Vec<MeasuringClass>,
}

/// The IEEE rows, assembled.
pub(super) struct Ieee {
    pub(super) file: IeeeFile,
    pub(super) metering: Vec<MeteringClass>,
    pub(super) taps: Vec<TapTable>,
}

/// A file that cannot be read gives no limits and so no verdicts; a test proves that the
/// compiled-in files can be read.
fn read<T: DeserializeOwned + Default>(text: &str) -> T {
    toml::from_str(text).unwrap_or_default()
}

pub(super) fn iec() -> &'static Iec {
    static CELL: OnceLock<Iec> = OnceLock::new();
    CELL.get_or_init(|| {
        let file: IecFile = read(IEC_TEXT);
        let measuring = super::measuring::assemble(&file);
        Iec { file, measuring }
    })
}

pub(super) fn ieee() -> &'static Ieee {
    static CELL: OnceLock<Ieee> = OnceLock::new();
    CELL.get_or_init(|| {
        let file: IeeeFile = read(IEEE_TEXT);
        let metering = super::metering::assemble(&file.metering);
        let taps = super::taps::assemble(&file.tap);
        Ieee {
            file,
            metering,
            taps,
        }
    })
}

pub(super) fn practice() -> &'static PracticeFile {
    static CELL: OnceLock<PracticeFile> = OnceLock::new();
    CELL.get_or_init(|| read(PRACTICE_TEXT))
}
