//! IEEE classes C and T: exciting current at 20 times rated secondary current through the standard
//! burden. The class binds the whole winding unless the plate says more.

use super::{Accuracy, Check, Ground, Lack};
use crate::derive::accuracy::{AtEmf, LimitingEmf, at_emf, limiting_emf};
use crate::derive::input;
use crate::derive::workings::{Value, Workings};
use crate::record::class::Class;

/// The multiple of rated secondary current that relaying classes are judged at.
pub const MULTIPLE: f64 = 20.0;

const CLASS: &str = "IEEE C57.13, 6.4.1 (from memory)";
const BURDEN: &str =
    "IEEE C57.13, standard burdens: 0.5 for B-1 and above, 0.9 below (from memory)";

/// What a relaying class came to.
#[derive(Clone, Debug)]
pub struct Relay {
    /// `C` or `T`.
    pub letter: char,
    /// Class voltage at 5 A as on the plate.
    pub volts: f64,
    /// Rated secondary current, ampere.
    pub isr: Value,
    pub emf: LimitingEmf,
    /// Exciting current at the phasor sum.
    pub at: AtEmf,
    /// Exciting current at the arithmetic sum.
    pub arithmetic: AtEmf,
}

/// Power factor of the standard burden of a class voltage (at 5 A): classes C100 and above have
/// B-1 to B-8 with 0.5, lower ones B-0.1 to B-0.5 with 0.9 (IEEE C57.13, from memory).
#[must_use]
pub fn power_factor(volts: f64) -> f64 {
    if volts >= 100.0 { 0.5 } else { 0.9 }
}

pub(super) fn derive(
    ground: &Ground<'_>,
    w: &mut Workings,
    class: &Class,
    plate: (char, f64),
    found: &mut Vec<Accuracy>,
) {
    match relay(ground, w, plate) {
        Ok(entry) => found.push(entry),
        Err(lack) => found.push(ground.lacking(class, lack)),
    }
}

fn relay(
    ground: &Ground<'_>,
    w: &mut Workings,
    (letter, volts): (char, f64),
) -> Result<Accuracy, Lack> {
    let isr = ground.isr(w).ok_or(Lack::RatedCurrent)?;
    let rct = ground.rct(w).ok_or(Lack::Resistance)?;
    // Constant volt-amperes: the class voltage at another rated current is 5/Isr times that at 5 A.
    let z = volts * 5.0 / (MULTIPLE * isr.si * isr.si);
    let zb = input::constant(w, "impedance of the standard burden", "ohm", z, CLASS);
    let c = input::constant(
        w,
        "power factor of the standard burden",
        "",
        power_factor(volts),
        BURDEN,
    );
    let k = input::constant(
        w,
        "multiple of rated secondary current",
        "",
        MULTIPLE,
        CLASS,
    );
    let emf = limiting_emf(w, [k, isr], [rct.0, zb, c]).ok_or(Lack::Burden)?;
    let at = at_emf(ground.curve, w, emf.phasor);
    let arithmetic = at_emf(ground.curve, w, emf.arithmetic);
    let readings = ground.rows_at(emf.phasor.si);
    Ok(ground.entry(
        Some(rct),
        readings,
        Check::Relay(Relay {
            letter,
            volts,
            isr,
            emf,
            at,
            arithmetic,
        }),
    ))
}
