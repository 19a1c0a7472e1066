//! Ratio error and phase displacement at a current and burden, from the turns error and the
//! exciting current. Without the angle of the exciting current only bounds can be given.

use super::formula::{Symbol, symbol};
use super::workings::{Value, Workings};
use crate::derive::formula::formulas;

const SOURCE: &str = "equivalent circuit of the transformer: primary current (referred) is secondary plus exciting current";
const ET: Symbol = symbol("et", "%", "turns error");
const IE: Symbol = symbol("Ie", "A", "exciting current");
const I: Symbol = symbol("I", "A", "secondary current");
const A: Symbol = symbol(
    "a",
    "rad",
    "angle by which the exciting current lags the secondary",
);

formulas! {
    static RATIO_BOUND = "ratio-error-bound", "bound on the magnitude of the ratio error":
        "abs(et) + 100*Ie/I" ("%") of [ET, IE, I], |[et, ie, i]| et.abs() + 100.0 * ie / i, SOURCE;

    static PHASE_BOUND = "phase-displacement-bound",
        "bound on the magnitude of the phase displacement":
        "atan2(Ie, sqrt(I^2 - Ie^2))" ("rad") of [IE, I],
        |[ie, i]| ie.atan2((i.powi(2) - ie.powi(2)).sqrt()), SOURCE;

    static RATIO = "ratio-error-phasor", "ratio error":
        "100*((1 + et/100)*I/hypot(I + Ie*cos(a), Ie*sin(a)) - 1)" ("%") of [ET, IE, I, A],
        |[et, ie, i, a]| {
            let primary = (i + ie * a.cos()).hypot(ie * a.sin());
            100.0 * ((1.0 + et / 100.0) * i / primary - 1.0)
        },
        SOURCE;

    static PHASE = "phase-displacement-phasor",
        "phase displacement, positive when the secondary leads":
        "atan2(Ie*sin(a), I + Ie*cos(a))" ("rad") of [IE, I, A],
        |[ie, i, a]| (ie * a.sin()).atan2(i + ie * a.cos()), SOURCE;
}

/// Errors at one current and burden.
#[derive(Clone, Copy, Debug)]
pub struct Errors {
    /// Ratio error in per cent: a bound on its magnitude, or the error itself with its sign.
    pub ratio: Value,
    /// Phase displacement in radian: a bound on its magnitude, or itself, positive when the
    /// secondary leads.
    pub phase: Value,
}

/// Bounds on the magnitude of both errors, whatever the angle of the exciting current `ie`
/// (ampere) at the secondary current `i`. `turns` is the turns error in per cent.
///
/// `None` also when the exciting current is not less than the secondary current.
pub fn bounds(w: &mut Workings, turns: Value, ie: Value, i: Value) -> Option<Errors> {
    Some(Errors {
        ratio: w.step(&RATIO_BOUND, [turns, ie, i])?,
        phase: w.step(&PHASE_BOUND, [ie, i])?,
    })
}

/// Both errors when the angle `lag` (radian) of the exciting current behind the secondary current
/// is known.
pub fn errors(w: &mut Workings, turns: Value, ie: Value, i: Value, lag: Value) -> Option<Errors> {
    Some(Errors {
        ratio: w.step(&RATIO, [turns, ie, i, lag])?,
        phase: w.step(&PHASE, [ie, i, lag])?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::workings::Origin;
    use proptest::prelude::*;

    fn both(turns: f64, ie: f64, i: f64, lag: f64) -> ([f64; 2], [f64; 2]) {
        let mut w = Workings::new();
        let [turns, ie, i, lag] = [turns, ie, i, lag].map(|x| {
            w.reading(
                "x",
                "",
                x,
                Origin::Constant {
                    source: "test".into(),
                },
                &[],
            )
        });
        let exact = errors(&mut w, turns, ie, i, lag).unwrap();
        let bound = bounds(&mut w, turns, ie, i).unwrap();
        (
            [exact.ratio.si, exact.phase.si],
            [bound.ratio.si, bound.phase.si],
        )
    }

    /// GATE Electrical Engineering 2003 and 2004 (answers from memory): 250 ampere-turns on 100
    /// turns give -10.56 %; 200 on 500 turns give 4.6°. The third is our own arithmetic: 1000/5 A,
    /// exciting current 1 A primary at power factor 0.4.
    #[test]
    fn examination_examples() {
        let right = std::f64::consts::FRAC_PI_2;
        let ([ratio, _], _) = both(0.0, 2.5, 5.0, right);
        assert!((ratio + 10.56).abs() < 0.01);
        let ([_, phase], _) = both(0.0, 0.4, 5.0, right);
        assert!((phase.to_degrees() - 4.6).abs() < 0.05);
        let ([ratio, phase], _) = both(0.0, 0.005, 5.0, libm::acos(0.4));
        // That arithmetic keeps the part in phase only; the phasor adds 4.2e-5 %.
        assert!((ratio + 0.03998 + 4.2e-5).abs() < 6e-6, "{ratio}");
        assert!((phase.to_degrees() * 60.0 - 3.151).abs() < 2e-3);
    }

    proptest! {
        /// Bounds hold for a secondary that lags or leads; the ratio bound to first order in Ie/I.
        #[test]
        fn bounds_hold(turns in -1.0..1.0f64, share in 1e-5..0.05f64, lag in -1.6..1.6f64) {
            let ([ratio, phase], [ratio_bound, phase_bound]) = both(turns, share, 1.0, lag);
            prop_assert!(ratio.abs() <= ratio_bound + 1e-12);
            prop_assert!(phase.abs() <= phase_bound + 1e-12);
        }
    }
}
