use super::*;
use crate::derive::testing::{Derivation, near};

/// One row between phase and neutral, by its columns.
fn loops(ratio: &str, frequency: &str, columns: &str, row: &str) -> Vec<Loop> {
    let text = format!(
        "frequency: 50 Hz\n[core S]\nclass: 5P20\n{ratio}\n[visit 2026-01-05]\n[burden S1-S2]\n{frequency}\n\
         loop {columns}\nphase-neutral {row}\n"
    );
    Derivation::of(&text).derived.burden
}

const RATIO: &str = "ratio: 600/1 A";
const PLAIN: &str = "current/A voltage/V";
const ANGLE: &str = "current/A voltage/V angle/deg";

/// A relay input of 0.2 VA at 5 A is 0.008 ohm, 15 VA are 0.6 ohm (a relay maker's application
/// manual, example of the burden), turned round: volts and amperes in, volt-amperes out.
#[test]
fn published_burdens_come_back() {
    for (volts, va) in [("0.0400", 0.2), ("3.0000", 15.0)] {
        let found = loops("ratio: 600/5 A", "", PLAIN, &format!("5.000 {volts}"));
        near(found[0].va.unwrap().si, va, 1e-12);
        near(found[0].z.si, va / 25.0, 1e-12);
        assert!(found[0].r.is_none() && found[0].power_factor.is_none());
    }
}

#[test]
fn resistance_reactance_and_power_factor() {
    let one = &loops(RATIO, "", ANGLE, "1.000 5.000 36.869898")[0];
    near(one.r.unwrap().si, 4.0, 1e-7);
    near(one.x.unwrap().si, 3.0, 1e-7);
    near(one.power_factor.unwrap().si, 0.8, 1e-7);
    near(one.va.unwrap().si, 5.0, 1e-12);
}

#[test]
fn another_frequency_scales_the_reactance_only() {
    let at_25 = "frequency: 25 Hz";
    let one = &loops(RATIO, at_25, ANGLE, "1.000 5.000 36.869898")[0];
    near(one.x.unwrap().si, 6.0, 1e-7);
    near(one.r.unwrap().si, 4.0, 1e-7);
    near(one.z.si, 52f64.sqrt(), 1e-7);
    assert!(one.scaled && one.other_frequency == Some(25.0));
    let without = &loops(RATIO, at_25, PLAIN, "1.000 5.000")[0];
    near(without.z.si, 5.0, 1e-12);
    assert!(!without.scaled);
}

#[test]
fn a_bound_gives_no_loop_and_no_ratio_no_volt_amperes() {
    assert!(loops(RATIO, "", PLAIN, "1.000 <0.1").is_empty());
    let unrated = loops("marks: S1 S2", "", PLAIN, "1.000 0.1");
    assert!(unrated.len() == 1 && unrated[0].va.is_none());
}
