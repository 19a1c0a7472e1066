use super::*;
use crate::derive::testing::{SAMPLE, curve};
use crate::derive::workings::Workings;

const FAULT: Fault = Fault {
    current: 20.0,
    frequency: 50.0,
    primary_constant: 0.06,
    inception: 0.0,
    resistance: 15.0,
    inductance: 0.0,
    remanence: 0.0,
    duration: 0.2,
    error: 0.1,
};

const HEAVY: Fault = Fault {
    resistance: 4.0,
    ..FAULT
};

fn made(points: &[(f64, f64)]) -> FluxCurve {
    FluxCurve::from_readings(&curve(&mut Workings::new(), points), 50.0).unwrap()
}

fn sample() -> FluxCurve {
    made(&SAMPLE)
}

/// A core of constant inductance, by its reactance.
fn linear(henry: f64) -> FluxCurve {
    let x = 100.0 * PI * henry;
    made(&[(x, 1.0), (2.0 * x, 2.0)])
}

/// Greatest magnitude.
fn most(list: &[f64]) -> f64 {
    list.iter().fold(0.0f64, |most, x| most.max(x.abs()))
}

/// Flux of a linear core under full offset, resistive loop, own derivation from the loop equation
/// flux' + flux/Ts = R p.
fn closed(fault: &Fault, henry: f64, t: f64) -> f64 {
    let (w, tp, ts) = (
        2.0 * PI * fault.frequency,
        fault.primary_constant,
        henry / fault.resistance,
    );
    let decay = (-t / ts).exp();
    let direct = tp * ts / (tp - ts) * ((-t / tp).exp() - decay);
    let wave = ((w * t).cos() / ts + w * (w * t).sin() - decay / ts) / (1.0 / (ts * ts) + w * w);
    SQRT_2 * fault.current * fault.resistance * (direct - wave) + fault.remanence * decay
}

#[test]
fn a_linear_core_follows_the_closed_solution() {
    for (henry, remanence) in [(7.5, 0.0), (0.3, 0.0), (7.5, 10.0), (200.0, -4.0)] {
        let core = linear(henry);
        let fault = Fault { remanence, ..FAULT };
        let out = run(&core, &fault).unwrap();
        let size = most(&out.flux);
        for (n, flux) in out.flux.iter().enumerate() {
            let exact = closed(&fault, henry, n as f64 * out.step);
            assert!(
                (flux - exact).abs() < 1e-3 * size,
                "{henry} H, step {n}: {flux} {exact}"
            );
        }
    }
}

#[test]
fn the_flux_stays_under_the_transient_factor() {
    let (henry, tp) = (7.5, 0.06);
    let ts = henry / FAULT.resistance;
    let out = run(&linear(henry), &FAULT).unwrap();
    let w = 2.0 * PI * 50.0;
    let unit = SQRT_2 * FAULT.current * FAULT.resistance / w;
    let greatest = out.flux.iter().fold(0.0f64, |m, x| m.max(*x)) / unit;
    let factor = 1.0 + w * tp * (tp / ts).powf(tp / (ts - tp));
    assert!(
        greatest <= factor && greatest > 0.97 * factor,
        "{greatest} {factor}"
    );
}

/// The closed form takes the peak of the alternating flux for granted, so the run may be later but
/// by less than a cycle.
#[test]
fn saturation_comes_when_the_closed_form_says() {
    let out = run(&sample(), &HEAVY).unwrap();
    let ks: f64 = 460.0 / (20.0 * 4.0);
    let wt = 2.0 * PI * 50.0 * 0.06;
    let formula = -0.06 * (1.0 - (ks - 1.0) / wt).ln();
    let found = out.first_error.unwrap();
    assert!(
        found > formula - 0.003 && found < formula + 0.02,
        "{found} {formula}"
    );
    assert!(out.beyond_readings);
    // Bounded: the secondary current never exceeds what drives it by much.
    assert!(most(&out.secondary) < 2.0 * SQRT_2 * 20.0 * 1.01);
}

#[test]
fn remanence_brings_the_error_forward_and_a_light_duty_none() {
    let plain = run(&sample(), &HEAVY).unwrap().first_error.unwrap();
    let remanence = 0.6 * sample().last_flux();
    let left = run(&sample(), &Fault { remanence, ..HEAVY }).unwrap();
    assert!(left.first_error.unwrap() < plain);
    let light = Fault {
        current: 1.0,
        inception: PI / 2.0,
        ..HEAVY
    };
    let light = run(&sample(), &light).unwrap();
    assert!(light.first_error.is_none() && !light.beyond_readings);
}

#[test]
fn an_inductive_burden_settles_to_the_phasor_solution() {
    let (henry, l) = (5.0, 0.02);
    let fault = Fault {
        inception: PI / 2.0,
        inductance: l,
        duration: 3.0,
        ..FAULT
    };
    let out = run(&linear(henry), &fault).unwrap();
    let w = 2.0 * PI * 50.0;
    // secondary = primary * jwM/(R + jw(L + M))
    let size = w * henry / FAULT.resistance.hypot(w * (l + henry));
    let tail = &out.secondary[out.secondary.len() - 400..];
    let most = tail.iter().fold(0.0f64, |m, x| m.max(*x));
    let least = tail.iter().fold(0.0f64, |m, x| m.min(*x));
    let found = (most - least) / 2.0 / (SQRT_2 * fault.current);
    assert!((found / size - 1.0).abs() < 1e-3, "{found} {size}");
}

#[test]
fn refuses_senseless_and_endless_runs() {
    let core = sample();
    type Change = fn(&mut Fault);
    let changes: [(Change, Reason); 5] = [
        (|fault| fault.duration = 1e9, Reason::TooLong),
        (|fault| fault.resistance = 0.0, Reason::OutOfDomain),
        (|fault| fault.current = f64::NAN, Reason::OutOfDomain),
        (|fault| fault.primary_constant = -1.0, Reason::OutOfDomain),
        (|fault| fault.duration = f64::INFINITY, Reason::OutOfDomain),
    ];
    for (change, why) in changes {
        let mut fault = FAULT;
        change(&mut fault);
        assert_eq!(run(&core, &fault).err(), Some(why), "{fault:?}");
    }
}
