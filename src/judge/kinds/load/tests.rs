use crate::judge::kinds::bench::{BROKEN, Bench, PLATE, table, visit};
use crate::record::criteria::{Criteria, Service};

#[test]
fn a_current_on_load_is_shown_as_read() {
    let rows = "core | at | current/A | angle/deg\n1S | X1:3 | 0.250 | 182\n2S | X2:3 | - | -\n";
    let bench = Bench::visit(&format!("[load]\nprimary current: 300 A\n{rows}"));
    let said = "1S: secondary current on load, X1:3: 0.250 A at 182 deg; primary current 300 A";
    assert_eq!(bench.says("load-current"), said);
    assert_eq!(bench.told("load-current"), "info");
}

/// 300 A on 600/1 is 0.5 A: half of it is a wrong tap or ratio, a few per cent a meter.
#[test]
fn it_is_held_against_the_primary_current() {
    let of = |row: &str| {
        let (primary, secondary) = row.split_once(' ').unwrap();
        let rows = format!("core | at | current/A\n1S | X1:3 | {secondary}\n");
        Bench::visit(&format!("[load]\nprimary current: {primary} A\n{rows}"))
    };
    table(
        "load-ratio",
        of,
        &[
            ("300 0.250", "fail"),
            ("300 1.000", "fail"),
            ("300 0.000", "fail"),
            ("300 0.499", "pass"),
            ("300 0.430", "review"),
            (
                "12 0.010",
                "not shown: needs more current: 5 % of rated at least",
            ),
        ],
    );
    of("300 0.250").holds("load-ratio", &["-50.0", "0.500 A by the rated ratio"]);
}

#[test]
fn without_the_primary_current_the_ratio_is_not_shown() {
    let of = |rows: &str| Bench::visit(&format!("[load]\ncore | phase | current/A\n{rows}\n"));
    let needs = "not shown: needs the primary current by another measurement";
    table(
        "load-ratio",
        of,
        &[
            ("1S | L1 | 0.5", needs),
            ("1S | N | 0.01", ""),
            ("2S | L1 | 0.5", "not shown: needs the tap in service"),
        ],
    );
}

#[test]
fn the_job_s_own_limit_is_held_with_its_uncertainty() {
    let by = |limit: &str| {
        let service = Service {
            current_error: Some(limit.parse().unwrap()),
            ..Service::default()
        };
        let criteria = Criteria {
            service,
            ..Criteria::default()
        };
        let rows = "[load]\nprimary current: 300 A\ncore | current/A\n1S | 0.485\n";
        Bench::by(criteria, &visit(PLATE, rows))
    };
    table("load-ratio", by, &[("5", "pass"), ("2", "fail")]);
}

/// Own arithmetic: -170 deg against 8 deg is 178 deg the shorter way, half a turn but for 2 deg.
#[test]
fn a_current_goes_with_the_primary_one_or_against_it() {
    let of = |row: &str| {
        Bench::visit(&format!(
            "[load]\nprimary current: 300 A\nprimary angle: 8 deg\nangles against: busbar VT\n\
             core | current/A | angle/deg\n1S | {row}\n"
        ))
    };
    table(
        "load-angle",
        of,
        &[
            ("0.5 | 12", "pass"),
            ("0.5 | -170", "fail"),
            ("0.5 | 68", "review"),
            ("0.5 | -", ""),
            (
                "0.01 | 12",
                "not shown: needs more current: 5 % of rated at least",
            ),
            ("0.5 | 12\nwhat is this # broken", BROKEN),
        ],
    );
    of("0.5 | -170").holds("load-angle", &["turned round"]);
    let two = |second: &str| {
        Bench::visit(&format!(
            "[load]\nprimary current: 300 A\nprimary angle: 8 deg\nangles against: busbar VT\n\
             core | at | current/A | angle/deg\n1S | F21 | 0.5 | -170\n{second}\n"
        ))
    };
    let first = |bench: &Bench| {
        let found = bench.all("load-angle");
        let remarks = found.first().map_or(&[][..], |one| &one.remarks);
        remarks
            .iter()
            .map(|phrase| phrase.plain(|_| 0))
            .collect::<String>()
    };
    let other = two("1S | F87 | 0.5 | 12");
    assert_eq!(other.told("load-angle"), "fail | pass");
    assert!(first(&other).contains("at F87 the same core reads the right way"));
    // Another core says nothing of this one's terminals.
    let apart = two("2S | F87 | 0.5 | 12");
    assert!(first(&apart).contains("star point, terminals, or P1 and P2"));
    let bare = "[load]\nprimary current: 300 A\nprimary angle: 8 deg\ncore | current/A | angle/deg\n1S | 0.5 | 12\n";
    assert_eq!(
        Bench::visit(bare).told("load-angle"),
        "not shown: needs what the angles are against"
    );
}

fn three(keys: &str, angles: [f64; 3], neutral: &str) -> Bench {
    three_of(["L1", "L2", "L3"], keys, angles, neutral)
}

fn three_of(named: [&str; 3], keys: &str, angles: [f64; 3], neutral: &str) -> Bench {
    let rows = named.into_iter().zip(angles);
    let rows: String = rows
        .map(|(phase, angle)| format!("1S | F21 | {phase} | 0.500 | {angle}\n"))
        .collect();
    Bench::visit(&format!(
        "[load]\nprimary current: 300 A\n{keys}core | at | phase | current/A | angle/deg\n{rows}{neutral}"
    ))
}

#[test]
fn the_phases_follow_one_another() {
    let needs = "not shown: needs which way angles count: angles: leading, or lagging";
    let leading = "angles: leading\n";
    for (keys, angles, told, said) in [
        (leading, [0.0, -120.0, 120.0], "pass", ""),
        ("angles: lagging\n", [0.0, 120.0, 240.0], "pass", ""),
        (leading, [30.0, 272.0, 148.0], "pass", ""),
        (
            leading,
            [0.0, 120.0, -120.0],
            "review",
            "or the network turns the other way",
        ),
        (
            "angles: lagging\n",
            [0.0, -120.0, 120.0],
            "review",
            "or the network turns the other way",
        ),
        (
            leading,
            [180.0, -120.0, 120.0],
            "fail",
            "current of L1 is turned",
        ),
        (
            leading,
            [0.0, 60.0, 120.0],
            "fail",
            "current of L2 is turned",
        ),
        (
            leading,
            [0.0, -120.0, -60.0],
            "fail",
            "current of L3 is turned",
        ),
        (leading, [0.0, -120.0, -120.0], "review", "do not follow"),
        (
            "angles: leading\nrotation: L1 L2 L3\n",
            [0.0, 120.0, -120.0],
            "fail",
            "two phases are exchanged",
        ),
        (
            "angles: leading\nrotation: L1 L3 L2\n",
            [0.0, 120.0, -120.0],
            "pass",
            "",
        ),
        (
            "angles: leading\nrotation: L1 L3 L2\n",
            [0.0, -120.0, 120.0],
            "fail",
            "two phases are exchanged",
        ),
        (
            "angles: leading\nrotation: L1 L3 L2\n",
            [0.0, 0.0, 0.0],
            "review",
            "do not follow",
        ),
        ("", [0.0, -120.0, 120.0], needs, ""),
        ("", [0.0, 120.0, -120.0], needs, ""),
        ("", [0.0, 60.0, 120.0], "review", "do not follow"),
    ] {
        let bench = three(keys, angles, "");
        assert_eq!(bench.told("load-rotation"), told, "{keys} {angles:?}");
        bench.holds("load-rotation", &[said]);
    }
}

#[test]
fn phases_by_letters_are_the_same_three() {
    let letters = |rotation: &str, angles| {
        let keys = format!("angles: leading\n{rotation}");
        three_of(["A", "B", "C"], &keys, angles, "1S | F21 | N | 0.010 | 0\n")
    };
    let (forward, exchanged) = ([0.0, -120.0, 120.0], [0.0, 120.0, -120.0]);
    for (rotation, angles, told) in [
        ("rotation: A B C\n", forward, "pass"),
        ("rotation: A B C\n", exchanged, "fail"),
        ("rotation: A C B\n", exchanged, "pass"),
        ("rotation: A C B\n", forward, "fail"),
        ("rotation: L1 L3 L2\n", exchanged, "pass"),
        ("", exchanged, "review"),
    ] {
        let bench = letters(rotation, angles);
        assert_eq!(bench.told("load-rotation"), told, "{rotation} {angles:?}");
    }
    assert_eq!(letters("", forward).told("load-neutral-sum"), "pass");
    letters("", exchanged).holds("load-rotation", &["rotation: A C B"]);
    let turned = letters("", [0.0, 60.0, 120.0]);
    turned.holds("load-rotation", &["the current of B is turned round"]);
    // Of this unit's own phase, whichever way place and row name it.
    let row = "[load]\nprimary current: 300 A\nprimary angle: 8 deg\nangles against: VT\n\
               core | at | phase | current/A | angle/deg\n1S | F21 | A | 0.500 | 8\n1S | F21 | L1 | 0.500 | 8\n";
    for (place, told) in [
        ("A", "pass | pass"),
        ("L1", "pass | pass"),
        ("A (L1)", "pass | pass"),
        ("B", ""),
    ] {
        let place = format!("frequency: 50 Hz\nphase: {place}\n");
        let plate = PLATE.replace("frequency: 50 Hz\n", &place);
        let bench = Bench::of(&visit(&plate, row));
        assert_eq!(bench.told("load-angle"), told, "{place}");
    }
}

/// Own arithmetic: three equal phasors a third of a turn apart leave nothing; 0.1 A are 20 % of 0.5 A.
#[test]
fn the_neutral_carries_what_the_phases_leave() {
    let of = |current: &str| {
        let neutral = format!("1S | F21 | N | {current} | 0\n");
        three("angles: leading\n", [0.0, -120.0, 120.0], &neutral)
    };
    table(
        "load-neutral",
        of,
        &[("0.010", "no limit"), ("0.100", "no limit")],
    );
    table(
        "load-neutral-sum",
        of,
        &[("0.010", "pass"), ("0.100", "review")],
    );
    of("0.100").holds("load-neutral-sum", &["comes from elsewhere"]);
    // L3 turned round: the three leave twice its current, and a neutral without current has another path.
    let turned = three(
        "angles: leading\n",
        [0.0, -120.0, -60.0],
        "1S | F21 | N | 0.000 | 0\n",
    );
    turned.holds("load-neutral-sum", &["-200", "another path"]);
    let by = |limit: &str| {
        let service = Service {
            neutral: Some(limit.parse().unwrap()),
            ..Service::default()
        };
        let criteria = Criteria {
            service,
            ..Criteria::default()
        };
        let rows = "[load]\nprimary current: 300 A\ncore | phase | current/A | angle/deg\n\
                    1S | L1 | 0.5 | 0\n1S | L2 | 0.5 | -120\n1S | L3 | 0.5 | 120\n1S | N | 0.05 | 0\n";
        Bench::by(criteria, &visit(PLATE, rows))
    };
    table("load-neutral", by, &[("20", "pass"), ("5", "review")]);
}

#[test]
fn a_neutral_beside_one_driven_phase_carries_its_current() {
    let bench = Bench::visit(
        "[load]\nmethod: primary injection\nprimary current: 300 A\n\
         core | phase | current/A\n1S | - | 0.500\n1S | N | 0.000\n",
    );
    assert_eq!(bench.told("load-ratio"), "pass | fail");
    assert_eq!(bench.told("load-rotation"), "");
}

#[test]
fn what_is_read_again_at_one_place_is_judged_too() {
    let rows = "core | at | phase | current/A | angle/deg\n1S | F21 | L1 | 0.500 | 0\n1S | F21 | L2 | 0.500 | -120\n\
                1S | F21 | L3 | 0.500 | 120\n1S | F21 | L3 | 0.500 | -60\n1S | F21 | N | 0.010 | -\n1S | F21 | N | 0.300 | -\n";
    let bench = Bench::visit(&format!(
        "[load]\nprimary current: 300 A\nangles: leading\n{rows}"
    ));
    assert_eq!(bench.told("load-rotation"), "pass | fail");
    assert_eq!(bench.told("load-neutral-sum"), "pass | review");
}

/// Own arithmetic: 300 A by 500/1 is 0.6 A, by 600/1 0.5 A.
#[test]
fn another_ratio_that_fits_better_is_named() {
    let plate = PLATE.replace("2S1-2S2 300/1 150 60 1.75", "2S1-2S2 500/1 150 60 1.75")
        + "[duty 2S since 2020-01-01]\ntap in service: 2S1-2S2\n";
    let of = |current: &str| {
        let rows = format!("[load]\nprimary current: 300 A\ncore | current/A\n2S | {current}\n");
        Bench::of(&visit(&plate, &rows))
    };
    // 0.6 A by the tap, 0.5 A by the whole; half way is 0.55 A.
    table(
        "load-ratio",
        of,
        &[
            ("0.601", "pass"),
            ("0.56", "pass"),
            ("0.545", "review"),
            ("0.40", "fail"),
        ],
    );
    of("0.545").holds("load-ratio", &["nearer to 600/1 of 2S1-2S3"]);
}

#[test]
fn a_slip_of_the_unit_is_no_failure_of_the_circuit() {
    for (primary, current) in [("300 A", "500"), ("0.3 A", "0.5"), ("300 kA", "0.500")] {
        let bench = Bench::visit(&format!(
            "[load]\nprimary current: {primary}\ncore | current/A\n1S | {current}\n"
        ));
        assert_eq!(bench.told("load-ratio"), "", "{primary} {current}");
        assert_eq!(bench.told("load-slip"), "review", "{primary} {current}");
    }
    let noise = "[load]\nprimary current: 600 A\ncore | current/A\n1S | 0.001\n";
    assert_eq!(Bench::visit(noise).told("load-ratio"), "fail");
}

/// A place without a phase: the only one that was read is the unit's own, of three none is.
#[test]
fn the_only_phase_that_was_read_is_the_own_one() {
    let of = |rows: &str| {
        Bench::visit(&format!(
            "[load]\nprimary current: 300 A\nprimary angle: 8 deg\nangles against: busbar VT\n\
             core | phase | current/A | angle/deg\n{rows}"
        ))
    };
    table(
        "load-angle",
        of,
        &[
            ("1S | L2 | 0.5 | 12\n", "pass"),
            ("1S | L2 | 0.5 | 12\n1S | L3 | 0.5 | 132\n", ""),
        ],
    );
}

/// A phase that cannot be read, and a cell too few in the row: nobody knows whose current it is.
#[test]
fn a_row_that_does_not_say_what_it_is_of_shows_nothing() {
    let of = |row: &str| {
        let rows = format!("core | at | phase | current/A | angle/deg\n1S | {row}\n");
        Bench::visit(&format!(
            "# broken\n[load]\nprimary current: 300 A\nprimary angle: 8 deg\nangles against: busbar VT\n{rows}"
        ))
    };
    for (row, ratio) in [
        ("F21 | L1 | 0.250 | 8", "fail"),
        ("F21 | L4 | 0.250 | 8", ""),
        ("F21 | 0.250 | 8", ""),
    ] {
        assert_eq!(of(row).told("load-ratio"), ratio, "{row}");
        assert_eq!(
            of(row).told("load-current").is_empty(),
            ratio.is_empty(),
            "{row}"
        );
    }
}

/// Own arithmetic: 0 A written to one ampere is 0 ± 0.58 A, of 0.42 A ± 137 %; 0.0 is 0 ± 0.058 A. Without an instrument
/// the last digit is the least that is not known.
#[test]
fn digits_that_cannot_tell_the_limit_show_nothing() {
    let wide = "not decided: the uncertainty is larger than the limit";
    let with = |instrument: &str, primary: &str, row: &str| {
        let head = format!("[visit 2026-01-05]\npurpose: investigation\n{instrument}");
        let rows = format!("core | at | phase | current/A\n1S | F21 | L1 | {row}\n");
        Bench::of(&format!(
            "{PLATE}\n{head}\n[load]\nprimary current: {primary} A\n{rows}"
        ))
    };
    for instrument in ["", "instrument: M1\n"] {
        let told = |primary: &str, row: &str| with(instrument, primary, row).told("load-ratio");
        assert_eq!(told("252", "0"), wide, "{instrument}");
        assert_eq!(told("600", "1"), wide, "{instrument}");
        assert_eq!(told("252", "0.0"), "fail", "{instrument}");
        assert_eq!(told("600", "1.000"), "pass", "{instrument}");
    }
    with("", "252", "0").holds("load-ratio", &["write all that was shown"]);
}

/// Own arithmetic: 0.42 A of 1 A rated are 42 %, 0.001 A are 0.1 %; a source drives L1 alone.
#[test]
fn a_phase_that_is_not_driven_shows_nothing() {
    let plate = PLATE.replace("frequency: 50 Hz\n", "frequency: 50 Hz\nphase: L1\n");
    let of = |row: &str| {
        let rows = format!("core | at | phase | current/A | primary/A\n1S | F21 | {row}\n");
        let keys = "method: primary injection\nprimary current: 252 A\n";
        Bench::of(&visit(&plate, &format!("[load]\n{keys}{rows}")))
    };
    table(
        "load-unfed",
        of,
        &[
            ("L2 | 0.420 | -", "fail"),
            ("L2 | 0.001 | -", "pass"),
            // 2 % of 1 A is the limit: a bound below it shows as much, one above it nothing.
            ("L2 | <0.005 | -", "pass"),
            ("L2 | <0.050 | -", "not shown: needs a value, not a bound"),
            ("L2 | >0.005 | -", "not shown: needs a value, not a bound"),
            ("L2 | >0.100 | -", "not met"),
            ("L2 | 0.420 | 252", ""),
            ("L1 | 0.420 | -", ""),
            ("N | 0.420 | -", ""),
        ],
    );
}

/// Own arithmetic: 60 A by 600/1 are 0.1 A; a unit between a neutral and earth carries the primary current in N.
#[test]
fn a_unit_of_the_neutral_is_read_there() {
    let of = |phase: &str, row: &str| {
        let plate = PLATE.replace(
            "frequency: 50 Hz\n",
            &format!("frequency: 50 Hz\nphase: {phase}\n"),
        );
        let rows = format!("core | at | phase | current/A\n1S | F51 | {row}\n");
        Bench::of(&visit(
            &plate,
            &format!("[load]\nprimary current: 60 A\n{rows}"),
        ))
        .told("load-ratio")
    };
    assert_eq!(of("N", "N | 0.1000"), "pass");
    assert_eq!(of("N", "N | 0.0500"), "fail");
    assert_eq!(of("N", "L1 | 0.1000"), "");
    assert_eq!(of("L1", "N | 0.1000"), "");
    assert_eq!(of("L1", "L1 | 0.1000"), "pass");
}
