//! IEEE C57.13 and its relatives, row by row.

use super::{Number, Published, Values, check_numbers, check_values, checked, near, read, same};
use kneemark::standards::{self, ieee_burden, ieee_metering, ieee_relay};
use serde::Deserialize;

#[derive(Deserialize)]
struct File {
    metering_class: Vec<Metering>,
    burden: Vec<Burden>,
    relay_class: Vec<Relay>,
    number: Vec<Number>,
    values: Vec<Values>,
}

#[derive(Deserialize)]
struct Metering {
    class: String,
    current_pct: f64,
    tcf_min: f64,
    tcf_max: f64,
    beta_max_abs_min: f64,
    #[serde(default)]
    low_confidence: bool,
    #[serde(flatten)]
    from: Published,
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "headings of the printed table")]
struct Burden {
    name: String,
    R_ohm: f64,
    L_mH: f64,
    Z_ohm: f64,
    VA: f64,
    pf: f64,
    #[serde(flatten)]
    from: Published,
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "headings of the printed table")]
struct Relay {
    class: String,
    secondary_terminal_voltage_V: f64,
    multiple_of_rated: f64,
    burden: String,
    Z_ohm: f64,
    VA: f64,
    ratio_error_limit_pct_at_20x: f64,
    exciting_current_limit_A: f64,
    #[serde(flatten)]
    from: Published,
}

fn file() -> File {
    read(include_str!("ieee.toml"))
}

#[test]
pub(super) fn metering_classes_row_by_row() {
    let file = file();
    for row in &file.metering_class {
        let says = row
            .from
            .says(&format!("class {} at {} %", row.class, row.current_pct));
        let class = ieee_metering(&row.class).unwrap_or_else(|| panic!("unknown; {says}"));
        let ours = class
            .at(row.current_pct, 1.0)
            .unwrap_or_else(|| panic!("no row; {says}"));
        same(ours.percent, row.current_pct, &says);
        same(ours.tcf_min, row.tcf_min, &says);
        same(ours.tcf_max, row.tcf_max, &says);
        let minutes = standards::angle_constant().unwrap().limit;
        let beta = minutes * (ours.tcf_max - ours.tcf_min);
        near(beta, row.beta_max_abs_min, 1e-9, &says);
        assert_eq!(class.judged, !row.low_confidence, "{says}");
        checked(&ours.cited, row.from.provenance, &says);
    }
    let ours: usize = standards::ieee_metering_names()
        .iter()
        .map(|name| ieee_metering(name).map_or(0, |c| c.rows.len()))
        .sum();
    assert_eq!(
        ours,
        file.metering_class.len(),
        "a row of ours that is not published"
    );
}

/// The 100 % row holds up to rated current times the rating factor (footnote to the class table of
/// IEEE C57.13, seen); between 10 and 100 % the low row is used (own reading).
#[test]
pub(super) fn which_row_holds_at_a_current() {
    let class = ieee_metering("0.3").unwrap();
    let row = |percent: f64, rf: f64| class.at(percent, rf).map(|r| r.percent);
    assert_eq!(row(5.0, 1.0), None);
    assert_eq!(row(10.0, 1.0), Some(10.0));
    assert_eq!(row(50.0, 1.0), Some(10.0));
    assert_eq!(row(100.0, 1.0), Some(100.0));
    assert_eq!(row(150.0, 1.0), None);
    assert_eq!(row(150.0, 1.5), Some(100.0));
    assert_eq!(row(f64::NAN, 1.5), None);
    assert_eq!(row(100.0, f64::NAN), Some(100.0));
}

/// The standard rounds the constant to 2600.
#[test]
pub(super) fn the_minutes_of_the_parallelogram_are_trigonometry() {
    let exact = 10_800.0 / (core::f64::consts::PI * 0.6_f64.acos().tan());
    near(
        standards::angle_constant().unwrap().limit,
        exact,
        0.01 * exact,
        "trigonometry",
    );
}

#[test]
pub(super) fn burdens_row_by_row_and_their_impedance_and_power_factor() {
    let file = file();
    for row in &file.burden {
        let says = row.from.says(&row.name);
        let ours = ieee_burden(&row.name).unwrap_or_else(|| panic!("unknown; {says}"));
        same(ours.r_ohm, row.R_ohm, &says);
        same(ours.l_mh, row.L_mH, &says);
        same(ours.z_ohm, row.Z_ohm, &says);
        same(ours.va, row.VA, &says);
        same(ours.pf, row.pf, &says);
        checked(&ours.cited, row.from.provenance, &says);
        let x = 2.0 * core::f64::consts::PI * 60.0 * ours.l_mh * 1e-3;
        let z = ours.r_ohm.hypot(x);
        near(
            z,
            row.Z_ohm,
            0.003 * row.Z_ohm,
            &format!("{says}: R and 2 pi 60 L"),
        );
        near(
            ours.r_ohm / z,
            row.pf,
            0.003 * row.pf,
            &format!("{says}: power factor"),
        );
        near(
            25.0 * ours.z_ohm,
            row.VA,
            1e-9,
            &format!("{says}: volt-amperes at 5 A"),
        );
    }
}

/// IEEE interpretation of C57.13-1993, January 2005 (seen): B-2 is 50 VA and 50 ohm at 1 A.
#[test]
pub(super) fn burdens_keep_their_volt_amperes_at_another_secondary_current() {
    let b2 = ieee_burden("B-2").unwrap().at_secondary(1.0).unwrap();
    same(b2.z_ohm, 50.0, "IEEE interpretation, January 2005");
    same(b2.va, 50.0, "IEEE interpretation, January 2005");
    same(b2.r_ohm, 25.0, "IEEE interpretation, January 2005");
    near(b2.l_mh, 115.0, 1e-9, "IEEE interpretation, January 2005");
    assert_eq!(
        ieee_burden("B-2").unwrap().at_secondary(5.0).as_ref(),
        ieee_burden("B-2")
    );
    for bad in [
        0.0,
        -1.0,
        f64::NAN,
        f64::INFINITY,
        1e-300,
        f64::MIN_POSITIVE / 4.0,
    ] {
        assert!(
            ieee_burden("B-8").unwrap().at_secondary(bad).is_none(),
            "{bad} A"
        );
    }
    assert!(ieee_burden("B-3").is_none());
}

#[test]
pub(super) fn relay_classes_row_by_row() {
    for row in file().relay_class {
        let says = row.from.says(&row.class);
        {
            let ours = ieee_relay(row.secondary_terminal_voltage_V);
            let ours = ours.unwrap_or_else(|| panic!("unknown; {says}"));
            same(ours.voltage, row.secondary_terminal_voltage_V, &says);
            assert_eq!(ours.burden, row.burden, "{says}");
            same(ours.multiple, row.multiple_of_rated, &says);
            same(ours.ratio_error, row.ratio_error_limit_pct_at_20x, &says);
            same(ours.exciting_limit_a, row.exciting_current_limit_A, &says);
            checked(&ours.cited, row.from.provenance, &says);
            let burden = ieee_burden(&ours.burden).unwrap();
            same(burden.z_ohm, row.Z_ohm, &says);
            same(burden.va, row.VA, &says);
            // The class voltage is 20 times rated current through the standard burden.
            near(
                ours.multiple * 5.0 * burden.z_ohm,
                ours.voltage,
                1e-9,
                &says,
            );
        }
    }
    assert!(ieee_relay(300.0).is_none());
    assert!(ieee_relay(f64::NAN).is_none());
}

/// IEEE C57.13, 6.4.1 (from memory): C100 is 500 V with 2 A of exciting current at 1 A.
#[test]
pub(super) fn relay_classes_keep_their_volt_amperes_at_another_secondary_current() {
    let c100 = ieee_relay(100.0).unwrap().at_secondary(1.0).unwrap();
    same(c100.voltage, 500.0, "C57.13, 6.4.1 (from memory)");
    same(c100.exciting_limit_a, 2.0, "C57.13, 6.4.1 (from memory)");
    assert!(ieee_relay(100.0).unwrap().at_secondary(0.0).is_none());
    let rated = |edition| standards::ieee_relay_at_rated(edition).map(|t| t.limit);
    assert_eq!(rated(None), Some(10.0), "switchgear maker's note (seen)");
    assert_eq!(
        rated(Some(1993)),
        Some(10.0),
        "switchgear maker's note (seen)"
    );
    assert_eq!(
        rated(Some(2008)),
        Some(3.0),
        "C57.13-2008, 6.4.1 (from memory)"
    );
}

#[test]
pub(super) fn single_numbers_and_standard_values() {
    let file = file();
    check_numbers(&file.number);
    check_values(&file.values);
}
