use super::*;
use crate::derive::component::Component;
use crate::derive::testing::{SAMPLE, constants, curve, maker_s_table};

/// The C800 case computed for this design: phasor 832.7 V, arithmetic 862 V.
#[test]
fn phasor_and_arithmetic_e_m_f_of_a_c800_core() {
    let mut w = Workings::new();
    let [k, isr, rct, zb, pf] = constants(&mut w, [20.0, 5.0, 0.62, 8.0, 0.5]);
    let e = limiting_emf(&mut w, [k, isr], [rct, zb, pf]).unwrap();
    assert!((e.phasor.si - 832.7).abs() < 0.05);
    assert!((e.arithmetic.si - 862.0).abs() < 1e-9);
    // At unity power factor both are the same.
    let [one] = constants(&mut w, [1.0]);
    let e = limiting_emf(&mut w, [k, isr], [rct, zb, one]).unwrap();
    assert!((e.phasor.si - e.arithmetic.si).abs() < 1e-9);
}

/// The sample 5P20 core computed for this design: 356.8 V at 0.8, 368.0 V at unity; actual
/// accuracy limit factor at least 25.8.
#[test]
fn the_sample_core_at_its_limit() {
    let mut w = Workings::new();
    let c = curve(&mut w, &SAMPLE);
    let [k, isr, rct, va, pf] = constants(&mut w, [20.0, 1.0, 3.40, 15.0, 0.8]);
    let zb = w.step(&BURDEN_IMPEDANCE, [va, isr]).unwrap();
    let e = limiting_emf(&mut w, [k, isr], [rct, zb, pf]).unwrap();
    assert!((e.phasor.si - 356.8).abs() < 0.1);
    assert!((e.arithmetic.si - 368.0).abs() < 1e-9);
    let AtEmf::Within { current } = at_emf(&c, &mut w, e.phasor) else {
        panic!("not within")
    };
    let error = w.step(&COMPOSITE, [current, k, isr]).unwrap();
    assert!((error.si - 100.0 * c.current_at(e.phasor.si).unwrap() / 20.0).abs() < 1e-12);
    let alf = actual_factor(&c, &mut w, isr, e.loop_impedance, 0.05);
    let Outcome::AtLeast(alf) = alf else {
        panic!("{alf:?}")
    };
    assert!((alf.si - 25.8).abs() < 0.05, "{}", alf.si);
}

#[test]
fn the_factor_is_where_the_definition_holds() {
    let mut w = Workings::new();
    let c = curve(&mut w, &SAMPLE);
    let [isr, z] = constants(&mut w, [1.0, 400.0]);
    let Outcome::Known(factor) = actual_factor(&c, &mut w, isr, z, 0.10) else {
        panic!("not known")
    };
    let ie = c.current_at(factor.si * 400.0).unwrap();
    assert!((ie / (0.10 * factor.si) - 1.0).abs() < 1e-12);
    // Sensitivity to the loop impedance, against the moved loop.
    let at = |z: f64| {
        let mut w = Workings::new();
        let c = curve(&mut w, &SAMPLE);
        let [isr, z] = constants(&mut w, [1.0, z]);
        w.add_part(z, Component::Spacing { of: "z" }, 1.0);
        let factor = actual_factor(&c, &mut w, isr, z, 0.10).known().unwrap();
        (factor.si, w.budget(factor)[0].contribution)
    };
    let quotient = (at(400.1).0 - at(399.9).0) / 0.2;
    assert!((at(400.0).1 / quotient - 1.0).abs() < 1e-5);
    // One whose exciting current has its share from the first reading on.
    let [z] = constants(&mut w, [1e5]);
    assert!(matches!(
        actual_factor(&c, &mut w, isr, z, 0.10),
        Outcome::AtMost(_)
    ));
    let [none] = constants(&mut w, [0.0]);
    assert!(matches!(
        actual_factor(&c, &mut w, isr, none, 0.10),
        Outcome::Lacking(_)
    ));
}

#[test]
fn beyond_the_readings_the_nearest_one_stands() {
    let mut w = Workings::new();
    let c = curve(&mut w, &SAMPLE);
    let [low, within, high] = constants(&mut w, [10.0, 300.4, 500.0]);
    let below = at_emf(&c, &mut w, low);
    assert!(matches!(below, AtEmf::Below { first_current: i, .. } if i.si == SAMPLE[0].1));
    let found = at_emf(&c, &mut w, within);
    assert!(matches!(found, AtEmf::Within { current: i } if (i.si - 0.0074).abs() < 1e-12));
    let above = at_emf(&c, &mut w, high);
    assert!(matches!(above, AtEmf::Above { last_voltage: v, .. } if v.si == SAMPLE[9].0));
}

/// Relay makers' application manuals, CT requirements examples: factor 10 at 10 VA, loaded with
/// 2.5 VA at 5 A, becomes 15 with 0.5 ohm and 30 with 0.05 ohm; and factor 10 at 5 ohm, loaded
/// with 0.6 ohm beside 3 ohm at 1 A (needed 9.0 for 20). The third, ratio 3.2959, is our own arithmetic.
#[test]
fn the_proportion_of_the_manuals() {
    for (inputs, expected) in [
        ([10.0, 10.0, 2.5, 0.5, 5.0], 15.0),
        ([10.0, 10.0, 2.5, 0.05, 5.0], 30.0),
        ([9.0, 5.0, 0.6, 3.0, 1.0], 20.0),
        ([10.0, 20.0, 4.675, 2.0, 1.0], 32.959),
    ] {
        let mut w = Workings::new();
        let inputs = constants(&mut w, inputs);
        let factor = w.step(&PROPORTION, inputs).unwrap();
        assert!((factor.si - expected).abs() < 1e-3, "{}", factor.si);
    }
}

/// 385.54 V at 10 A by straight chords of the maker's table.
#[test]
fn the_voltage_at_10_a_of_a_maker_s_table() {
    let c = curve(&mut Workings::new(), &maker_s_table());
    assert!((c.voltage_at(10.0).unwrap() - 385.54).abs() < 0.6);
}
