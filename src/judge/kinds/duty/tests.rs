use crate::judge::kinds::bench::{Bench, core, table};
use crate::judge::kinds::excitation::tests::{P, SAMPLE, excitation};

fn with(duty: &str, rows: &[(f64, f64)]) -> Bench {
    let rest = format!("[duty S since 2026-01-01]\n{duty}\n[visit 2026-01-10]\n");
    Bench::of(&core(P, &(rest + &excitation(rows))))
}

fn sample(duty: &str) -> Bench {
    with(duty, SAMPLE)
}

/// 41.7 A x 4.5 ohm: 187 V symmetrical, 2812 V with full offset (the trade notes' own figures).
#[test]
fn the_generic_rules_are_information() {
    let hard = sample("fault current: 25 kA\nx/r: 14\nburden: 1.10 ohm\nrequired knee: 210 V");
    assert!((hard.value("duty-emf") - 187.5).abs() < 0.05);
    hard.holds("duty-emf", &["2812 V"]);
    assert_eq!(hard.told("duty-emf"), "no limit");
    assert_eq!(hard.told("time-to-saturation"), "info");
    assert_eq!(hard.told("simulated-current"), "info");
    assert_eq!(hard.told("required-knee"), "pass");
    hard.holds("required-knee", &["1.51 times the requirement"]);
    let none = sample("fault current: 25 kA\nx/r: 14\nburden: 1.10 ohm");
    assert_eq!(
        none.told("required-knee") + &none.told("required-factor"),
        ""
    );
}

#[test]
fn only_the_relays_own_rule_gives_a_verdict() {
    let asked = "required knee: 400 V\nrule: twice the symmetrical e.m.f.";
    sample(asked).holds("required-knee", &["twice the symmetrical", ": fail"]);
    let short = with("required knee: 400 V", &SAMPLE[..5]);
    assert_eq!(
        short.told("required-knee"),
        "not shown: needs readings up to 440.0 V"
    );
}

#[test]
fn a_factor_past_the_readings_can_meet_and_never_break() {
    table(
        "required-factor",
        sample,
        &[
            // 460.1 V over (3.4 + 1.1) ohm and 1 A: at least 102.2.
            ("burden: 1.10 ohm\nrequired factor: 100", "pass"),
            (
                "burden: 1.10 ohm\nrequired factor: 110",
                "not shown: needs readings up to 495.0 V",
            ),
            (
                "required factor: 110",
                "not judged: winding resistance or burden of the circuit is not known",
            ),
        ],
    );
    let meets = sample("burden: 1.10 ohm\nrequired factor: 100");
    assert!((meets.value("required-factor") - 460.1 / 4.5).abs() < 1e-6);
    meets.holds("required-factor", &["at least 102", "(5 %)"]);
    let rest =
        "[duty S since 2026-01-01]\nburden: 1.10 ohm\nrequired factor: 100\n[visit 2026-01-10]\n";
    let rest = rest.to_owned() + &excitation(SAMPLE);
    let ten = Bench::of(&core(&P.replace("5P20", "10P20"), &rest));
    ten.holds("required-factor", &["(10 %)"]);
}

/// 20 m of 4 mm2, go and return: 0.175 ohm (a relay maker's manual, lead resistance example).
#[test]
fn leads_are_computed_when_nobody_measured_them() {
    let duty = "fault current: 6 kA\nlead length: 20 m\nlead section: 4 mm2\nlead returns: full";
    let emf = |duty: &str| sample(duty).value("duty-emf");
    for (duty, leads) in [
        (duty.to_owned(), 0.175),
        (duty.replace("full", "none"), 0.0875),
        (format!("{duty}\nrelay burden: 0.1 VA"), 0.275),
    ] {
        assert!((emf(&duty) - 10.0 * (3.4 + leads)).abs() < 1e-9, "{duty}");
    }
}

#[test]
fn nothing_is_claimed_past_the_last_reading() {
    for (fault, told) in [
        (
            "fault current: 25 kA\nx/r: 14",
            "until the flux leaves the readings",
        ),
        ("fault current: 600 A\nx/r: 2", "no 10 % error within"),
    ] {
        sample(&format!("{fault}\nburden: 1.10 ohm")).holds("simulated-current", &[told]);
    }
}
