//! Which cause insulation readings name, and what only looks like it.

use crate::judge::kinds::bench::{Bench, PLATE};

const SOUND: [&str; 5] = ["50000", "80000", "140000", "9000", "12000"];

/// A visit: the primary after 15, 60 and 600 s, then `1S` and `2S`, in megohms.
fn visit(day: &str, head: &str, cells: [&str; 5]) -> String {
    let [a, b, c, first, second] = cells;
    format!(
        "\n[visit {day}]\npurpose: maintenance\n\n[insulation]\n{head}\nbetween | voltage/V | time/s | resistance/Mohm\n\
         primary to cores and earth | 5000 | 15 | {a}\nprimary to cores and earth | 5000 | 60 | {b}\n\
         primary to cores and earth | 5000 | 600 | {c}\n1S to primary, cores and earth | 1000 | 60 | {first}\n\
         2S to primary, cores and earth | 1000 | 60 | {second}\n"
    )
}

fn told(head: &str, cells: [&str; 5]) -> Bench {
    let then = visit("2021-01-05", "temperature: 20 C", SOUND);
    Bench::of(&format!(
        "{PLATE}{then}{}",
        visit("2026-01-05", head, cells)
    ))
}

#[track_caller]
fn names(cells: [&str; 5], causes: &[&str]) {
    let bench = told("temperature: 20 C", cells);
    assert_eq!(bench.causes(), causes, "{cells:?}");
}

#[test]
fn moisture_is_in_all_groups() {
    names(
        ["2900", "3000", "3100", "350", "420"],
        &["insulation-moisture"],
    );
    // A factor of two is what insulation scatters by.
    names(["25000", "40000", "70000", "4500", "6000"], &[]);
    names(["25000", "170000", "300000", "20000", "25000"], &[]);
}

/// 40 °C makes it four times lower in oil and paper: no moisture.
#[test]
fn a_warm_day_is_no_moisture() {
    let warm = ["12500", "20000", "35000", "2250", "3000"];
    assert_eq!(told("temperature: 40 C", warm).causes(), [""; 0]);
    assert_eq!(
        told("temperature: 20 C", ["2900", "3000", "3100", "350", "420"]).causes(),
        ["insulation-moisture"]
    );
}

#[test]
fn a_leak_beside_the_primary_takes_no_time() {
    let leak = ["1550", "1570", "1580", "8800", "12500"];
    names(leak, &["insulation-surface"]);
    // Moisture in the primary alone does the same; with the guard round the bushing it cannot be the surface, so far as
    // that is known.
    told("temperature: 20 C", leak).holds("insulation-surface", &["as likely: moisture"]);
    let guarded = told("temperature: 20 C\nguard: bushing skirt", leak);
    guarded.holds(
        "insulation-moisture",
        &[
            "of the primary is",
            "next likeliest: leakage over the surface",
        ],
    );
    // What still rises with time takes it: no leak does.
    names(
        ["3000", "4800", "8400", "8800", "12500"],
        &["insulation-moisture"],
    );
}

/// Where nothing is known but what is usual, all groups far lower are still odd, and one is not.
#[test]
fn all_groups_far_below_what_is_usual_are_moist() {
    let alone = |cells| Bench::of(&alone(cells)).causes();
    assert_eq!(
        alone(["145", "150", "155", "23", "19"]),
        ["insulation-moisture"]
    );
    assert_eq!(alone(["145", "150", "155", "9000", "12000"]), [""; 0]);
    assert_eq!(alone(["50000", "80000", "140000", "0.7", "12000"]), [""; 0]);
    assert_eq!(alone(["2900", "3000", "3100", "350", "420"]), [""; 0]);
}

#[test]
fn leads_pull_all_groups_to_one_value() {
    names(
        ["397", "398", "399", "383", "387"],
        &["insulation-test-lead"],
    );
    // The reading of the transformer waits: it is that of the leads.
    let bench = told("temperature: 20 C", ["0.8", "0.8", "0.8", "0.8", "0.8"]);
    assert_eq!(bench.causes(), ["insulation-test-lead"]);
    assert!(bench.told("insulation-resistance").contains("in doubt"));
    // By one factor, and not to one value, it is moisture.
    names(["500", "560", "590", "60", "80"], &["insulation-moisture"]);
}

#[test]
fn kilohms_of_one_winding_are_an_earth() {
    let on = ["50000", "80000", "140000", "0.052", "12000"];
    names(on, &["insulation-earth-on"]);
    let bench = told("temperature: 20 C", on);
    assert!(bench.told("insulation-resistance").contains("in doubt"));
    // Megohms are no way to earth.
    names(
        ["50000", "80000", "140000", "60", "12000"],
        &["insulation-one-winding"],
    );
    // A wet unit with one earth on is both.
    let both = ["2900", "3000", "3100", "0.052", "420"];
    let told = told("temperature: 20 C", both).causes();
    assert!(told.contains(&"insulation-earth-on"), "{told:?}");
    assert!(told.contains(&"insulation-moisture"), "{told:?}");
}

#[test]
fn a_reading_a_thousand_times_too_high_is_a_slip() {
    names(
        ["50000", "80000", "140000", "9100000", "12000"],
        &["insulation-slip"],
    );
    // A bound that is higher says nothing.
    names(["50000", "80000", "140000", ">100000", "12000"], &[]);
    names(["50000", "80000", "140000", ">2000", "12000"], &[]);
}

fn alone(cells: [&str; 5]) -> String {
    format!("{PLATE}{}", visit("2026-01-05", "temperature: 20 C", cells))
}

/// Of sisters the nearest is believed; of two units the one that is further off what is usual is the odd one.
#[test]
fn the_odd_one_among_sisters_is_named() {
    let (dry, wet) = (alone(SOUND), alone(["290", "300", "310", "35", "42"]));
    let of = |own: &str, sisters: &[&str]| Bench::among(own, sisters).causes();
    assert_eq!(of(&wet, &[&dry, &dry]), ["insulation-moisture"]);
    assert_eq!(of(&wet, &[&dry]), ["insulation-moisture"]);
    assert_eq!(of(&dry, &[&wet]), [""; 0]);
    assert_eq!(of(&dry, &[&wet, &dry]), [""; 0]);
    // Where one agrees, nothing is odd.
    assert_eq!(of(&wet, &[&wet, &dry]), [""; 0]);
}

/// A table in the wrong unit is off by one known factor in all rows and rises as ever; what is flat as well is wet.
#[test]
fn a_heading_with_another_unit_is_a_slip_and_no_moisture() {
    let megohm = ["52", "77", "150", "8.5", "13.1"];
    names(megohm, &["insulation-slip"]);
    let bench = told("temperature: 20 C", megohm);
    assert!(bench.told("insulation-resistance").contains("in doubt"));
    names(["55", "56", "57", "8.5", "13.1"], &["insulation-moisture"]);
    names(["170", "250", "430", "27", "39"], &["insulation-moisture"]);
    names(["52", "77", "150", "30", "13.1"], &["insulation-moisture"]);
}

/// Between two readings of its group that agree the third is written wrong; where all went down it is none.
#[test]
fn a_minute_ten_times_below_the_steps_beside_it_is_a_slip() {
    names(
        ["50000", "8000", "140000", "9000", "12000"],
        &["insulation-slip"],
    );
    names(
        ["50000", "8000", ">100000", "9000", "12000"],
        &["insulation-slip"],
    );
    let flat = told(
        "temperature: 20 C",
        ["7800", "8000", "8100", "9000", "12000"],
    );
    assert!(!flat.causes().contains(&"insulation-slip"));
}

/// A tester at its bottom reads a way to earth; one that ends at ten megohms says nothing of it.
#[test]
fn a_reading_below_the_range_is_an_earth() {
    let on = |cell| ["50000", "80000", "140000", cell, "12000"];
    names(on("<1"), &["insulation-earth-on"]);
    let alone = |cell| Bench::of(&alone(on(cell))).causes();
    assert_eq!(alone("<1"), ["insulation-earth-on"]);
    assert!(!alone("<10").contains(&"insulation-earth-on"));
}

/// Cores low and the primary not: where their terminals are. One core alone is that core.
#[test]
fn damp_terminals_are_those_of_all_cores() {
    let dry = ["50000", "80000", "140000"];
    let with = |first, second| [dry[0], dry[1], dry[2], first, second];
    names(with("60", "75"), &["insulation-moisture"]);
    told("temperature: 20 C", with("60", "75")).holds("insulation-moisture", &["terminal box"]);
    names(with("60", "12000"), &["insulation-one-winding"]);
}

/// What is led to earth is no insulation, and hides no moisture of the rest.
#[test]
fn an_earth_left_on_hides_no_moisture() {
    let damp = ["1450", "1500", "1550", "180", "0.2"];
    names(damp, &["insulation-moisture", "insulation-earth-on"]);
}
