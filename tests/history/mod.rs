//! Visit against visit: what is called a change, what is not, and where a value drifts to.

use kneemark::compare::{Change, History, Reached, history};
use kneemark::compile;
use kneemark::derive::history::By;
use kneemark::derive::outcome::Side;
use kneemark::ground::seam::Memory;
use kneemark::job::Job;
use kneemark::judge::finding::Finding;
use proptest::prelude::*;
use std::path::PathBuf;

const INSTRUMENTS: &str = "\
[[instrument]]
id = \"I1\"
what = \"insulation tester\"
calibrated = 2004-01-01
due = 2040-01-01
[[instrument.function]]
measures = \"insulation\"
from = \"0.1 Mohm\"
to = \"450 Gohm\"
of_reading = \"5 %\"
digits = 1

[[instrument]]
id = \"R1\"
what = \"bridge\"
calibrated = 2004-01-01
due = 2040-01-01
[[instrument.function]]
measures = \"resistance\"
from = \"0 ohm\"
to = \"100 ohm\"
of_reading = \"0.2 %\"
digits = 1

[[instrument]]
id = \"K1\"
what = \"comparator\"
calibrated = 2004-01-01
due = 2040-01-01
[[instrument.function]]
measures = \"ratio-error\"
from = \"-10 %\"
to = \"10 %\"
floor = \"0.01 %\"
digits = 1
[[instrument.function]]
measures = \"phase\"
from = \"-300 arcmin\"
to = \"300 arcmin\"
floor = \"0.5 arcmin\"
digits = 1
";

const CRITERIA: &str =
    "[insulation]\nprofile = \"client\"\n[insulation.client]\ncore = \"100 Mohm\"\n";

const PLATE: &str = "format: 1\n[ct]\nid: A1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nhighest voltage: 24 kV\n\
    insulation: oil and paper\nprimary turns: 1\n[core S]\nuse: metering\nclass: 0.5\nratio: 600/1 A\nburden: 10 VA\n\
    resistance: 3.4 ohm at 75 C\n";

fn insulation(read: &str) -> String {
    format!(
        "[insulation]\ninstrument: I1\ntemperature: 20 +- 1 C\nbetween  voltage/V  time/s  resistance/Gohm\n\
         S to primary and earth  1000  60  {read}\n"
    )
}

fn resistance(ohm: f64) -> String {
    format!(
        "[resistance]\ninstrument: R1\nwires: 4\ntemperature: 20 +- 1 C\non  resistance/ohm\nS1-S2  {ohm:.4}\n"
    )
}

fn errors(at_100: f64, phase: f64) -> String {
    format!(
        "[ratio S1-S2]\nmethod: current\ninstrument: K1\nburden: 10 VA at 0.80\nrated/%  error/%  phase/arcmin\n\
         20  -0.300  12.0\n100  {at_100:.3}  {phase:.1}\n"
    )
}

fn visit(head: &str, tests: &str) -> String {
    let (date, purpose) = head.split_once(' ').unwrap();
    format!("[visit {date}]\npurpose: {purpose}\nambient: 20 C\n{tests}")
}

fn job(visits: &[String], instruments: &str) -> Job {
    let memory = Memory::default();
    memory.put("a1.ctr", format!("{PLATE}{}", visits.concat()));
    memory.put("criteria.toml", CRITERIA);
    if !instruments.is_empty() {
        memory.put("instruments.toml", instruments);
    }
    let job = compile(&memory, &[PathBuf::from("a1.ctr")]);
    let errors = job.records[0]
        .diagnostics
        .iter()
        .filter(|told| told.is_error());
    let errors: Vec<_> = errors.map(|told| &told.title).collect();
    assert!(errors.is_empty(), "{errors:?}");
    job
}

/// Everything of the last visit with its history.
fn all(job: &Job) -> Vec<(&Finding, History<'_>)> {
    let ct = &job.records[0];
    let (_, criteria) = ct.setting.parts();
    let last = ct.assessment.visits.len() - 1;
    let findings = ct.assessment.visits[last].findings.iter();
    let of = |one| {
        (
            one,
            history(&ct.record, &ct.assessment, criteria, last, one),
        )
    };
    findings.map(of).collect()
}

fn of<'j>(job: &'j Job, rule: &str) -> (&'j Finding, History<'j>) {
    let mut found = all(job).into_iter();
    found.find(|(one, _)| one.rule.id == rule).unwrap()
}

fn insulations(read: &[(&str, &str)]) -> Job {
    let visits: Vec<String> = read
        .iter()
        .map(|(head, read)| visit(head, &insulation(read)))
        .collect();
    job(&visits, INSTRUMENTS)
}

fn twice(first: &str, second: &str) -> Job {
    insulations(&[
        ("2020-03-01 commissioning", first),
        ("2026-03-01 maintenance", second),
    ])
}

#[test]
fn what_is_read_twice_alike_shows_no_change() {
    let tests = insulation("12.5") + &resistance(2.7) + &errors(-0.120, 5.0);
    let visits = [
        "2020-03-01 factory",
        "2022-03-01 commissioning",
        "2026-03-01 maintenance",
    ];
    let job = job(&visits.map(|head| visit(head, &tests)), INSTRUMENTS);
    let mut compared = 0;
    for (finding, past) in all(&job) {
        for past in [&past.factory, &past.last].into_iter().flatten() {
            if let Some(change) = past.change {
                assert_eq!(change.is_shown(), Some(false), "{}", finding.rule.id);
                assert!(change.size.abs() < 1e-12 && change.u > Some(0.0));
                compared += 1;
            }
        }
        assert!(past.drift.is_none(), "{}", finding.rule.id);
    }
    // Both visits: insulation, resistance, what it is off the plate, two errors, two phases.
    assert!(compared >= 14, "{compared}");
}

#[test]
fn insulation_is_told_as_a_multiple_and_spreads_by_a_factor_of_two() {
    let job = twice("12.0", "4.0");
    let (_, past) = of(&job, "insulation-resistance");
    let change = past.last.unwrap().change.unwrap();
    assert_eq!((change.by, change.side), (By::Times, Side::Known));
    assert!((libm::exp(change.size) - 1.0 / 3.0).abs() < 1e-9);
    assert_eq!(change.is_shown(), Some(true));
    for (later, shown) in [
        ("6.5", false),
        ("23.0", false),
        ("30.0", true),
        ("1.0", true),
    ] {
        let job = twice("12.0", later);
        let change = of(&job, "insulation-resistance").1.last.unwrap().change;
        assert_eq!(change.unwrap().is_shown(), Some(shown), "{later}");
    }
}

/// What lies beyond the tester is a bound, and a change only as far as it is one.
#[test]
fn a_reading_beyond_the_tester_is_a_bound() {
    for (first, later, told) in [
        (">450", "12", Some((Side::AtMost, true))),
        (">450", "300", Some((Side::AtMost, false))),
        // It may have been anything: more than what was read before shows nothing.
        (">200", "400", Some((Side::AtMost, false))),
        ("12", ">450", Some((Side::AtLeast, true))),
        ("300", ">450", Some((Side::AtLeast, false))),
        (">450", ">450", None),
    ] {
        let job = twice(first, later);
        let past = of(&job, "insulation-resistance").1.last.unwrap();
        let found = past.change.map(|one| (one.side, one.is_shown().unwrap()));
        assert_eq!(found, told, "{first} {later}");
    }
}

#[test]
fn without_an_uncertainty_nothing_is_called_a_change() {
    let heads = [
        ("2020-03-01 commissioning", "12"),
        ("2023-03-01 maintenance", "3"),
        ("2026-03-01 maintenance", "0.5"),
    ];
    let visits = heads.map(|(head, read)| visit(head, &insulation(read)));
    let job = job(&visits, "");
    let (_, past) = of(&job, "insulation-resistance");
    let change = past.last.unwrap().change.unwrap();
    assert_eq!((change.u, change.is_shown()), (None, None));
    assert!(past.drift.is_none());
}

#[test]
fn errors_are_compared_with_the_certificate_at_equal_current_and_burden() {
    let factory = visit("2025-03-01 factory", &errors(-0.200, 5.0));
    let site = visit("2026-03-01 commissioning", &errors(-0.120, 6.0));
    let job = job(&[factory, site], INSTRUMENTS);
    let told: Vec<_> = all(&job)
        .into_iter()
        .filter_map(|(finding, past)| {
            let change = past.factory?.change?;
            (finding.conditions.len() > 1).then(|| {
                let size = (1e3 * change.size * finding.unit.per_si).round();
                (finding.rule.id, size as i32, change.is_shown())
            })
        })
        .collect();
    assert_eq!(
        told,
        [
            ("ratio-error", 0, Some(false)),
            ("phase-displacement", 0, Some(false)),
            ("ratio-error", 80, Some(true)),
            ("phase-displacement", 1000, Some(true)),
        ]
    );
}

const FALLING: [(&str, &str); 3] = [
    ("2018-01-01 commissioning", "12.0"),
    ("2022-01-01 maintenance", "3.4"),
    ("2026-01-01 maintenance", "1.0"),
];

#[test]
fn three_occasions_show_a_drift_and_when_it_meets_the_limit() {
    let job = insulations(&FALLING);
    let (_, past) = of(&job, "insulation-resistance");
    let drift = past.drift.unwrap();
    // 12 to 1 in eight years, at equal weights: the middle reading moves nothing.
    assert!(
        (drift.line.slope + libm::log(12.0) / 8.0).abs() < 1e-3,
        "{}",
        drift.line.slope
    );
    assert_eq!(
        drift.readings.iter().map(|one| one.0).collect::<Vec<_>>(),
        [0, 1, 2]
    );
    // From 3.44 Gohm in 2022 to 0.1 Gohm: 11.4 years.
    let Reached { year, from, to } = drift.limit.unwrap();
    assert_eq!(year, 2033);
    assert!(from < year && year < to, "{from} {to}");
    // The same from the middle of the line, as fast and as slow as its uncertainty lets it be.
    let middle = (12.0f64 * 3.4 * 1.0).ln() / 3.0;
    let reaches = |slope: f64| 2022.0 + (0.1f64.ln() - middle) / slope;
    let (slope, u) = (drift.line.slope, drift.u);
    for (year, slope) in [(from, slope - u), (to, slope + u)] {
        let expected = reaches(slope);
        assert!(
            (f64::from(year) + 0.5 - expected).abs() < 0.8,
            "{year} {expected}"
        );
    }
}

#[test]
fn a_repeat_of_one_occasion_is_no_third_reading() {
    let [first, second, _] = FALLING;
    let job = insulations(&[first, second, ("2022-01-10 maintenance", "1.2")]);
    assert!(of(&job, "insulation-resistance").1.drift.is_none());
    let [first, second, third] = FALLING;
    let job = insulations(&[first, second, ("2022-01-10 maintenance", "3.0"), third]);
    let drift = of(&job, "insulation-resistance").1.drift.unwrap();
    assert_eq!(
        drift.readings.iter().map(|one| one.0).collect::<Vec<_>>(),
        [0, 2, 3]
    );
}

#[test]
fn no_line_is_told_that_is_flat_crooked_or_cut_off() {
    let drift = |read: [&str; 3]| {
        let heads = FALLING.map(|(head, _)| head);
        let read: Vec<_> = heads.into_iter().zip(read).collect();
        of(&insulations(&read), "insulation-resistance").1.drift
    };
    assert!(drift(["12.0", "3.4", "1.0"]).is_some());
    assert!(
        drift(["12.0", "9.0", "7.0"]).is_none(),
        "within its uncertainty"
    );
    assert!(drift(["12.0", "0.2", "1.0"]).is_none(), "far off a line");
    assert!(drift([">450", "3.4", "1.0"]).is_none(), "beyond the tester");
    let slow = drift(["300", "80", "25"]).unwrap();
    assert_eq!(slow.limit.map(|one| one.year), Some(2043), "{slow:?}");
    let rising = drift(["1.0", "3.4", "12.0"]).unwrap();
    assert!(rising.limit.is_none(), "away from its limit");
}

/// A certificate that does not say by what it was read takes nothing from the visits behind it.
#[test]
fn a_reading_without_an_uncertainty_is_left_out_of_the_line() {
    let bare = insulation("900").replace("instrument: I1\n", "");
    let mut visits = vec![visit("2015-01-01 factory", &bare)];
    visits.extend(FALLING.map(|(head, read)| visit(head, &insulation(read))));
    let all = job(&visits, INSTRUMENTS);
    let drift = of(&all, "insulation-resistance").1.drift.unwrap();
    let visits: Vec<usize> = drift.readings.iter().map(|one| one.0).collect();
    assert_eq!(visits, [1, 2, 3]);
}

#[test]
fn a_resistance_that_rises_is_told_in_ohm_a_year() {
    let read = [2.70, 2.725, 2.75];
    let heads = FALLING.map(|(head, _)| head);
    let visits: Vec<String> = heads
        .iter()
        .zip(read)
        .map(|(head, ohm)| visit(head, &resistance(ohm)))
        .collect();
    let job = job(&visits, INSTRUMENTS);
    let drift = of(&job, "winding-resistance").1.drift.unwrap();
    // 0.05 ohm at 20 °C in eight years, at 75 °C by 309.5/254.5 more.
    assert_eq!(drift.by, By::Percent);
    assert!(
        (drift.line.slope - 0.05 / 8.0 * 309.5 / 254.5).abs() < 2e-4,
        "{}",
        drift.line.slope
    );
    assert!(drift.limit.is_none());
    let steady = heads.iter().map(|head| visit(head, &resistance(2.70)));
    let steady = self::job(&steady.collect::<Vec<_>>(), INSTRUMENTS);
    assert!(of(&steady, "winding-resistance").1.drift.is_none());
}

/// Of copper and of insulation only what stands at one temperature can be compared.
#[test]
fn what_stands_at_no_known_temperature_is_not_compared() {
    let tests = insulation("12.5") + &resistance(2.7);
    let tests = tests.replace("temperature: 20 +- 1 C\n", "");
    let heads = ["2020-03-01 commissioning", "2026-03-01 maintenance"];
    let visits = heads.map(|head| visit(head, &tests).replace("ambient: 20 C\n", ""));
    let bare = job(&visits, INSTRUMENTS);
    for rule in ["insulation-resistance", "winding-resistance"] {
        let (_, past) = of(&bare, rule);
        let last = past.last.expect("read at both visits");
        assert!(last.change.is_none(), "{rule}");
    }
}

/// What is in doubt at one of two visits is compared with nothing.
#[test]
fn what_is_in_doubt_is_not_compared() {
    let steady = errors(-0.120, 5.0);
    let doubtful = steady.clone() + "the lights went out\n";
    let heads = ["2020-03-01 commissioning", "2026-03-01 maintenance"];
    let change = |tests: [&str; 2]| {
        let memory = Memory::default();
        let visits = heads
            .iter()
            .zip(tests)
            .map(|(head, tests)| visit(head, tests));
        memory.put("a1.ctr", format!("{PLATE}{}", visits.collect::<String>()));
        memory.put("instruments.toml", INSTRUMENTS);
        let job = compile(&memory, &[PathBuf::from("a1.ctr")]);
        let (_, past) = of(&job, "ratio-error");
        past.last.and_then(|last| last.change).is_some()
    };
    assert!(change([&steady, &steady]));
    assert!(!change([&doubtful, &steady]));
    assert!(!change([&steady, &doubtful]));
}

#[test]
fn a_limit_beyond_thirty_years_is_not_told() {
    let read = [
        ("2006-01-01 commissioning", "440"),
        ("2016-01-01 maintenance", "190"),
        ("2026-01-01 maintenance", "80"),
    ];
    let drift = of(&insulations(&read), "insulation-resistance")
        .1
        .drift
        .unwrap();
    assert!(drift.limit.is_none(), "{drift:?}");
}

#[test]
fn the_page_says_no_change_shown_and_never_unchanged() {
    let page = |job: &Job| {
        let subject = kneemark::report::Subject::of(&job.records[0], Vec::new());
        let templates = kneemark::document::Templates::built_in();
        kneemark::report::ct(&subject, &Default::default(), &templates)
            .unwrap()
            .markdown
    };
    let tests = insulation("12.5") + &resistance(2.7) + &errors(-0.120, 5.0);
    let heads = ["2020-03-01 factory", "2026-03-01 maintenance"];
    let told = page(&job(&heads.map(|head| visit(head, &tests)), INSTRUMENTS));
    assert!(told.contains("no change shown (within × 2"), "{told}");
    assert!(!told.contains("Chart: S: insulation"), "{told}");
    assert!(
        !told.contains("unchanged") && !told.contains("| 0.0 %"),
        "{told}"
    );
    let told = page(&insulations(&FALLING));
    assert!(told.contains("## Drift over the visits"));
    assert!(told.contains("three readings show no law"));
    assert!(told.contains("Chart: S: insulation resistance"), "{told}");
    let bare = heads.map(|head| visit(head, &insulation("12.5")));
    let told = page(&job(&bare, ""));
    assert!(
        told.contains("U not known") && !told.contains("no change shown"),
        "{told}"
    );
}

#[test]
fn json_tells_the_same() {
    let told: serde_json::Value =
        serde_json::from_str(&kneemark::emit::json::document(&insulations(&FALLING))).unwrap();
    let findings = told["records"][0]["findings"].as_array().unwrap();
    let of = |visit: &str| {
        let own = |one: &&serde_json::Value| {
            one["rule"] == "insulation-resistance" && one["visit"] == visit
        };
        findings.iter().find(own).unwrap()
    };
    assert!(of("2018-01-01").get("changes").is_none());
    let last = of("2026-01-01");
    let change = &last["changes"][0];
    assert_eq!(change["since"], "2022-01-01");
    assert_eq!(change["by"], "times");
    assert_eq!(change["shown"], true);
    let number = |of: &serde_json::Value| of.as_f64().unwrap();
    assert!((number(&change["value"]) - 1.0 / 3.4).abs() < 1e-9);
    // The ends of a multiple lie as far from it by multiples.
    let spread = number(&change["upper"]) / number(&change["value"]);
    assert!((number(&change["value"]) / number(&change["lower"]) / spread - 1.0).abs() < 1e-9);
    assert!(spread > 2.0);
    assert_eq!(last["drift"]["limit"]["year"], 2033);
    assert_eq!(last["drift"]["visits"].as_array().unwrap().len(), 3);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(24) })]
    /// A change in per cent and a multiple are the same of all values at once a few times as large.
    #[test]
    fn a_change_does_not_follow_the_scale(first in 0.9..1.4f64, later in 0.9..1.4f64, scale in 1.0..3f64) {
        let told = |scale: f64| {
            let heads = [("2020-03-01 commissioning", first), ("2026-03-01 maintenance", later)];
            let visits = heads.map(|(head, ohm): (_, f64)| {
                let ohm = scale * ohm;
                // A resistance that moves far is in doubt, and no change is told of it.
                let near = scale * (1.0 + 0.01 * (ohm / scale - 1.0));
                visit(head, &(insulation(&format!("{ohm:.9}")) + &resistance(near)))
            });
            let job = job(&visits, INSTRUMENTS);
            ["insulation-resistance", "winding-resistance"].map(|rule| {
                let change = of(&job, rule).1.last.unwrap().change.unwrap();
                (change.size, change.u.unwrap())
            })
        };
        for (one, other) in told(1.0).into_iter().zip(told(scale)) {
            // Four decimals of the resistance are kept.
            prop_assert!((one.0 - other.0).abs() < 0.05, "{one:?} {other:?}");
            prop_assert!((one.1 / other.1 - 1.0).abs() < 0.05, "{one:?} {other:?}");
        }
    }
}

/// What is no more than its uncertainty is no change.
#[test]
fn a_change_is_more_than_its_uncertainty() {
    let shown = |side: Side, size: f64| {
        let (by, u) = (By::Difference, Some(2.0));
        Change { by, side, size, u }.is_shown()
    };
    for (side, size, is_shown) in [
        (Side::Known, 2.0, false),
        (Side::Known, -2.0, false),
        (Side::Known, 2.1, true),
        (Side::Known, -2.1, true),
        (Side::AtLeast, 2.0, false),
        (Side::AtLeast, 2.1, true),
        (Side::AtLeast, -3.0, false),
        (Side::AtMost, -2.0, false),
        (Side::AtMost, -2.1, true),
        (Side::AtMost, 3.0, false),
    ] {
        assert_eq!(shown(side, size), Some(is_shown), "{side:?} {size}");
    }
}

/// An error may leave its class on either side; it is held against the side that it goes to.
#[test]
fn an_error_drifts_to_the_limit_of_its_own_side() {
    let heads = FALLING.map(|(head, _)| head);
    let target = |read: [f64; 3]| {
        let visits = heads.iter().zip(read);
        let visits: Vec<String> = visits
            .map(|(head, error)| visit(head, &errors(error, 5.0)))
            .collect();
        let job = job(&visits, INSTRUMENTS);
        let mut drifts = all(&job)
            .into_iter()
            .filter(|(one, _)| one.rule.id == "ratio-error");
        drifts
            .find_map(|(_, past)| past.drift)
            .and_then(|drift| drift.target)
    };
    assert_eq!(target([-0.1, -0.2, -0.3]), Some(-0.5));
    assert_eq!(target([0.1, 0.2, 0.3]), Some(0.5));
    assert_eq!(target([-0.3, -0.2, -0.1]), Some(0.5));
}

#[test]
fn a_day_is_a_part_of_its_year() {
    let years = |day: &str| kneemark::compare::in_years(kneemark::ground::date::read(day).unwrap());
    assert!((years("2022-01-01") - 2022.0).abs() < 0.005);
    assert!((years("2022-07-02") - 2022.5).abs() < 0.005);
    assert!(years("2023-01-01") > years("2022-12-31"));
}
