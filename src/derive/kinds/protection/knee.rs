//! Rated knee and exciting currents that a plate states: classes PX, PXR, older X and PS.

use super::{Accuracy, Check, Ground};
use crate::derive::accuracy::{AtEmf, at_emf};
use crate::derive::input;
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
    if let Some(rated) = rated_knee(ground) {
        found.push(against_rated(ground, w, &rated));
    }
    for (limit, voltage) in exciting_limits(ground) {
        found.push(exciting(ground, w, &limit, &voltage));
    }
}

/// The rated knee of the pair: the tap's own, else the core's for the whole winding.
pub(in crate::derive::kinds) fn rated_knee(ground: &Ground<'_>) -> Option<Located<Quantity>> {
    let pair = ground.pair;
    let own = ground
        .core
        .tap(pair.from, pair.to)
        .and_then(|tap| tap.knee.get());
    own.or_else(|| ground.core.knee.get().filter(|_| ground.core.is_full(pair)))
        .copied()
}

fn against_rated(ground: &Ground<'_>, w: &mut Workings, rated: &Located<Quantity>) -> Accuracy {
    let value = input::plate(w, "rated knee point e.m.f.", rated);
    let knee = ground.excited.deciding(ground.case);
    let readings = ground.excited.around(&knee);
    ground.entry(
        None,
        readings,
        Check::Knee(RatedKnee {
            rated: value,
            at: rated.span,
            found: knee,
        }),
    )
}

/// Upper limits of the exciting current of the pair, each with its voltage.
fn exciting_limits(ground: &Ground<'_>) -> Vec<(Located<Quantity>, Located<Quantity>)> {
    let pair = ground.pair;
    let tap = ground.core.tap(pair.from, pair.to);
    let own = tap.and_then(|tap| Some((*tap.exciting.get()?, *tap.knee.get()?)));
    let whole = ground
        .core
        .exciting
        .iter()
        .filter(|_| ground.core.is_full(pair));
    let stated = whole.map(|at| {
        (
            Located::new(at.value.value, at.span),
            Located::new(at.value.at, at.span),
        )
    });
    own.into_iter().chain(stated).collect()
}

fn exciting(
    ground: &Ground<'_>,
    w: &mut Workings,
    limit: &Located<Quantity>,
    voltage: &Located<Quantity>,
) -> Accuracy {
    let v = input::plate(w, "voltage of the exciting current limit", voltage);
    let found = at_emf(ground.curve, w, v);
    let readings = ground.rows_at(v.si);
    let exciting = Exciting {
        voltage: v,
        limit: limit.value.si,
        at: limit.span,
        found,
    };
    ground.entry(None, readings, Check::Exciting(exciting))
}
