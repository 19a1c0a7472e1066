//! Rated knee and exciting currents that a plate states: classes PX, PXR, older X and PS.

use super::{Accuracy, Check, Ground};
use crate::derive::accuracy::{AtEmf, at_emf};
use crate::derive::formula::{formulas, symbol};
use crate::derive::knee::{Knee, KneeRule};
use crate::derive::outcome::Reason;
use crate::derive::workings::{Value, Workings};
use crate::ground::quantity::Quantity;
use crate::ground::span::{Located, Span};
use crate::standards::px;

formulas! {
    static STEPPED = "knee-step", "voltage a step above the rated knee":
        "E*(1 + s/100)" ("V") of [
            symbol("E", "V", "rated knee point e.m.f."),
            symbol("s", "%", "step of the knee rule"),
        ], |[e, s]| e * (1.0 + s / 100.0),
        "IEC 61869-2:2012, 3.4.215 and 7.3.203 (from memory)";

    static RISE = "knee-rise", "rise of the exciting current over the step":
        "100*(exp(ln(Ib/Ia)*ln(1 + s/100)/ln(Vb/Va)) - 1)" ("%") of [
            symbol("Ib", "A", "exciting current a step above the rated knee"),
            symbol("Ia", "A", "exciting current at the rated knee"),
            symbol("s", "%", "step of the knee rule"),
            symbol("Vb", "V", "voltage of the one"),
            symbol("Va", "V", "voltage of the other"),
        ], |[ib, ia, s, vb, va]| {
            (((ib / ia).ln() * (s / 100.0 + 1.0).ln() / (vb / va).ln()).exp() - 1.0) * 100.0
        },
        "IEC 61869-2:2012, 3.4.215 and 7.3.203 (from memory)";
}

/// The knee against the rated one.
#[derive(Clone, Debug)]
pub struct RatedKnee {
    /// Rated knee point e.m.f., volt.
    pub rated: Value,
    /// Where the plate states it.
    pub at: Span,
    /// The knee by the rule that the plate asks for.
    pub found: Knee,
    /// By how many per cent the current rises when the voltage goes from the rated knee up by the step of
    /// the rule: the routine test. `None` where the readings do not span both.
    pub rise: Option<Value>,
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
        let by_step = KneeRule::of(ground.case.record.plate.family(), ground.core) == KneeRule::Iec;
        let at = rated.span;
        let rated = w.plate("rated knee point e.m.f.", rated);
        let rise = match knee {
            Knee::NotReached { .. } | Knee::Lacking(Reason::TooFewPoints) if by_step => {
                rise(ground, w, rated)
            }
            Knee::At(_) | Knee::NotReached { .. } | Knee::Lacking(_) => None,
        };
        let check = RatedKnee {
            rated,
            at,
            found: knee,
            rise,
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

/// The rise of the current from the rated knee up by the step, where the readings reach from one to the other.
fn rise(ground: &Ground<'_>, w: &mut Workings, rated: Value) -> Option<Value> {
    let row = px(false)?;
    let step = w.cited(
        "step of the knee rule",
        "%",
        row.knee_voltage_step,
        &row.cited,
    );
    let above = w.step(&STEPPED, [rated, step])?;
    let (va, ia) = reading(ground, w, rated)?;
    let (vb, ib) = reading(ground, w, above)?;
    // A current that falls is a slip, and shows nothing.
    w.step(&RISE, [ib, ia, step, vb, va])
        .filter(|rise| rise.si > 0.0)
}

/// Voltage and current of the reading that was taken there, else as the curve has them.
fn reading(ground: &Ground<'_>, w: &mut Workings, asked: Value) -> Option<(Value, Value)> {
    let near = |read: Value| (read.si - asked.si).abs() <= 1e-9 * asked.si.abs();
    let mut points = ground.curve.points().iter();
    if let Some(point) = points.find(|point| near(point.v)) {
        return Some((point.v, point.i));
    }
    match at_emf(ground.curve, w, asked) {
        AtEmf::Within { current } => Some((asked, current)),
        AtEmf::Above { .. } | AtEmf::Below { .. } => None,
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
