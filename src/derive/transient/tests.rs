use super::*;
use crate::derive::testing::constants;

/// Computed for this design, formulas from memory of IEC 61869-2 Annex 2B.
#[test]
fn factors_at_60_ms() {
    let mut w = Workings::new();
    let [f, tp, ts, t40, t100] = constants(&mut w, [50.0, 0.06, 0.5, 0.04, 0.1]);
    let at = |w: &mut Workings, ts, t| factor_at(w, f, tp, ts, t).unwrap().value.si;
    assert!((at(&mut w, None, t40) - 10.172).abs() < 6e-4);
    assert!((at(&mut w, None, t100) - 16.289).abs() < 6e-4);
    let limit = greatest_factor(&mut w, f, tp, None).unwrap();
    assert!((limit.value.si - 19.85).abs() < 6e-3);
    assert!((at(&mut w, Some(ts), t100) - 14.491).abs() < 6e-4);
    let when = time_of_maximum(&mut w, tp, ts).unwrap().si;
    assert!((when - 0.14456).abs() < 6e-6);
    let greatest = greatest_factor(&mut w, f, tp, Some(ts)).unwrap().value.si;
    assert!((greatest - 15.117).abs() < 6e-4);
    // The closed form of the greatest value.
    let closed = 1.0 + TWO_PI * 50.0 * 0.06 * (0.06f64 / 0.5).powf(0.06 / 0.44);
    assert!((greatest - closed).abs() < 1e-9);
}

#[test]
fn equal_time_constants_take_the_limit() {
    let mut w = Workings::new();
    let [f, tp, t] = constants(&mut w, [50.0, 0.1, 0.07]);
    let exact = 1.0 + TWO_PI * 50.0 * 0.07 * (-0.7f64).exp();
    // On both sides of the change of formula and at it.
    for apart in [0.0, 9e-6, -9e-6, 1.1e-5, -1.1e-5, 1e-4] {
        let [ts] = constants(&mut w, [0.1 * (1.0 + apart)]);
        let found = factor_at(&mut w, f, tp, Some(ts), t).unwrap().value.si;
        assert!(
            (found / exact - 1.0).abs() < apart.abs() + 1e-9,
            "{apart}: {found} {exact}"
        );
        let when = time_of_maximum(&mut w, tp, ts).unwrap().si;
        assert!(
            (when / 0.1 - 1.0).abs() < apart.abs() + 1e-9,
            "{apart}: {when}"
        );
    }
}

/// What is not nearly equal takes the quotient form, which is worked out here anew.
#[test]
fn unequal_time_constants_do_not_take_the_limit() {
    let mut w = Workings::new();
    let [f, t] = constants(&mut w, [50.0, 0.07]);
    for (tp, ts) in [
        (0.1f64, 0.1001f64),
        (0.1, 0.0999),
        (4.0, 4.0004),
        (4.0, 3.9996),
        (0.01, 0.0101),
    ] {
        let part = tp * ts / (tp - ts) * ((-0.07f64 / tp).exp() - (-0.07f64 / ts).exp());
        let quotient = 1.0 + TWO_PI * 50.0 * part;
        let [tp, ts] = constants(&mut w, [tp, ts]);
        let found = factor_at(&mut w, f, tp, Some(ts), t).unwrap().value.si;
        assert!((found / quotient - 1.0).abs() < 1e-12, "{tp:?} {ts:?}");
    }
}

#[test]
fn early_times_are_marked() {
    let mut w = Workings::new();
    let [f, tp, early, late] = constants(&mut w, [50.0, 0.06, 0.0099, 0.0101]);
    let branch = |w: &mut Workings, t| factor_at(w, f, tp, None, t).unwrap().branch;
    assert_eq!(branch(&mut w, early), Branch::UnderHalfCycle);
    assert_eq!(branch(&mut w, late), Branch::Envelope);
}

/// Own arithmetic on formulas from memory.
#[test]
fn limits_of_the_transient_classes() {
    let (kssc, ktd, rct, rb, isr, eps, f) = (20.0, 12.5, 5.0, 10.0, 1.0, 0.1, 50.0);
    assert_eq!(EAL.at([kssc, ktd, rct, rb, isr]).unwrap().v, 3750.0);
    let limit = PEAK_LIMIT.at([isr, kssc, eps]).unwrap().v;
    assert!((limit - 2.0 * 2f64.sqrt()).abs() < 1e-12);
    let ts = LOOP_CONSTANT.at([7.5, rct, rb]).unwrap().v;
    assert!((ts - 0.5).abs() < 1e-15);
    let wide = PEAK_LIMIT_TPZ.at([isr, kssc, ktd, f, ts, eps]).unwrap().v;
    let by_hand = 2f64.sqrt() * 20.0 * (11.5 / (50.0 * std::f64::consts::PI) + 0.1);
    assert!((wide - by_hand).abs() < 1e-12);
}

/// The flux summed up from the current itself in small steps, until it reaches `ks`.
fn summed(ks: f64, f: f64, tp: f64) -> f64 {
    let (omega, step) = (TWO_PI * f, 1e-7);
    let current = |t: f64| (-t / tp).exp() - (omega * t).cos();
    let (mut flux, mut t) = (0.0, 0.0);
    while flux < ks {
        flux +=
            omega * step * (current(t) + 4.0 * current(t + step / 2.0) + current(t + step)) / 6.0;
        t += step;
    }
    t
}

#[test]
fn time_to_saturation_is_that_of_the_flux() {
    let mut w = Workings::new();
    let cases = [
        // In the first half cycle, where the envelope says 4.09 ms and 1.95 ms.
        (2.2268, 14.0 / (TWO_PI * 50.0), Some(0.00896)),
        (1.5995, 14.0 / (TWO_PI * 50.0), Some(0.00778)),
        (0.9, 0.06, None),
        (8.0, 0.06, None),
        (12.3, 0.06, None),
        (18.9, 0.06, None),
        (1.05, 0.002, None),
    ];
    for (k, constant, known) in cases {
        let [f, tp, ks] = constants(&mut w, [50.0, constant, k]);
        let Saturation::After(t) = time_to_saturation(&mut w, ks, f, tp) else {
            panic!("{k}: never")
        };
        let by_sum = summed(k, 50.0, constant);
        assert!((t.si - by_sum).abs() < 3e-7, "{k}: {} {by_sum}", t.si);
        assert!(
            known.is_none_or(|known: f64| (t.si - known).abs() < 5e-6),
            "{k}: {}",
            t.si
        );
        // Never before the envelope.
        let envelope = factor_at(&mut w, f, tp, None, t).unwrap().value.si;
        assert!(envelope > k - 1e-9);
    }
}

#[test]
fn time_to_saturation_has_ends() {
    let mut w = Workings::new();
    let [f, tp, ks, none, high, bad] = constants(&mut w, [50.0, 0.06, 8.0, 0.0, 25.0, -1.0]);
    let mut told = |ks, tp| time_to_saturation(&mut w, ks, f, tp);
    assert!(matches!(told(none, tp), Saturation::AtOnce));
    assert!(matches!(told(high, tp), Saturation::Never));
    assert!(matches!(told(ks, bad), Saturation::Unknown));
}
