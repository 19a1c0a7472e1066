//! IEEE classes C and T: exciting current at 20 times rated secondary current through the standard
//! burden. The class binds the whole winding unless the plate says more.

use super::{Accuracy, Check, Ground, Lack};
use crate::derive::accuracy::{AtEmf, LimitingEmf, at_emf, limiting_emf};
use crate::derive::input;
use crate::derive::workings::{Value, Workings};
use crate::standards::{ieee_burden, ieee_relay};
use crate::trade::Class;

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
    let class = ieee_relay(volts).ok_or(Lack::Burden)?;
    let standard = ieee_burden(&class.burden).and_then(|burden| burden.at_secondary(isr.si));
    let burden = standard.ok_or(Lack::Burden)?;
    let mut enter = |what, unit, value, cited| input::cited(w, what, unit, value, cited);
    let zb = enter(
        "impedance of the standard burden",
        "ohm",
        burden.z_ohm,
        &burden.cited,
    );
    let c = enter(
        "power factor of the standard burden",
        "",
        burden.pf,
        &burden.cited,
    );
    let k = enter(
        "multiple of rated secondary current",
        "",
        class.multiple,
        &class.cited,
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
