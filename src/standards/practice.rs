//! Thresholds that are one number each, and the lists of standard values.

use super::cited::{Threshold, ValueList};
use super::conductor::Family;
use super::store::{iec, ieee, practice};

pub(super) fn find(rows: &'static [Threshold], id: &str) -> Option<&'static Threshold> {
    rows.iter().find(|r| r.cited.id == id)
}

/// Any single-number limit by its stable id, of whichever file.
#[must_use]
pub fn threshold(id: &str) -> Option<&'static Threshold> {
    if id.starts_with("iec-") {
        find(&iec().file.threshold, id)
    } else if id.starts_with("ieee-") {
        find(&ieee().file.threshold, id)
    } else {
        find(&practice().threshold, id)
    }
}

/// How far a measured excitation curve may part from the typical one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExcitationTolerance {
    /// Below the knee: exciting current at a voltage, at most, in % of the curve (125).
    pub current_below_knee: &'static Threshold,
    /// Above the knee: voltage at an exciting current, at least, in % of the curve (95).
    pub voltage_above_knee: &'static Threshold,
}

/// IEEE C57.13, typical excitation curve clause (from memory).
#[must_use]
pub fn excitation_tolerance() -> Option<ExcitationTolerance> {
    Some(ExcitationTolerance {
        current_below_knee: threshold("ieee-excitation-current")?,
        voltage_above_knee: threshold("ieee-excitation-voltage")?,
    })
}

/// Deviations of winding resistance at one temperature that are called significant, in %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ResistanceThresholds {
    /// From the mean of transformers of one type and batch (10).
    pub batch: &'static Threshold,
    /// From the maker's or the last value (5).
    pub factory: &'static Threshold,
    /// Between phases (2).
    pub phases: &'static Threshold,
}

/// Practice of the trade, mostly of power transformers; the plate's value is the hard limit.
#[must_use]
pub fn resistance_thresholds() -> Option<ResistanceThresholds> {
    Some(ResistanceThresholds {
        batch: threshold("resistance-batch")?,
        factory: threshold("resistance-factory")?,
        phases: threshold("resistance-phases")?,
    })
}

/// Voltages in V across any pair or to earth in an excitation test that call for a word.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExcitationCaps {
    /// A warning above this (1200).
    pub warn: &'static Threshold,
    /// An error above this (2000), unless a low-frequency or dc method is recorded.
    pub error: &'static Threshold,
}

/// Common practice, no source.
#[must_use]
pub fn excitation_caps() -> Option<ExcitationCaps> {
    Some(ExcitationCaps {
        warn: threshold("excitation-cap-warn")?,
        error: threshold("excitation-cap-error")?,
    })
}

/// Least composite error in % at the instrument limit primary current (IEC 61869-2, from memory).
#[must_use]
pub fn instrument_security() -> Option<&'static Threshold> {
    threshold("iec-instrument-security")
}

/// Deviation in % that an instrument's 1:1 self-check may show. Common practice, no source.
#[must_use]
pub fn self_check() -> Option<&'static Threshold> {
    threshold("self-check")
}

/// A list of standard values by its stable id.
#[must_use]
pub fn values(id: &str) -> Option<&'static ValueList> {
    let rows = if id.starts_with("ieee-") {
        &ieee().file.values
    } else {
        &iec().file.values
    };
    rows.iter().find(|r| r.cited.id == id)
}

/// Standard rated secondary currents in A.
#[must_use]
pub fn secondary_currents(family: Family) -> Option<&'static ValueList> {
    match family {
        Family::Iec | Family::Other => values("iec-secondary-currents"),
        Family::Ieee => values("ieee-secondary-currents"),
    }
}

/// Standard rated primary currents in A, with decimal multiples (IEC 61869-2:2012, 5.201).
#[must_use]
pub fn primary_currents() -> Option<&'static ValueList> {
    values("iec-primary-currents")
}

/// Standard rated outputs in VA (IEC 61869-2:2012, 5.5.201); above 30 VA the choice is free.
#[must_use]
pub fn rated_outputs() -> Option<&'static ValueList> {
    values("iec-rated-outputs")
}

/// Standard accuracy limit factors of P and PR classes.
#[must_use]
pub fn accuracy_limit_factors() -> Option<&'static ValueList> {
    values("iec-accuracy-limit-factors")
}

/// Standard instrument security factors FS.
#[must_use]
pub fn security_factors() -> Option<&'static ValueList> {
    values("iec-security-factors")
}
