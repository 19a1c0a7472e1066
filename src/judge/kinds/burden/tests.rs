use crate::judge::kinds::bench::{Bench, table, visit};

/// A circuit of one core: plate, and a row `loop, volts` read with 1 A at 10°.
fn of(standard: &str, core: &str, row: &str) -> Bench {
    let plate = format!(
        "format: 1\n\n[ct]\nid: T1\nstandard: {standard}\nfrequency: 50 Hz\n\n[core S]\nmarks: S1 S2\n{core}\n"
    );
    let (path, volts) = row.split_once(' ').unwrap_or(("phase-neutral", row));
    let rows = format!("loop current/A voltage/V angle/deg\n{path} 1.000 {volts} 10.0");
    Bench::of(&visit(&plate, &format!("[burden S1-S2]\n{rows}\n")))
}

fn iec(core: &'static str) -> impl Fn(&str) -> Bench {
    move |row| of("IEC 61869-2:2012", core, row)
}

fn ieee(core: &'static str) -> impl Fn(&str) -> Bench {
    move |row| of("IEEE C57.13-2008", core, row)
}

const P: &str = "class: 5P20\nburden: 15 VA\nratio: 600/1 A\n";
const RULE: &str = "circuit-burden";

#[test]
fn over_the_rating_is_the_circuits_fault() {
    let rows = [
        ("24.10", "fail"),
        ("1.10", "pass"),
        ("single-phase 24.10", "fail"),
    ];
    table(RULE, iec(P), &rows);
    let over = iec(P)("24.10");
    assert!(over.one(RULE).headline && over.one(RULE).action().is_some());
    over.holds(RULE, &["burden of the circuit, phase-neutral: 24.1"]);
    // A burden in ohm is compared in ohm.
    let tpy = iec("class: TPY\nburden: 5.0 ohm\nratio: 8000/1 A\n");
    table(RULE, &tpy, &[("3.40", "pass"), ("5.60", "fail")]);
    assert_eq!(tpy("3.40").one(RULE).unit.word, "ohm");
}

/// IEC 61869-2: from 25 % of the rated burden in classes 0.1 to 1, from 50 % in 3 and 5 (from memory).
#[test]
fn below_the_range_of_a_measuring_class_is_its_own_finding() {
    let below = "circuit-burden-below-range";
    let half = iec("class: 0.5 FS10\nburden: 10 VA\nratio: 600/1 A\n");
    table(
        below,
        &half,
        &[("2.00", "review"), ("4.00", ""), ("phase-phase 2.00", "")],
    );
    half("2.00").holds(below, &["class 0.5", "2.5 to 10 VA"]);
    // Both ends stand beside a pass, and either may lie within U.
    half("4.00").holds(RULE, &["2.5 to 10 VA"]);
    // No pass by the upper end beside it.
    assert_eq!(half("2.00").told(RULE), "");
    let three = iec("class: 3\nburden: 10 VA\nratio: 600/1 A\n");
    table(below, three, &[("4.00", "review")]);
    let range = iec("class: 0.2S\nburden: 1-10 VA\nratio: 600/1 A\n");
    table(below, range, &[("2.00", ""), ("0.50", "review")]);
    // A protection class has no lower end.
    table(below, iec(P), &[("1.10", "")]);
}

#[test]
fn another_loop_gets_no_verdict() {
    let rows = [
        (
            "phase-phase 24.10",
            "not shown: needs the loop from phase to neutral",
        ),
        (
            "phase-earth 24.10",
            "not shown: needs the loop from phase to neutral",
        ),
    ];
    table(RULE, iec(P), &rows);
    iec(P)("phase-phase 24.10").holds(RULE, &["a phase-phase loop holds two loops in series"]);
    // Words that name no loop leave it unsaid which: nothing is judged.
    let odd = iec(P)("roundabout 24.10 # broken\n");
    assert!(
        odd.told(RULE).starts_with("not judged"),
        "{}",
        odd.told(RULE)
    );
}

/// IEEE C57.13: B-0.5 is 12.5 VA at 5 A, B-8.0 is 200 VA.
#[test]
fn designations_and_relaying_classes_name_their_burden() {
    let metering = ieee("class: 0.3B-0.5\nratio: 600:5\n");
    table(RULE, &metering, &[("0.30", "pass")]);
    metering("0.30").holds(RULE, &["at most 12.5 VA"]);
    let relaying = ieee("class: C800\nratio: 1200:5\n");
    table(RULE, &relaying, &[("9.00", "fail")]);
    relaying("9.00").holds(RULE, &["at most 200 VA"]);
}

#[test]
fn no_rating_or_no_reading_no_verdict() {
    table(
        RULE,
        iec("class: PX\nratio: 600/1 A\n"),
        &[
            ("1.10", "no limit"),
            (
                "<0.1",
                "not judged: voltage or current is not a usable reading",
            ),
        ],
    );
}
