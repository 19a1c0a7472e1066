//! The instrument security factor of measuring cores.

use super::burden::{Impedance, rated};
use super::{Accuracy, Check, Ground, Lack};
use crate::derive::accuracy::{LimitingEmf, actual_factor, limiting_emf};
use crate::derive::outcome::Outcome;
use crate::derive::workings::{Value, Workings};
use crate::standards::threshold;
use crate::trade::Class;

/// The security factor as the curve gives it.
#[derive(Clone, Debug)]
pub struct Security {
    /// FS of the plate.
    pub rated: Value,
    pub burden: Impedance,
    /// The e.m.f. at FS times rated current: the core must have reached its share below it.
    pub emf: LimitingEmf,
    /// The factor at which the exciting current reaches its share.
    pub found: Outcome,
    /// The voltage at which the exciting current is that share of FS times the rated current, where
    /// the readings go that far, volt.
    pub voltage: Option<Value>,
}

pub(super) fn derive(
    ground: &Ground<'_>,
    w: &mut Workings,
    class: &Class,
    plate: f64,
) -> Result<Accuracy, Lack> {
    let (isr, rct) = (ground.isr(w)?, ground.rct(w)?);
    let burden = rated(ground, w, class, isr).ok_or(Lack::Burden)?;
    let fs = ground.class_factor(w, "instrument security factor", plate);
    let around = [rct.0, burden.z, burden.power_factor];
    let emf = limiting_emf(w, [fs, isr], around).ok_or(Lack::Burden)?;
    let least = threshold("iec-instrument-security").ok_or(Lack::Burden)?;
    let share = least.limit / 100.0;
    let found = actual_factor(ground.curve, w, isr, emf.loop_impedance, share);
    let current = w.many(
        "exciting current of the indirect test",
        "A",
        format!("{share}*FS*Isr"),
        "IEC 61869-2:2012, 7.2.6.202 (from memory)",
        share * plate * isr.si,
        &[(fs, share * isr.si), (isr, share * plate)],
    );
    let readings = ground.rows_of(&found, isr, emf.loop_impedance);
    let security = Security {
        rated: fs,
        burden,
        emf,
        found,
        voltage: current.and_then(|current| ground.curve.voltage_value(w, current)),
    };
    Ok(ground.entry(Some(rct), readings, Check::Security(security)))
}
