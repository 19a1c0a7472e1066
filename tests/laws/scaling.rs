//! A curve driven on a tap is that of the full winding, voltages by the turns and currents by their
//! inverse; so are its knees.

use super::cases;
use kneemark::derive::kinds::excitation::Excited;
use kneemark::derive::knee::Knee;
use kneemark::job::Job;
use proptest::prelude::*;

fn record(pair: &str, points: &[(f64, f64)], turns: (u32, u32)) -> String {
    let core = format!(
        "class: PX\nknee emf: 100 V\ntap  ratio/A\nS1-S2  {}/1\nS2-S3  {}/1",
        turns.0, turns.1
    );
    let rows: String = points
        .iter()
        .map(|(v, i)| format!("{v:.13}  {i:.16}\n"))
        .collect();
    let visit = format!("[excitation {pair}]\nvoltmeter: mean\nvoltage/V  current/A\n{rows}");
    super::record(&core, &visit).replace("marks: S1 S2", "marks: S1 S2 S3")
}

/// The curve of the full winding, driven or scaled.
fn full(gathered: &Job) -> &Excited {
    let driven = &gathered.records[0].assessment.visits[0].derived.excitation[0];
    std::iter::once(driven)
        .chain(&driven.scaled)
        .find(|one| (one.pair.from, one.pair.to) == (0, 2))
        .expect("the full winding")
}

fn volts(knee: Knee) -> Option<(f64, f64)> {
    match knee {
        Knee::At(point) => Some((point.voltage.si, point.current.si)),
        Knee::NotReached { .. } | Knee::Lacking(_) => None,
    }
}

proptest! {
    #![proptest_config(cases(60))]
    #[test]
    fn a_curve_on_a_tap_is_that_of_the_winding(
        knee in 50.0..900.0f64,
        rise in 8.0..25.0f64,
        points in 6usize..20,
        turns in (50u32..900, 50u32..900),
        lower in any::<bool>(),
    ) {
        let top = points - 1;
        let curve: Vec<(f64, f64)> = (0..points)
            .map(|k| knee * libm::pow(12.0, k as f64 / top as f64) / 10.0)
            .map(|v| (v, 5e-3 * (libm::pow(v / knee, 0.8) + libm::pow(v / knee, rise))))
            .collect();
        let (driven, section) = if lower { ("S1-S2", turns.0) } else { ("S2-S3", turns.1) };
        let share = f64::from(section) / f64::from(turns.0 + turns.1);
        let on_tap: Vec<(f64, f64)> = curve.iter().map(|(v, i)| (v * share, i / share)).collect();
        let (a, b) = (super::whole(&record("S1-S3", &curve, turns)), super::whole(&record(driven, &on_tap, turns)));
        let (a, b) = (full(&a), full(&b));
        prop_assert!(a.scaled_from.is_none() && b.scaled_from.is_some());
        for (a, b) in [(a.iec, b.iec), (a.knee_45, b.knee_45), (a.knee_30, b.knee_30)] {
            prop_assert_eq!(volts(a).is_some(), volts(b).is_some());
            if let (Some(a), Some(b)) = (volts(a), volts(b)) {
                prop_assert!((a.0 / b.0 - 1.0).abs() < 1e-9 && (a.1 / b.1 - 1.0).abs() < 1e-8, "{a:?} {b:?}");
            }
        }
    }
}
