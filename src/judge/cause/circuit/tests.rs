//! Which cause the loop of a circuit names, and what only looks like it.

use crate::document::Grade;
use crate::judge::kinds::bench::{Bench, PLATE};

/// A visit with one loop of `1S`: current, voltage, angle.
fn visit(day: &str, loop_: &str, rest: &str) -> String {
    let cells = loop_.replace(' ', " | ");
    format!(
        "\n[visit {day}]\npurpose: maintenance\n\n[burden]\non | loop | current/A | voltage/V | angle/deg\n\
         1S1-1S2 | phase-neutral | {cells}\n{rest}\n"
    )
}

/// 4.02 ohm and 0.78 ohm.
const SOUND: &str = "1.000 4.10 11.0";

fn after(loop_: &str, rest: &str) -> Bench {
    let then = visit("2021-01-05", SOUND, "");
    Bench::of(&format!(
        "{PLATE}{then}{}",
        visit("2026-01-05", loop_, rest)
    ))
}

#[track_caller]
fn names(loop_: &str, causes: &[&str]) -> Bench {
    let bench = after(loop_, "");
    assert_eq!(bench.causes(), causes, "{loop_}");
    bench
}

#[test]
fn a_circuit_is_open_shorted_or_overloaded() {
    names(SOUND, &[]);
    names("1.000 4.20 11.0", &[]);
    let open = names("0.010 31.0 12.0", &["circuit-open"]);
    // What is over the rated burden stands under its cause.
    assert_eq!(open.explained_by("circuit-open"), ["circuit-burden"]);
    assert_eq!(open.one("circuit-open").grade(), Grade::Fails);
    names("1.000 0.90 4.0", &["circuit-shorted"]);
    // Half of both is a relay less; behind a short its reactance is gone.
    names("1.000 2.05 11.0", &[]);
    names("1.000 2.02 3.0", &["circuit-shorted"]);
    // 18.2 ohm and 1.9 ohm: leads.
    names("1.000 18.3 6.0", &["circuit-load"]).holds("circuit-load", &["more resistance"]);
    names("1.000 8.10 48.0", &["circuit-load"]).holds("circuit-load", &["relays in series"]);
}

/// Twice the reactance, and less than twice the resistance.
#[test]
fn two_phases_in_series_have_no_neutral_lead() {
    let bench = names("1.000 5.80 15.6", &["circuit-two-phases"]);
    assert!(bench.told("circuit-burden").contains("in doubt"));
    // Twice the reactance with the same resistance would ask for a neutral lead of half of it: the end of what is
    // possible; three times the reactance is no second phase.
    names("1.000 4.80 30.0", &["circuit-load"]);
}

#[test]
fn a_second_earth_takes_resistance_only() {
    // Less of both, as after work on the circuit, is no fault that is known.
    names("1.000 3.00 11.0", &[]);
    names("1.000 3.24 14.0", &["second-earth"]);
    // With its reactance it is another circuit.
    let both = after("1.000 3.24 11.0", "").causes();
    assert!(!both.contains(&"second-earth"), "{both:?}");
}

/// A core that reads to earth has its earth on; where two were counted, it is the second one.
#[test]
fn the_count_of_earths_decides_what_a_core_reads_to_earth_by() {
    let told = |counted: &str| {
        let rest = format!(
            "[insulation]\ntemperature: 20 C\nbetween | voltage/V | time/s | resistance/Mohm\n\
             1S to primary, cores and earth | 1000 | 60 | 0.052\n\
             2S to primary, cores and earth | 1000 | 60 | 8000\n\n\
             [restored]\nchecked by: E. Lund\ncore | earths counted\n1S | {counted}\n"
        );
        after(SOUND, &rest)
    };
    assert_eq!(told("1").causes(), ["insulation-earth-on"]);
    let two = told("2");
    assert_eq!(two.causes(), ["second-earth"]);
    let explained = two.explained_by("second-earth");
    assert!(explained.contains(&"circuit-earths"), "{explained:?}");
    // No transformer fails by an earth of its circuit.
    assert!(two.told("insulation-resistance").contains("in doubt"));
}

#[test]
fn a_slip_of_the_pen_fits_exactly() {
    // The rated current stands in the column of the voltage.
    let crossed = names("4.10 1.000 11.0", &["circuit-slip"]);
    crossed.holds("circuit-slip", &["in each other's column"]);
    let digits = names("1.000 1.40 11.0", &["circuit-slip"]);
    digits.holds("circuit-slip", &["digits of 1.40 V exchanged", "4.10"]);
    // The rated current stands where it belongs: another circuit, and no slip.
    names("1.000 0.80 11.0", &["circuit-shorted"]);
    // The voltage a thousand times off.
    let unit = names("1.000 0.00410 11.0", &["circuit-slip"]);
    unit.holds("circuit-slip", &["the unit of the 0.00410 V"]);
}

/// The angle alone: the impedance is as it was.
#[test]
fn a_slip_of_the_angle_leaves_the_impedance() {
    let point = names("1.000 4.10 1.10", &["circuit-slip"]);
    point.holds("circuit-slip", &["decimal point of the 1.10 deg"]);
    // A relay that is gone takes its resistance with it as well.
    let gone = names("1.000 1.80 4.0", &["circuit-shorted"]);
    assert!(gone.all("circuit-slip").is_empty());
}

fn alone(loop_: &str) -> String {
    format!("{PLATE}{}", visit("2026-01-05", loop_, ""))
}

#[test]
fn what_the_sisters_have_as_well_is_the_design() {
    let over = alone("1.000 24.0 11.0");
    let told = Bench::among(&over, &[&over, &over]);
    assert_eq!(told.causes(), ["circuit-load"]);
    told.holds(
        "circuit-load",
        &["1.6 times the rated burden, as in the sisters: the design"],
    );
    // Phases of one bay differ by the length of their leads.
    let (short, long) = (alone("1.000 4.10 11.0"), alone("1.000 5.00 9.0"));
    assert_eq!(Bench::among(&long, &[&short, &short]).causes(), [""; 0]);
    // Of two units the one that is further off what is usual is the odd one.
    let open = alone("0.010 31.0 12.0");
    assert_eq!(Bench::among(&short, &[&open]).causes(), [""; 0]);
    assert_eq!(Bench::among(&open, &[&short]).causes(), ["circuit-open"]);
}

/// Two cores under one heading: both a thousand times off what is usual, of the same day before, and never one alone.
#[test]
fn a_heading_with_another_unit_is_a_slip_of_all_its_loops() {
    let loops = |day: &str, heading: &str, first: &str, second: &str| {
        format!(
            "\n[visit {day}]\npurpose: maintenance\n\n[burden]\non | loop | {heading} | angle/deg\n\
             1S1-1S2 | phase-neutral | {first} | 11.0\n2S1-2S2 | phase-neutral | {second} | 12.0\n"
        )
    };
    let at = "current/A | voltage/V";
    let then = loops("2021-01-05", at, "1.000 | 4.10", "1.000 | 2.05");
    let told = |before: &str, heading: &str, first: &str, second: &str| {
        let now = loops("2026-01-05", heading, first, second);
        Bench::of(&format!("{PLATE}{before}{now}"))
    };
    for before in ["", &then] {
        assert_eq!(
            told(before, at, "1.000 | 4.12", "1.000 | 2.04").causes(),
            [""; 0]
        );
        for (heading, word) in [
            ("current/A | voltage/mV", "unit of the voltages"),
            ("current/mA | voltage/V", "unit of the currents"),
        ] {
            let bench = told(before, heading, "1.000 | 4.12", "1.000 | 2.04");
            assert_eq!(bench.causes(), ["circuit-slip"], "{heading} {before}");
            bench.holds("circuit-slip", &[word]);
        }
    }
    // One of the two by itself is open.
    let open = told(&then, at, "0.001 | 4.12", "1.000 | 2.04");
    let slips = open.all("circuit-slip").into_iter();
    let slips: String = slips.map(|one| one.observed.plain(|_| 0)).collect();
    assert!(!slips.contains("all loops"), "{slips}");
}

/// Two cores of a unit, held against two sisters: one factor for both is no load, and one alone is.
#[test]
fn all_loops_off_by_one_factor() {
    let of = |first: &str, second: &str| {
        let rest = format!("2S1-2S2 | phase-neutral | {}", second.replace(' ', " | "));
        format!("{PLATE}{}", visit("2026-01-05", first, &rest))
    };
    let sister = of("1.000 4.10 11.0", "1.000 2.05 12.0");
    let told = |first: &str, second: &str| {
        let text = of(first, second);
        Bench::among(&text, &[&sister, &sister])
    };
    assert_eq!(told("1.000 4.20 11.0", "1.000 2.00 12.0").causes(), [""; 0]);
    for (first, second, word) in [
        (
            "1.000 8.30 11.0",
            "1.000 4.05 12.0",
            "both ways were added twice",
        ),
        (
            "1.000 2.04 11.0",
            "1.000 1.03 12.0",
            "one way was read and not both",
        ),
        (
            "1.000 7.00 11.0",
            "1.000 3.55 12.0",
            "the current was another one",
        ),
    ] {
        let bench = told(first, second);
        assert_eq!(bench.causes(), ["circuit-slip"], "{first}, {second}");
        bench.holds(
            "circuit-slip",
            &["of the 2 sisters: one factor for all cores", word],
        );
        let burdens = bench.all("circuit-burden");
        assert!(!burdens.is_empty() && burdens.iter().all(|one| one.withheld.is_some()));
    }
    // Leads that are longer in one phase.
    assert_eq!(told("1.000 5.30 11.0", "1.000 2.65 12.0").causes(), [""; 0]);
    // One of them, or both by factors of their own.
    let all = |first: &str, second: &str| {
        let bench = told(first, second);
        let slips = bench.all("circuit-slip").into_iter();
        slips
            .map(|one| one.observed.plain(|_| 0))
            .collect::<String>()
    };
    assert!(!all("1.000 8.30 11.0", "1.000 2.05 12.0").contains("all loops"));
    assert!(!all("1.000 8.30 11.0", "1.000 12.2 12.0").contains("all loops"));
    // Twice the resistance with the reactance of one relay is lead.
    assert!(!all("1.000 8.10 5.0", "1.000 4.05 5.5").contains("all loops"));
    // Sisters that have as much.
    let twice = of("1.000 8.30 11.0", "1.000 4.05 12.0");
    let bench = Bench::among(&twice, &[&twice, &twice]);
    assert!(bench.all("circuit-slip").is_empty());
}

/// Each of two circuits agrees in the other's row; one that is off by itself does not.
#[test]
fn two_rows_of_circuits_are_exchanged() {
    let second = |cells: &str| format!("2S1-2S2 | phase-neutral | {}", cells.replace(' ', " | "));
    let small = "1.000 1.85 24.0";
    let told = |first: &str, other: &str| {
        let then = visit("2021-01-05", SOUND, &second(small));
        let now = visit("2026-01-05", first, &second(other));
        Bench::of(&format!("{PLATE}{then}{now}"))
    };
    let rows = told(small, SOUND);
    assert_eq!(rows.causes(), ["circuit-rows-exchanged"]);
    assert!(!rows.told("circuit-burden").contains("pass"));
    // One that is near the other's row is not in its place.
    for other in [told(small, small), told("1.000 16.0 24.0", SOUND)] {
        assert!(!other.causes().contains(&"circuit-rows-exchanged"));
    }
    assert_eq!(told(SOUND, small).causes(), [""; 0]);
}
