//! The voltage method through whole records.

use super::{IEC, iec, text};
use crate::derive::kinds::ratio::Correction;
use crate::judge::kinds::bench::{Bench, table};
use crate::judge::kinds::ratio::voltage::whole_turns;
use crate::record::criteria::Criteria;
use crate::record::kinds::TestKind;

/// 120 V on the secondary, by `K1`, and so many millivolt on the primary.
fn visit(induced: &str) -> String {
    format!(
        "instrument: K1\n[ratio S1-S2]\nmethod: voltage\napplied/V induced/mV\n120.000 {induced}"
    )
}

fn volts(core: &str, induced: &str) -> Bench {
    iec(core, &visit(induced))
}

/// PX 0.25 % (IEC 61869-2:2012, 5.6.202.4, from memory); positive with fewer turns than rated.
#[test]
fn px_turns_ratio() {
    let px = "class: PX\nratio: 600/1 A\nknee emf: 300 V";
    for (induced, error, told) in [("200.000", 0.0, "pass"), ("201.000", 0.5, "fail")] {
        let found = volts(px, induced);
        assert!((found.value("turns-ratio") - error).abs() < 1e-9);
        assert_eq!(found.told("turns-ratio"), told);
        assert!(found.one("turns-ratio").headline);
    }
    let unknown = iec(px, &visit("200.000").replace("instrument: K1\n", ""));
    let missing = "not decided: the uncertainty of the value is not known";
    assert_eq!(unknown.told("turns-ratio"), missing);
}

/// For a measuring class: not met by itself, never met; nothing once turns were taken off on purpose.
#[test]
fn a_measuring_class_is_never_met_by_voltage() {
    let class = "class: 0.5\nburden: 10 VA\nratio: 600/1 A";
    let rows = [("200.000", "no limit"), ("201.800", "not met")];
    table("turns-ratio", |induced| volts(class, induced), &rows);
    // Without its U a value outside the class is neither in order nor at fault.
    let missing = "not decided: the uncertainty of the value is not known";
    let bare = |induced: &str| iec(class, &visit(induced).replace("instrument: K1\n", ""));
    table(
        "turns-ratio",
        bare,
        &[("200.000", "no limit"), ("201.800", missing)],
    );
    // 595 turns, as the plate says: no error.
    let found = volts(&format!("{class}\nturns compensation: 5"), "201.681");
    assert_eq!(found.told("turns-ratio"), "no limit");
    assert!(found.value("turns-ratio").abs() < 0.01);
}

#[test]
fn the_clients_tolerance_is_cited_and_without_it_there_is_no_limit() {
    let text = text(
        IEC,
        "class: 5P20\nburden: 15 VA\nratio: 600/1 A",
        &visit("202.000"),
    );
    assert_eq!(Bench::of(&text).told("turns-ratio"), "no limit");
    let criteria = Criteria {
        turns: Some(0.5),
        ..Criteria::default()
    };
    Bench::by(criteria, &text).holds("turns-ratio", &["(criteria of the job: turns ratio): fail"]);
}

/// A generator core of class TPY: 21 minutes are the drop of 0.268 A in 18.2 ohm at 800 V. They are
/// of no class, whatever they are.
#[test]
fn the_phase_of_the_voltage_method_is_never_judged() {
    let found = |phase: &str| {
        let visit = format!(
            "instrument: K1\ntemperature of the winding: 21 C\n[resistance S1-S2]\nwires: 4\ncurrent/A voltage/V\n0.1000 1.8200\n\
             [excitation S1-S2]\nvoltage/V current/mA\n400 134\n600 201\n800.4 268\n1000 335\n\
             [ratio S1-S2]\nmethod: voltage\napplied/V induced/mV phase/arcmin\n800.4 100.02 {phase}"
        );
        iec(
            "class: TPY\nratio: 8000/1 A\nburden: 5.0 ohm\nresistance: 22 ohm at 75 C",
            &visit,
        )
    };
    let drop = found("21");
    let visit = &drop.assessment.visits[0];
    let mut of_ratio = visit
        .findings
        .iter()
        .filter(|told| told.rule.kind == TestKind::Ratio);
    assert!(!of_ratio.any(|told| ["arcmin", "crad", "deg"].contains(&told.unit.word)));
    // All of the drop is in quadrature: 800.4 V falls by 0.015 V only, not by 4.9 V.
    let turns = &visit.derived.ratio.turns[0];
    let Correction::Made { percent, .. } = turns.correction else {
        panic!("{:?}", turns.correction)
    };
    assert!((0.0..0.12).contains(&percent), "{percent}");
    assert!((turns.ratio.si - 8002.2).abs() < 8.0, "{}", turns.ratio.si);
    // Whatever is read there changes no word.
    assert_eq!(
        found("90").one("turns-ratio").verdict,
        drop.one("turns-ratio").verdict
    );
}

/// The drop taken off is exact when the angle of the current is known by the phase: e = V - I R in
/// phase, or the root of the squares in quadrature.
#[test]
fn the_drop_lies_between_its_bounds() {
    let visit = "instrument: K1\n[excitation S1-S2]\nvoltage/V current/mA\n60 100\n120 200\n200 400\n\
                 [ratio S1-S2]\nmethod: voltage\napplied/V induced/mV\n120.000 200.000";
    let found = iec(
        "class: PX\nratio: 600/1 A\nresistance: 6.0 ohm at 75 C",
        visit,
    )
    .assessment;
    let turns = &found.visits[0].derived.ratio.turns[0];
    // Between 120 V - 1.2 V and the root of 120 V and 1.2 V squared; the middle with half the width.
    let (low, high) = (118.8 / 0.2, (120f64 * 120.0 - 1.44).sqrt() / 0.2);
    let (ratio, u) = (
        turns.ratio.si,
        2.0 * found.workings.uncertainty(turns.ratio).u,
    );
    assert!(ratio > low && ratio < high);
    assert!(
        ratio - u < low + 1.0 && ratio + u > high - 1.0,
        "{ratio} {u}"
    );
}

/// A winding of five terminals under IEEE, with these ratio rows.
fn tapped(rows: &str) -> Bench {
    Bench::of(&format!(
        "format: 1\n\n[ct]\nid: T-2\nstandard: IEEE C57.13-2008\nfrequency: 60 Hz\n\n[core X]\nclass: C800\nratio: 1200:5\n\
         tap ratio/A\nX1-X2 200:5\nX2-X3 100:5\nX3-X4 500:5\nX4-X5 400:5\n\n[visit 2026-03-01]\npurpose: investigation\ninstrument: K1\n\
         {rows}"
    ))
}

/// The whole winding driven once, the sense leads moved: sections sum to what was applied.
#[test]
fn sections_under_one_driven_pair() {
    let of = |third: &str| {
        tapped(&format!(
            "[ratio X1-X5]\nmethod: voltage\non applied/V read/V\nH1-H2 120.02 0.5001\nX1-X2 120.02 20.00\nX2-X3 120.02 10.00\nX3-X4 120.02 {third}\nX4-X5 120.02 40.01\n"
        ))
    };
    // One section of the four is misread: it no longer closes.
    table("tap-sum", of, &[("50.01", "info"), ("51.01", "review")]);
    let found = of("50.01");
    assert!(found.value("tap-sum").abs() < 1e-9);
    assert!((of("51.01").value("tap-sum") - 100.0 / 120.02).abs() < 1e-6);
    let turns = found.all("turns-ratio");
    assert_eq!(turns.len(), 5);
    assert!(
        turns
            .iter()
            .all(|told| told.value().unwrap().si.abs() < 0.2)
    );
    assert_eq!(found.told("wrong-tap"), "");
}

#[test]
fn a_lead_on_another_tap_and_leads_exchanged() {
    for (first, last, told) in [
        ("500.00", "250.00", vec![]),
        (
            "250.00",
            "500.00",
            vec![
                "that of X4-X5, leads exchanged",
                "that of X1-X2, leads exchanged",
            ],
        ),
        (
            "250.00",
            "250.00",
            vec!["that of X4-X5, leads may be on another tap"],
        ),
    ] {
        let found = tapped(&format!(
            "[ratio]\nmethod: voltage\non applied/V induced/mV\nX1-X2 20.000 {first}\nX4-X5 20.000 {last}\nX1-X5 120.00 500.00\n"
        ));
        let all = found.all("wrong-tap");
        let observed: Vec<_> = all.iter().map(|told| told.observed.plain(|_| 0)).collect();
        assert_eq!(observed, told);
        let grades = found.told("wrong-tap");
        assert!(told.is_empty() || grades.split(" | ").all(|grade| grade == "review"));
    }
}

#[test]
fn whole_turns_only_where_u_tells_them_apart() {
    for (ratio, induced, told) in [
        ("200/1", "600.000", "leaves no neighbour"),
        ("8000/1", "15.000", "cannot tell"),
    ] {
        let found = volts(&format!("class: PX\nratio: {ratio} A"), induced);
        found.holds("turns-ratio", &[told]);
    }
    let between = whole_turns(200.4, 0.2).plain(|_| 0);
    assert!(between.ends_with("between two whole numbers"), "{between}");
}

/// 70 % of the knee at most (common practice, no source).
#[test]
fn a_ratio_test_near_the_knee_deserves_a_look() {
    let level = |knee: &str| {
        let core = format!("class: PX\nratio: 600/1 A\nknee emf: {knee} V");
        volts(&core, "200.000")
    };
    table(
        "volts-per-turn",
        level,
        &[("300", "no limit"), ("150", "review")],
    );
}

/// Of 5/5 A the primary reads as the driven pair does; of any other ratio that is the pair itself.
#[test]
fn a_ratio_of_one_is_read_beside_its_own_pair() {
    let of = |ratio: &str| {
        let test = "instrument: K1\n[ratio S1-S2]\nmethod: voltage\non applied/V read/V\nS1-S2 10.000 9.998";
        iec(&format!("class: 5P10\nburden: 5 VA\nratio: {ratio}"), test)
    };
    let one = of("5/5 A");
    assert!((one.value("turns-ratio") + 0.02).abs() < 1e-3);
    assert_eq!(of("100/5 A").told("turns-ratio"), "");
}

/// Each position of the primary links has a section of its own, and a ratio of its own.
#[test]
fn a_section_may_state_its_links() {
    let section = |links: &str, volts: &str| {
        format!(
            "[ratio S1-S2]\nmethod: voltage\nlinks: {links}\napplied/V induced/V\n120.000 {volts}\n"
        )
    };
    let plate = "primary links: series 300/1, parallel 600/1\n";
    let record = |first: &str, second: &str| {
        let core = "class: 5P20\nburden: 15 VA\nratio: 600/1 A";
        let visit = format!(
            "instrument: K1\n{}{}",
            section("series", first),
            section("parallel", second)
        );
        Bench::of(&text(&format!("{IEC}\n{plate}"), core, &visit))
    };
    let both = record("0.40000", "0.20000");
    assert_eq!(both.told("turns-ratio"), "no limit | no limit");
    let exchanged = record("0.20000", "0.40000");
    assert_eq!(exchanged.told("turns-ratio"), "review | review");
}

/// Both positions together are no class: in another position the primary is another winding (own reading of what a
/// class promises).
#[test]
fn what_one_position_of_the_links_lacks_no_other_one_has() {
    let at = |burden: &str, links: &str, percents: &[u32]| {
        let rows = percents.iter().map(|percent| format!("{percent} 0.1 5\n"));
        let rows: String = rows.collect();
        format!(
            "[ratio S1-S2]\nmethod: current\nlinks: {links}\nburden: {burden}\nrated/% error/% phase/arcmin\n{rows}\n"
        )
    };
    let told = |runs: [String; 2]| {
        let core = "class: 0.5\nburden: 10 VA\nratio: 600/5 A";
        let plate = format!("{IEC}\nprimary links: series 300/5, parallel 600/5\n");
        let visit = format!("instrument: K1\n{}", runs.concat());
        Bench::of(&text(&plate, core, &visit)).told("class-shown")
    };
    let burdens = ["10 VA at 0.80", "2.5 VA at 1.00"];
    let whole = told(burdens.map(|burden| at(burden, "parallel", &[5, 20, 100, 120])));
    assert_eq!(whole, "pass");
    // What one position shows whole, a point in the other one leaves so; unless it is outside.
    let also = |row: &str| {
        let mut runs = burdens.map(|burden| at(burden, "parallel", &[5, 20, 100, 120]));
        let point = at(burdens[0], "series", &[100]).replace("100 0.1 5", row);
        runs[1] += &point;
        told(runs)
    };
    assert_eq!(also("100 0.1 5"), "pass");
    assert_eq!(also("100 0.9 5"), "pass | fail");
    let apart = told(
        burdens.map(|burden| at(burden, "parallel", &[100, 120]) + &at(burden, "series", &[5, 20])),
    );
    assert!(
        apart.contains("needs 5 and 20 % at 10 VA")
            && apart.contains("needs 100 and 120 % at 10 VA"),
        "{apart}"
    );
}

/// A visit that goes on in another position takes nothing over from this one; own reading, as above.
#[test]
fn what_an_earlier_visit_took_stays_in_its_position() {
    let visit = |day: u8, links: &str, percents: [u32; 2]| {
        let of = |burden: &str| {
            let rows = percents
                .map(|percent| format!("{percent} 0.1 5\n"))
                .concat();
            format!(
                "[ratio S1-S2]\nmethod: current\nburden: {burden}\nrated/% error/% phase/arcmin\n{rows}\n"
            )
        };
        let runs = ["10 VA at 0.80", "2.5 VA at 1.00"].map(of).concat();
        format!(
            "[visit 2026-03-{day}]\npurpose: factory\nprimary links: {links}\ninstrument: K1\n\n{runs}"
        )
    };
    let told = |first: &str| {
        let core = "class: 0.5\nburden: 10 VA\nratio: 600/5 A";
        let plate = format!("{IEC}\nprimary links: series 300/5, parallel 600/5\n");
        let record = text(&plate, core, "");
        let record = record.split_once("[visit").map_or("", |(plate, _)| plate);
        let visits = visit(14, first, [5, 20]) + &visit(15, "parallel", [100, 120]);
        Bench::of(&format!("{record}{visits}")).told("class-shown")
    };
    assert_eq!(told("parallel"), "pass");
    assert!(
        told("series").contains("needs 5 and 20 % at 10 VA"),
        "{}",
        told("series")
    );
}
