//! Ratio error and phase displacement at a current and burden, from the turns error and the
//! exciting current. Without the angle of the exciting current only bounds can be given.

use super::formula::{Symbol, formulas, symbol};
use super::workings::{Value, Workings};

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

/// Ratio error in per cent and phase displacement in radian, positive when the secondary leads, at the
/// secondary current `i` with the exciting current `ie` (ampere) that lags it by `lag` (radian); `turns`
/// is the turns error in per cent.
///
/// Without `lag` bounds on the magnitude of both, whatever the angle. `None` also when the exciting
/// current is then not less than the secondary current.
pub fn errors(
    w: &mut Workings,
    [turns, ie, i]: [Value; 3],
    lag: Option<Value>,
) -> Option<(Value, Value)> {
    Some(match lag {
        Some(lag) => (
            w.step(&RATIO, [turns, ie, i, lag])?,
            w.step(&PHASE, [ie, i, lag])?,
        ),
        None => (
            w.step(&RATIO_BOUND, [turns, ie, i])?,
            w.step(&PHASE_BOUND, [ie, i])?,
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::derive::testing::constants;
    use proptest::prelude::*;

    fn both(turns: f64, ie: f64, i: f64, lag: f64) -> ([f64; 2], [f64; 2]) {
        let mut w = Workings::new();
        let [turns, ie, i, lag] = constants(&mut w, [turns, ie, i, lag]);
        let [exact, bound] = [Some(lag), None].map(|lag| {
            let (ratio, phase) = errors(&mut w, [turns, ie, i], lag).unwrap();
            [ratio.si, phase.si]
        });
        (exact, bound)
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
