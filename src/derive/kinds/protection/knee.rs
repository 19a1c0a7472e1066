//! Rated knee and exciting currents that a plate states: classes PX, PXR, older X and PS.

use super::{Accuracy, Check, Ground};
use crate::derive::accuracy::{AtEmf, at_emf};
use crate::derive::knee::Knee;
use crate::derive::workings::{Value, Workings};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Located, Span};

/// The knee against the rated one.
#[derive(Clone, Debug)]
pub struct RatedKnee {
    /// Rated knee point e.m.f., volt.
    pub rated: Value,
    /// Where the plate states it.
    pub at: Span,
    /// The knee by the rule that the plate asks for.
    pub found: Knee,
}

/// The exciting current at a stated voltage against its upper limit.
#[derive(Clone, Debug)]
pub struct Exciting {
    /// The stated voltage, volt.
    pub voltage: Value,
    /// Upper limit, ampere.
    pub limit: f64,
    /// Where the plate states it.
    pub at: Span,
    pub found: AtEmf,
}

pub(super) fn derive(ground: &Ground<'_>, w: &mut Workings, found: &mut Vec<Accuracy>) {
    if let Some(rated) = ground.case.rated_knee(ground.pair) {
        let knee = ground.excited.deciding(&ground.case);
        let check = RatedKnee {
            rated: w.plate("rated knee point e.m.f.", rated),
            at: rated.span,
            found: knee,
        };
        let readings = ground.excited.around(&knee);
        found.push(ground.entry(None, readings, Check::Knee(check)));
    }
    for (limit, voltage, at) in exciting_limits(ground) {
        let what = "voltage of the exciting current limit";
        let voltage = w.plate(what, &voltage);
        let check = Exciting {
            voltage,
            limit: limit.si,
            at,
            found: at_emf(ground.curve, w, voltage),
        };
        let readings = ground.rows_at(voltage.si);
        found.push(ground.entry(None, readings, Check::Exciting(check)));
    }
}

/// Upper limits of the exciting current of the pair, each with its voltage and where it stands.
fn exciting_limits(ground: &Ground<'_>) -> Vec<(Quantity, Located<Quantity>, Span)> {
    let (core, pair) = (ground.core, ground.pair);
    let tap = core.tap(pair.from, pair.to);
    let own = tap.and_then(|tap| {
        let limit = tap.exciting.get()?;
        Some((limit.value, *tap.knee.get()?, limit.span))
    });
    let whole = core.exciting.iter().filter(|_| core.is_full(pair));
    let stated = whole.map(|at| {
        let voltage = Located::new(at.value.at, at.span);
        (at.value.value, voltage, at.span)
    });
    own.into_iter().chain(stated).collect()
}
