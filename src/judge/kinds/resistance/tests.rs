use crate::judge::finding::{Finding, Grade, Verdict};
use crate::judge::kinds::bench::{assessed, of_rule};

fn rule(name: &str, rows: &str) -> Vec<Finding> {
    of_rule(&assessed("", &format!("[resistance]\n{rows}\n")), name)
}

#[test]
fn px_is_held_to_its_plate_and_5p_is_not() {
    let head = "wires: 4\ntemperature: 75.0 +- 0.5 C\non resistance/ohm\n";
    let px = |ohm: &str| rule("winding-resistance", &format!("{head}2S1-2S3 {ohm}")).remove(0);
    assert_eq!(px("3.40").grade(), Grade::Pass);
    assert_eq!(px("3.60").grade(), Grade::Fails);
    assert!(px("3.60").headline && px("3.60").action().is_some());
    let p = rule("winding-resistance", &format!("{head}1S1-1S2 4.40")).remove(0);
    assert_eq!(p.verdict, Verdict::NoLimit);
    let away = rule("winding-resistance-plate", &format!("{head}1S1-1S2 4.40")).remove(0);
    assert!((away.found.value().unwrap().si - 100.0 * (4.40 / 3.40 - 1.0)).abs() < 1e-9);
}

#[test]
fn a_tap_is_held_to_its_row_of_the_table() {
    let head = "wires: 4\ntemperature: 75.0 +- 0.5 C\non resistance/ohm\n";
    assert_eq!(
        rule("winding-resistance", &format!("{head}2S1-2S2 1.90"))
            .remove(0)
            .grade(),
        Grade::Fails
    );
    assert_eq!(
        rule("winding-resistance", &format!("{head}2S2-2S3 1.90"))
            .remove(0)
            .verdict,
        Verdict::NoLimit
    );
}

#[test]
fn unknown_leads_or_temperature_give_no_verdict() {
    let verdict = |head: &str| {
        rule(
            "winding-resistance",
            &format!("{head}on resistance/ohm\n2S1-2S3 3.60"),
        )
        .remove(0)
        .verdict
    };
    for head in [
        "wires: 2\ntemperature: 20 C\n",
        "temperature: 20 C\n",
        "wires: 4\n",
    ] {
        assert!(
            matches!(verdict(head), Verdict::NotJudged(_)),
            "{head}: {:?}",
            verdict(head)
        );
    }
}

#[test]
fn rising_readings_deserve_a_look_and_falling_ones_do_not() {
    let drift = |rows: &str| {
        rule(
            "winding-resistance-drift",
            &format!("wires: 4\ntemperature: 20 C\non resistance/ohm\n{rows}"),
        )
        .remove(0)
    };
    let rising = drift("1S1-1S2 2.700\n1S1-1S2 2.710\n1S1-1S2 2.720");
    assert_eq!(rising.grade(), Grade::Review);
    assert!(rising.observed.to_string().contains("heats"));
    let falling = drift("1S1-1S2 2.720\n1S1-1S2 2.710\n1S1-1S2 2.700");
    assert_eq!(falling.grade(), Grade::Info);
    assert!(falling.observed.to_string().contains("settles"));
    assert!(
        drift("1S1-1S2 2.700\n1S1-1S2 2.701")
            .observed
            .to_string()
            .contains(" steady")
    );
    // One step of the last digit is no drift, however large a share it is.
    assert!(
        drift("1S1-1S2 0.122\n1S1-1S2 0.123")
            .observed
            .to_string()
            .contains(" steady")
    );
}

/// Terminals exchanged: the sections no longer make up the whole (planted in the demo too).
#[test]
fn sections_that_do_not_add_up_are_a_defect() {
    let sum = |rows: &str| {
        rule(
            "winding-resistance-sum",
            &format!("wires: 4\ntemperature: 20 C\non resistance/ohm\n{rows}"),
        )
    };
    let good = sum("2S1-2S3 2.8000\n2S1-2S2 1.4010\n2S2-2S3 1.3995").remove(0);
    assert_eq!(good.grade(), Grade::Info, "{:?}", good.remarks);
    let exchanged = sum("2S1-2S3 1.4000\n2S1-2S2 2.8010\n2S2-2S3 1.3995").remove(0);
    assert_eq!(exchanged.grade(), Grade::Fails);
    assert!(sum("2S1-2S3 2.8000\n2S1-2S2 1.4010").is_empty());
}

#[test]
fn two_wires_give_no_sum() {
    let text = "[self-check]\nleads: 0.01 ohm\n\n[resistance]\nwires: 2\ntemperature: 20 C\non resistance/ohm\n\
        2S1-2S3 2.80\n2S1-2S2 1.45\n2S2-2S3 1.45\n";
    assert!(of_rule(&assessed("", text), "winding-resistance-sum").is_empty());
}

#[test]
fn a_doubtful_section_is_shown_not_judged() {
    let text = "[resistance]\nwires: 4\ntemperature: 75.0 C\non resistance/ohm\n2S1-2S3 3.60\nwhat is this # broken\n";
    let found = of_rule(&assessed("", text), "winding-resistance");
    assert!(
        matches!(&found[0].verdict, Verdict::NotJudged(why) if why.to_string().contains("not understood")),
        "{:?}",
        found[0].verdict
    );
}

#[test]
fn a_bound_is_no_reading() {
    let found = rule(
        "winding-resistance",
        "wires: 4\ntemperature: 20 C\non resistance/ohm\n2S1-2S3 >20",
    );
    assert!(matches!(&found[0].verdict, Verdict::NotJudged(_)));
}
