//! A worse reading never has a better word.

use super::{cases, findings, never_better, of, record};
use proptest::prelude::*;

/// The curve with every current so many times larger.
fn exciting(curve: &[(f64, f64)], times: f64) -> String {
    let rows: String = curve
        .iter()
        .map(|(v, i)| format!("{v:.4}  {:.9}\n", times * i))
        .collect();
    format!("[excitation S1-S2]\nvoltmeter: mean\nvoltage/V  current/A\n{rows}")
}

fn curve() -> impl Strategy<Value = Vec<(f64, f64)>> {
    (
        100.0..800.0f64,
        8.0..25.0f64,
        1e-3..5e-2f64,
        5usize..16,
        1.02..1.5f64,
    )
        .prop_map(|(knee, rise, floor, n, top)| {
            (0..n)
                .map(|k| knee * 0.1 * libm::pow(10.0 * top, k as f64 / (n - 1) as f64))
                .map(|v| {
                    (
                        v,
                        floor * (libm::pow(v / knee, 0.8) + libm::pow(v / knee, rise)),
                    )
                })
                .collect()
        })
}

/// The only finding of a rule gets no better from one visit to the other.
fn law(core: &str, rule: &str, good: &str, worse: &str) -> Result<(), TestCaseError> {
    let (a, b) = (
        findings(&record(core, good)),
        findings(&record(core, worse)),
    );
    let (a, b) = (of(&a, rule), of(&b, rule));
    prop_assert!(
        a.len() == 1 && b.len() == 1,
        "{} and {} findings of {rule}",
        a.len(),
        b.len()
    );
    prop_assert!(never_better(a[0], b[0]), "{:#}\nthen\n{:#}", a[0], b[0]);
    Ok(())
}

/// Steps that are small enough to meet the guard bands, and large ones.
fn more() -> impl Strategy<Value = f64> {
    prop_oneof![1.0..1.01f64, 1.0..1.5f64, 1.0..20.0f64]
}

proptest! {
    #![proptest_config(cases(80))]
    #[test]
    fn more_exciting_current_is_never_better(curve in curve(), times in more(), limit in 1e-3..0.2f64, share in 0.2..1.3f64) {
        // Where the drop in the winding is most of the voltage, more current is less e.m.f. and another curve
        // altogether; no core is read that far (`reading-implausible` says so first).
        prop_assume!(curve.iter().all(|(v, i)| 2.0 * i * times < 0.05 * v));
        let (good, worse) = (exciting(&curve, 1.0), exciting(&curve, times));
        let protection = "class: 5P20\nburden: 5 VA at 0.80\nratio: 600/1 A\nresistance: 2.00 ohm at 75 C";
        law(protection, "composite-error", &good, &worse)?;
        let top = curve.last().unwrap().0;
        let px = format!("class: PX\nratio: 600/1 A\nexciting current: {limit:.6} A at {:.3} V", share * top);
        law(&px, "exciting-current", &good, &worse)?;
    }

    #[test]
    fn more_burden_is_never_better(volts in 0.5..30.0f64, times in more(), rated in 2.5..30.0f64) {
        let visit = |u: f64| format!("[burden S1-S2]\nloop  current/A  voltage/V  angle/deg\nphase-neutral  1.000  {u:.4}  20.0\n");
        let core = format!("class: 5P20\nburden: {rated:.2} VA\nratio: 600/1 A");
        law(&core, "circuit-burden", &visit(volts), &visit(volts * times))?;
    }

    #[test]
    fn a_larger_error_is_never_better(
        class in prop_oneof![Just("0.2"), Just("0.5S"), Just("1"), Just("5P20"), Just("10P10")],
        error in 0.05..3.0f64,
        minutes in 1.0..80.0f64,
        times in more(),
        lags in any::<bool>(),
    ) {
        let sign = if lags { "-" } else { "" };
        let visit = |x: f64, m: f64| {
            let heading = "[ratio S1-S2]\nmethod: current\nburden: 10 VA at 0.80\nrated/%  error/%  phase/arcmin";
            format!("{heading}\n100  {sign}{x:.4}  {sign}{m:.3}\n")
        };
        let core = format!("class: {class}\nburden: 10 VA at 0.80\nratio: 600/1 A");
        law(&core, "ratio-error", &visit(error, minutes), &visit(error * times, minutes))?;
        law(&core, "phase-displacement", &visit(error, minutes), &visit(error, minutes * times))?;
        if !class.contains('P') {
            law(&core, "class-shown", &visit(error, minutes), &visit(error * times, minutes * times))?;
        }
    }

    /// Of what is far below the plate's, nothing is judged: it is a slip.
    #[test]
    fn more_winding_resistance_is_never_better(ohm in 3.0..9.0f64, times in more(), limit in 1.0..12.0f64) {
        let visit = |r: f64| format!("[resistance S1-S2]\nwires: 4\ntemperature: 20.0 +- 1.0 C\nresistance/ohm\n{r:.5}\n");
        let core = format!("class: PX\nknee emf: 300 V\nratio: 600/1 A\nresistance: {limit:.3} ohm at 75 C");
        law(&core, "winding-resistance", &visit(ohm), &visit(ohm * times))?;
    }

    #[test]
    fn more_turns_error_is_never_better(error in 0.01..0.6f64, times in more(), fewer in any::<bool>()) {
        let visit = |e: f64| {
            let turns = if fewer { 600.0 / (1.0 + e / 100.0) } else { 600.0 / (1.0 - e / 100.0) };
            format!("[ratio S1-S2]\nmethod: voltage\napplied/V  induced/mV\n{:.7}  100.00000\n", 0.1 * turns)
        };
        law("class: PXR\nknee emf: 300 V\nratio: 600/1 A", "turns-ratio", &visit(error), &visit(error * times))?;
    }

    /// Straight cores have no knee; of others the knee falls with the voltage of the whole curve.
    #[test]
    fn a_lower_curve_never_has_the_better_knee(curve in curve(), times in more(), rated in 50.0..900.0f64) {
        let lower: Vec<(f64, f64)> = curve.iter().map(|(v, i)| (v / times, *i)).collect();
        let core = format!("class: PX\nratio: 600/1 A\nknee emf: {rated:.2} V");
        law(&core, "knee-emf", &exciting(&curve, 1.0), &exciting(&lower, 1.0))?;
    }
}
