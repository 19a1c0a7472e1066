//! What is named, and what nearly the same readings do not name.

use crate::judge::kinds::bench::Bench;

const UNIT: &str =
    "format: 1\n\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n";
const CORES: &str = "\n[core 1S]\nclass: 5P20\nburden: 15 VA\ntap ratio/A\n1S1-1S2 200/1\n1S1-1S3 600/1\n\n\
    [core 2S]\nclass: 5P20\nburden: 15 VA\nratio: 600/1 A\n\n[visit 2026-03-14]\n";

const CAUSES: [&str; 9] = [
    "ratio-slip",
    "ratio-rows-exchanged",
    "wrong-tap",
    "taps-exchanged",
    "secondary-reversed",
    "primary-reversed",
    "primary-links",
    "primary-passes",
    "ratio-pick-up",
];

/// The causes of ratio and polarity that a visit of two cores names.
fn named(visit: &str) -> Vec<&'static str> {
    let found = Bench::of(&format!("{UNIT}{CORES}{visit}"));
    let named = CAUSES.into_iter();
    named.filter(|id| !found.all(id).is_empty()).collect()
}

fn ratio(first: &str, whole: &str, other: &str) -> String {
    format!(
        "\n[ratio]\nmethod: voltage\non applied/V induced/mV\n1S1-1S2 30 {first}\n1S1-1S3 30 {whole}\n2S1-2S2 30 {other}\n"
    )
}

fn kick(first: &str, whole: &str, other: &str) -> String {
    let of = |pair: &str, way: &str| {
        format!("\n[polarity {pair}]\nmethod: kick\nplus on: P1\ndeflection: {way} on make\n")
    };
    of("1S1-1S2", first) + &of("1S1-1S3", whole) + &of("2S1-2S2", other)
}

fn ohms(whole: &str, low: &str, high: &str) -> String {
    format!(
        "\n[resistance]\ntemperature: 20 C\nwires: 4\non current/A voltage/V\n1S1-1S3 0.1 {whole}\n1S1-1S2 0.1 {low}\n1S2-1S3 0.1 {high}\n"
    )
}

#[test]
fn sound_ratios_name_nothing() {
    assert!(named(&ratio("150.1", "50.02", "49.97")).is_empty());
    assert!(named(&kick("up", "up", "up")).is_empty());
}

#[test]
fn a_lead_on_another_tap_is_no_exchange_of_terminals() {
    assert_eq!(named(&ratio("50.01", "49.99", "50.02")), ["wrong-tap"]);
    let both = ratio("50.01", "149.9", "50.02");
    assert_eq!(named(&both), ["taps-exchanged"]);
    // The resistances say that the box is right: the rows, or the leads of the ratio test, were exchanged.
    let box_is_right = ohms("0.30", "0.10", "0.20") + &both;
    assert_eq!(named(&box_is_right), ["ratio-rows-exchanged"]);
    let box_is_wrong = ohms("0.10", "0.30", "0.20") + &both;
    assert_eq!(named(&box_is_wrong), ["taps-exchanged"]);
}

#[test]
fn a_slip_agrees_to_its_digits_and_a_tap_stays_where_it_fits() {
    let told = |first: &str| {
        let found = Bench::of(&format!("{UNIT}{CORES}{}", ratio(first, "50.02", "49.97")));
        let observed = |id: &str| {
            let all = found.all(id).into_iter();
            all.map(|one| one.observed.plain(|_| 0)).collect::<String>()
        };
        (observed("ratio-slip"), found.told("turns-ratio"))
    };
    for (typed, how) in [
        ("15.01", "decimal point"),
        ("105.1", "two digits"),
        ("1.501", "decimal point"),
    ] {
        let (slip, grades) = told(typed);
        assert!(slip.contains(how), "{typed}: {slip}");
        // It fails nothing, and the pairs beside it are judged as before.
        assert!(!grades.contains("fails"), "{grades}");
    }
    // Two per cent off is neither.
    assert!(told("147.1").0.is_empty());
    // The columns of one row exchanged.
    let row =
        "\n[ratio]\nmethod: voltage\non applied/V induced/mV\n1S1-1S2 150.1 30\n1S1-1S3 30 50.02\n";
    assert_eq!(named(row), ["ratio-slip"]);
    // A tenth of the ratio that another pair has too is a lead, as likely as a slip.
    let tenth = "[core 3S]\nclass: 5P20\ntap ratio/A\n3S1-3S2 100/1\n3S1-3S3 1000/1\n\n[visit";
    let cores = CORES.replace("[visit", tenth);
    let row = "\n[ratio]\nmethod: voltage\non applied/V induced/mV\n3S1-3S3 30 300.1\n";
    let found = Bench::of(&format!("{UNIT}{cores}{row}"));
    assert_eq!(found.told("wrong-tap"), "review");
}

#[test]
fn two_readings_of_one_polarity_that_disagree_decide_nothing() {
    let row = |phase: &str| {
        format!(
            "\n[ratio]\nmethod: voltage\non applied/V induced/mV phase/deg\n2S1-2S2 30 50.02 {phase}\n"
        )
    };
    let of = |phase: &str| {
        let visit = kick("up", "up", "down") + &row(phase);
        Bench::of(&format!("{UNIT}{CORES}{visit}"))
    };
    let found = of("0.2");
    assert!(
        !found.told("polarity").contains("fails"),
        "{}",
        found.told("polarity")
    );
    let all = found.all("polarity-contradiction");
    assert!(all.iter().all(|one| one.because.is_some()) && !all.is_empty());
    // Both say the same: the winding is.
    let found = of("179.8");
    assert!(found.told("polarity").contains("fails"));
    assert_eq!(found.all("secondary-reversed").len(), 1);
}

#[test]
fn one_core_reversed_is_its_own_and_all_are_the_primary() {
    assert_eq!(named(&kick("up", "up", "down")), ["secondary-reversed"]);
    assert_eq!(named(&kick("down", "down", "down")), ["primary-reversed"]);
}

#[test]
fn a_reversed_winding_counts_its_taps_from_the_other_end() {
    let visit = kick("down", "down", "up") + &ratio("75.01", "50.02", "49.97");
    assert_eq!(named(&visit), ["secondary-reversed"]);
    // As marked, it is a lead on another tap.
    let visit = kick("up", "up", "up") + &ratio("75.01", "50.02", "49.97");
    assert_eq!(named(&visit), ["wrong-tap"]);
}

#[test]
fn the_primary_is_blamed_for_what_all_cores_show_only() {
    let all = named(&ratio("300.2", "100.1", "99.9"));
    assert!(
        all == ["primary-passes"] || all == ["primary-links"],
        "{all:?}"
    );
    assert!(named(&ratio("150.1", "50.02", "99.9")).is_empty());
    assert_eq!(named(&ratio("450.3", "150.1", "149.9")), ["primary-passes"]);
}

#[test]
fn the_same_millivolts_and_not_the_same_per_cent() {
    let of = |one: &str, other: &str| {
        format!(
            "\n[ratio]\nmethod: voltage\non applied/V induced/mV\n1S1-1S3 60 {one}\n2S1-2S2 12 {other}\n"
        )
    };
    assert_eq!(named(&of("102.0", "22.0")), ["ratio-pick-up"]);
    assert!(named(&of("108.0", "21.6")).is_empty());
}

/// What is put right has to give the ratio of the plate, and not one that is off it as well.
#[test]
fn what_is_put_right_gives_the_ratio_of_the_plate() {
    let of = |row: &str| {
        let visit = format!("\n[ratio]\nmethod: voltage\non applied/V induced/mV\n{row}\n");
        let found = Bench::of(&format!("{UNIT}{CORES}{visit}"));
        let all = found.all("ratio-slip").into_iter();
        all.map(|one| one.observed.plain(|_| 0)).collect::<String>()
    };
    // Of 202 V for 220 V comes 594 of 600 turns.
    assert_eq!(of("1S1-1S3 120.00 220.0"), "");
    assert_eq!(of("1S1-1S3 110.00 200.0"), "");
    let told = of("1S1-1S3 210.00 200.0");
    assert!(
        told.contains("120 V agrees with the turns ratio of the plate"),
        "{told}"
    );
    // Alone, neither of two cells is the one.
    let told = of("2S1-2S2 123.54 20.587");
    for words in [
        "205.87 mV in place of 20.587 mV",
        "12.354 V in place of 123.54 V",
    ] {
        assert!(told.contains(words), "{told}");
    }
    // A row beside it says which was set.
    let told = of("2S1-2S2 123.54 20.587\n2S1-2S2 123.60 206.00");
    assert!(told.contains("where 205.87 mV agrees"), "{told}");
}

/// One per cent off, two digits are told where the other pairs of the core say what the ratio is, and the put ones agree.
#[test]
fn a_little_off_is_told_by_the_rest_of_the_record() {
    let of = |rows: &str| {
        let visit = format!("\n[ratio]\nmethod: voltage\non applied/V induced/mV\n{rows}\n");
        Bench::of(&format!("{UNIT}{CORES}{visit}"))
    };
    let told = |rows: &str| {
        let found = of(rows);
        let all = found.all("ratio-slip").into_iter();
        all.map(|one| one.observed.plain(|_| 0)).collect::<String>()
    };
    let beside = "1S1-1S2 40.00 200.05";
    let slip = told(&format!("{beside}\n1S1-1S3 120.19 203.01"));
    assert!(slip.contains("where 200.31 mV agrees"), "{slip}");
    // No two digits bring it there.
    assert_eq!(told(&format!("{beside}\n1S1-1S3 120.19 203.31")), "");
    // Both pairs are as far off: the turns are, or what was connected.
    assert_eq!(told("1S1-1S2 40.00 202.70\n1S1-1S3 120.19 203.01"), "");
    // Nothing says what it should be.
    assert_eq!(told("2S1-2S2 120.19 203.01"), "");
}

/// A pair in the head of the section is that of its rows, where they name none.
#[test]
fn the_pair_of_the_head_is_no_section_of_itself() {
    let visit = "\n[ratio 2S1-2S2]\nmethod: voltage\napplied/V induced/mV\n13.794 29.286\n";
    let found = Bench::of(&format!(
        "{UNIT}{CORES}{}",
        visit.replace("29.286", "2.2986")
    ));
    assert!(found.all("ratio-slip")[0].pair.is_some());
    let found = Bench::of(&format!("{UNIT}{CORES}{visit}"));
    let all = found.all("ratio-slip");
    let words = all[0].observed.plain(|_| 0);
    assert!(words.contains("where 22.986 mV agrees"), "{words}");
}

/// With 3 ohm in 600 turns and a circuit of 6 ohm across all of them, 200 turns are driven against the rest of the copper:
/// 3 (3 x 1 - 1)/6 = 1, so that the ratio reads twice as high; the whole winding meets the circuit at its own terminals.
#[test]
fn a_circuit_across_the_winding_moves_its_taps_and_not_the_whole() {
    let circuit = "\n[burden 1S1-1S3]\nloop current/A voltage/V\nphase-neutral 1.000 6.00\n";
    let of = |tap: &str, whole: &str| {
        ohms("0.30", "0.10", "0.20") + &ratio(tap, whole, "49.99") + circuit
    };
    let told = |visit: &str| Bench::of(&format!("{UNIT}{CORES}{visit}"));
    let across = told(&of("75.0", "50.02"));
    assert_eq!(across.causes(), ["burden-left-on"]);
    // It fails nothing: the ratio is not that of the tap.
    assert_eq!(across.told("turns-ratio").matches("fails").count(), 0);
    // No path lowers a ratio, nor moves that of the pair that it lies across.
    for (tap, whole) in [("225.0", "50.02"), ("150.0", "25.0")] {
        let other = told(&of(tap, whole)).causes();
        assert!(!other.contains(&"burden-left-on"), "{other:?}");
    }
    assert_eq!(told(&of("150.0", "50.02")).causes(), [""; 0]);
    // Of a circuit that nobody knows one ratio that is off says nothing.
    let unknown = of("75.0", "50.02").replace(circuit, "");
    let unknown = told(&unknown).causes();
    assert!(!unknown.contains(&"burden-left-on"), "{unknown:?}");
}

/// A winding that was as marked before, with its taps counted from the other end: the leads are. One of two terminals
/// says no more than that it is reversed, and one that was never right may be so.
#[test]
fn leads_lie_the_other_way_round_sooner_than_a_winding() {
    let visit = |day: &str, way: &str, tap: &str| {
        let first = if way == "up" { "150.1" } else { tap };
        format!(
            "\n[visit {day}]\npurpose: maintenance\n\n[polarity 1S1-1S3]\nmethod: kick\nplus on: P1\ndeflection: {way} on make\n{}",
            ratio(first, "50.02", "49.97")
        )
    };
    let told = |then: &str, now: &str| {
        let cores = CORES.replace("[visit 2026-03-14]\n", "");
        let (then, now) = (
            visit("2021-03-14", then, "75.0"),
            visit("2026-03-14", now, "75.0"),
        );
        Bench::of(&format!("{UNIT}{cores}{then}{now}"))
    };
    let leads = told("up", "down");
    assert_eq!(leads.causes(), ["leads-from-the-other-end"]);
    assert!(leads.told("polarity").starts_with("not judged"));
    let wires = told("down", "down");
    assert_eq!(wires.causes(), ["secondary-reversed"]);
    assert_eq!(wires.told("polarity"), "fails");
    assert_eq!(told("up", "up").causes(), [""; 0]);
    let kicked = |way: &str| kick("up", "up", way);
    let two = format!(
        "{UNIT}{CORES}{}\n[visit 2027-03-14]\n{}",
        kicked("up"),
        kicked("down")
    );
    assert_eq!(Bench::of(&two).causes(), ["secondary-reversed"]);
}
