//! IEEE classes C and T: exciting current at 20 times rated secondary current through the standard
//! burden. The class binds the whole winding unless the plate says more.

use super::{Accuracy, Check, Ground, Lack};
use crate::derive::accuracy::{AtEmf, LimitingEmf, at_emf, limiting_emf};
use crate::derive::workings::{Value, Workings};
use crate::standards::{ieee_burden, ieee_relay};

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
    letter: char,
    volts: f64,
) -> Result<Accuracy, Lack> {
    let (isr, rct) = (ground.isr(w)?, ground.rct(w)?);
    let class = ieee_relay(volts).ok_or(Lack::Burden)?;
    let standard = ieee_burden(&class.burden).and_then(|burden| burden.at_secondary(isr.si));
    let burden = standard.ok_or(Lack::Burden)?;
    let what = "impedance of the standard burden";
    let zb = w.cited(what, "ohm", burden.z_ohm, &burden.cited);
    let what = "power factor of the standard burden";
    let c = w.cited(what, "", burden.pf, &burden.cited);
    let what = "multiple of rated secondary current";
    let k = w.cited(what, "", class.multiple, &class.cited);
    let emf = limiting_emf(w, [k, isr], [rct.0, zb, c]).ok_or(Lack::Burden)?;
    let relay = Relay {
        letter,
        volts,
        isr,
        emf,
        at: at_emf(ground.curve, w, emf.phasor),
        arithmetic: at_emf(ground.curve, w, emf.arithmetic),
    };
    let readings = ground.rows_at(emf.phasor.si);
    Ok(ground.entry(Some(rct), readings, Check::Relay(relay)))
}
