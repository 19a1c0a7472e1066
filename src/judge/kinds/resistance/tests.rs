use crate::judge::kinds::bench::{BROKEN, Bench, PLATE, core, table, visit};

const WARM: &str = "wires: 4\ntemperature: 75.0 +- 0.5 C\non resistance/ohm\n";
const COLD: &str = "wires: 4\ntemperature: 20 C\non resistance/ohm\n";

fn of(section: &str) -> Bench {
    Bench::visit(&format!("[resistance]\n{section}\n"))
}

fn warm(row: &str) -> Bench {
    of(&format!("{WARM}{row}"))
}

fn cold(rows: &str) -> Bench {
    of(&format!("{COLD}{rows}"))
}

#[test]
fn px_and_the_tap_table_bind_and_5p_does_not() {
    table(
        "winding-resistance",
        warm,
        &[
            ("2S1-2S3 3.40", "pass"),
            ("2S1-2S3 3.60", "fail"),
            ("1S1-1S2 4.40", "no limit"),
            ("2S1-2S2 1.90", "fail"),
            ("2S2-2S3 1.90", "no limit"),
        ],
    );
    let bad = warm("2S1-2S3 3.60");
    let bad = bad.one("winding-resistance");
    assert!(bad.headline && bad.action().is_some());
    let away = warm("1S1-1S2 4.40").value("winding-resistance-plate");
    assert!((away - 100.0 * (4.40 / 3.40 - 1.0)).abs() < 1e-9);
}

/// What a way of finding the temperature leaves open is a part of the uncertainty, unless a half-width is written.
#[test]
fn how_the_temperature_was_found_counts() {
    let rule = "winding-resistance";
    let at = |keys: &str| {
        let found = of(&format!(
            "wires: 4\n{keys}\non resistance/ohm\n2S1-2S3 2.80"
        ));
        let value = found.one(rule).value().unwrap();
        let u = found.assessment.workings.uncertainty(value).u;
        (100.0 * u / value.si, found.says(rule))
    };
    let (none, said) = at("temperature: 20.0 C");
    assert!(!said.contains("temperature"), "{said}");
    for (by, kelvin, words) in [
        ("contact", 0.0, ""),
        (
            "oil",
            2.0,
            "the oil's temperature was taken for the winding's",
        ),
        (
            "tank",
            3.0,
            "the tank's temperature was taken for the winding's",
        ),
        (
            "air",
            5.0,
            "the air's temperature was taken for the winding's",
        ),
        (
            "estimated",
            10.0,
            "the temperature of the winding is an estimate",
        ),
    ] {
        let (u, said) = at(&format!("temperature: 20.0 C\ntemperature by: {by}"));
        // One part in 234.5 + 20 a kelvin.
        let part = 100.0 * kelvin / 3f64.sqrt() / 254.5;
        assert!(
            (u - none.hypot(part)).abs() < 1e-6,
            "{by}: {u} {none} {part}"
        );
        assert!(said.contains(words), "{by}: {said}");
        let (stated, _) = at(&format!("temperature: 20.0 +- 1 C\ntemperature by: {by}"));
        let (plain, _) = at("temperature: 20.0 +- 1 C");
        assert!((stated - plain).abs() < 1e-12, "{by}");
    }
}

/// What a visit says of its windings holds where a section has no temperature of its own; the air's is the air's.
#[test]
fn how_the_visit_found_the_temperature_counts() {
    let rule = "winding-resistance";
    let said = |keys: &str, own: &str| {
        let text =
            format!("{keys}\n\n[resistance]\nwires: 4\n{own}\non resistance/ohm\n2S1-2S3 2.80\n");
        Bench::visit(&text).says(rule)
    };
    let estimated = "temperature of the winding: 20 C\ntemperature by: estimated";
    assert!(said(estimated, "").contains("is an estimate"));
    assert!(!said(estimated, "temperature: 20 C").contains("is an estimate"));
    assert!(said("ambient: 20 C", "").contains("the air's temperature"));
}

#[test]
fn unknown_leads_temperature_or_words_give_no_verdict() {
    let read = |head: &str| of(&format!("{head}\non resistance/ohm\n2S1-2S3 3.60"));
    table(
        "winding-resistance",
        read,
        &[
            (
                "wires: 2\ntemperature: 20 C",
                "not judged: the leads are in the reading and no self-check gives their resistance",
            ),
            (
                "temperature: 20 C",
                "not judged: two or four wires: not stated",
            ),
            (
                "wires: 4",
                "not judged: the temperature of the winding is not stated",
            ),
            (
                "what is this # broken\n\nwires: 4\ntemperature: 75.0 C",
                BROKEN,
            ),
        ],
    );
    let bound = "not judged: no usable reading of this pair";
    table("winding-resistance", cold, &[("2S1-2S3 >20", bound)]);
}

#[test]
fn readings_that_have_not_come_to_rest_are_read_again() {
    for (rows, told, grade) in [
        (
            "1S1-1S2 2.700\n1S1-1S2 2.710\n1S1-1S2 2.720",
            "heats",
            "review",
        ),
        (
            "1S1-1S2 2.720\n1S1-1S2 2.710\n1S1-1S2 2.700",
            "has not settled",
            "review",
        ),
        (
            "1S1-1S2 2.720\n1S1-1S2 2.700\n1S1-1S2 2.700",
            "settled: the last 2 are judged",
            "info",
        ),
        ("1S1-1S2 2.700\n1S1-1S2 2.701", " steady", "info"),
        // One step of the last digit is no drift, however large a share it is.
        ("1S1-1S2 0.122\n1S1-1S2 0.123", " steady", "info"),
    ] {
        let bench = cold(rows);
        bench.holds("winding-resistance-drift", &[told]);
        assert_eq!(bench.told("winding-resistance-drift"), grade);
    }
}

/// What an instrument does not repeat is no drift.
#[test]
fn a_drift_is_more_than_the_instrument_differs_by() {
    let rows = format!("{COLD}1S1-1S2 2.700\n1S1-1S2 2.705\n1S1-1S2 2.710");
    assert_eq!(of(&rows).told("winding-resistance-drift"), "review");
    let rough = of(&format!("instrument: ROUGH\n{rows}"));
    assert_eq!(rough.told("winding-resistance-drift"), "info");
}

/// A current heats all of a winding: where the other pairs stood still, it is a clip.
#[test]
fn one_pair_that_drifts_alone_has_a_clip_that_moves() {
    let whole = "2S1-2S3 2.800\n2S1-2S3 2.801\n2S2-2S3 1.400\n2S2-2S3 1.401\n";
    let one = "2S1-2S2 1.400\n2S1-2S2 1.410\n2S1-2S2 1.420\n";
    let drift = |rows: &str| {
        let bench = cold(rows);
        let all = bench.all("winding-resistance-drift");
        let mut all = all.iter().map(|one| one.observed.to_string());
        all.find(|told| told.contains("rising")).unwrap_or_default()
    };
    assert!(drift(&format!("{whole}{one}")).contains("clip"));
    assert!(!drift(one).contains("clip"));
    let all = whole.replace("2.801", "2.840").replace("1.401", "1.430");
    assert!(!drift(&format!("{all}{one}")).contains("clip"));
}

#[test]
fn the_air_is_no_winding() {
    let of = |head: &str| {
        let rows = "on resistance/ohm\n1S1-1S2 2.700";
        Bench::of(
            &visit(PLATE, &format!("[resistance]\n{head}\n{rows}\n"))
                .replace("instrument: M1", "instrument: M1\nambient: 20 C"),
        )
    };
    assert_eq!(of("wires: 4").told("temperature-unwritten"), "open");
    assert_eq!(
        of("wires: 4\ntemperature: 20 C").told("temperature-unwritten"),
        ""
    );
}

/// Terminals exchanged: the sections no longer make up the whole (planted in the demo too).
#[test]
fn sections_that_do_not_add_up_are_a_defect() {
    table(
        "winding-resistance-sum",
        cold,
        &[
            ("2S1-2S3 2.8000\n2S1-2S2 1.4010\n2S2-2S3 1.3995", "info"),
            ("2S1-2S3 1.4000\n2S1-2S2 2.8010\n2S2-2S3 1.3995", "fails"),
            ("2S1-2S3 2.8000\n2S1-2S2 1.4010", ""),
        ],
    );
    // Two wires give no sum.
    let text = "[self-check]\nleads: 0.01 ohm\n\n[resistance]\nwires: 2\ntemperature: 20 C\non resistance/ohm\n\
        2S1-2S3 2.80\n2S1-2S2 1.45\n2S2-2S3 1.45\n";
    table("winding-resistance-sum", Bench::visit, &[(text, "")]);
}

/// Of two ways through the winding that are equally fine the one that does not add up is told, in
/// whichever order they were read.
#[test]
fn the_way_that_does_not_add_up_is_not_hidden_by_one_that_does() {
    let plate = core(
        "marks: S1 S2 S3 S4\nclass: 5P20\ntap ratio/A\nS1-S2 200/5\nS2-S3 100/5\nS3-S4 500/5",
        "",
    );
    let plate = plate.replace("marks: S1 S2\nmarks", "marks");
    let of = |rows: &str| Bench::of(&visit(&plate, &format!("[resistance]\n{COLD}{rows}\n")));
    let (good, bad) = ("S1-S3 0.3000\nS3-S4 0.5000", "S1-S2 0.2000\nS2-S4 0.7000");
    table(
        "winding-resistance-sum",
        of,
        &[
            (&format!("S1-S4 0.8000\n{good}"), "info"),
            (&format!("S1-S4 0.8000\n{good}\n{bad}"), "fails"),
            (&format!("S1-S4 0.8000\n{bad}\n{good}"), "fails"),
        ],
    );
}
