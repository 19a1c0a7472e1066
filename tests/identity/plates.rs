//! Values of a plate that were typed wrongly: named where all that was read, the sisters or the plate itself say so, and
//! not where a plate only is another one.

use super::{job, named, ohms, plate, two_curves};
use kneemark::compile;
use kneemark::document::Grade;
use kneemark::ground::diagnostic::Code;
use kneemark::ground::seam::Memory;
use std::path::PathBuf;

/// How many readings of a lone unit are told as such that cannot be, and what is named.
fn odd(text: &str) -> (usize, Vec<&'static str>) {
    let job = job(&[text.to_owned()]);
    let told = job.records[0].diagnostics.iter();
    let rows = told.filter(|told| told.code == Code::ReadingImplausible);
    (rows.count(), named(&[text.to_owned()]))
}

/// All rows agree, and are far off what the plate states: no row is accused.
#[test]
fn a_plate_that_all_rows_contradict_by_one_factor() {
    let of = |ohm: &str, then: [&str; 2], now: [&str; 2]| {
        let plate = plate("T1", "50", ohm, "300");
        plate + &ohms("2025-03-14", "factory", then) + &ohms("2026-03-14", "maintenance", now)
    };
    let (then, now) = (["0.2512", "0.3102"], ["0.2511", "0.3104"]);
    assert_eq!(odd(&of("3.5", then, now)), (0, vec![]));
    assert_eq!(odd(&of("35.0", then, now)), (0, vec!["plate-value"]));
    assert_eq!(odd(&of("0.350", then, now)), (0, vec!["plate-value"]));
    // A factor that no point makes; and less than one that no winding is off by.
    assert_eq!(odd(&of("17.5", then, now)), (0, vec!["plate-value"]));
    assert_eq!(odd(&of("7.0", then, now)), (0, vec![]));
    // One visit has a point in another place: it is that row.
    let (rows, causes) = odd(&of("3.5", then, ["0.02511", "0.3104"]));
    assert_eq!((rows, causes.contains(&"plate-value")), (1, false));
    let (rows, causes) = odd(&of("35.0", then, ["2.511", "0.3104"]));
    assert_eq!((rows, causes.contains(&"plate-value")), (1, false));
    // Of one row it cannot be told whether it is the plate or the row.
    let alone = plate("T1", "50", "35.0", "300") + &ohms("2025-03-14", "factory", then);
    assert_eq!(odd(&alone), (1, vec![]));
    // Nor of all rows of a core that were read with one current, which may be the one that is wrong.
    let sections = |ohm: &str, other: &str, amps: [&str; 2]| {
        format!(
            "format: 1\n\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n\n\
             [core 1S]\nclass: PX\nknee emf: 300 V\nresistance: {ohm} ohm at 75 C\ntap ratio/A\n\
             1S1-1S2 300/1\n1S1-1S3 600/1\n\n[core 2S]\nclass: PX\nratio: 600/1 A\nknee emf: 300 V\n\
             resistance: 4.2 ohm at 75 C\n\n[visit 2026-03-14]\npurpose: maintenance\n\n[resistance]\n\
             temperature: 20 C\nwires: 4\non current/A voltage/V\n1S1-1S2 {} 0.1256\n1S1-1S3 {} 0.2512\n{other}",
            amps[0], amps[1]
        )
    };
    let (one, other) = (["0.1", "0.1"], "2S1-2S2 0.1 0.3102\n");
    assert_eq!(odd(&sections("3.5", other, one)), (0, vec![]));
    assert_eq!(odd(&sections("35.0", "", one)), (2, vec![]));
    assert_eq!(odd(&sections("35.0", other, one)), (0, vec!["plate-value"]));
}

/// A unit of three, whose readings are a little its own.
fn unit(id: &str, its_own: f64) -> String {
    let ohm = |value: f64| format!("{:.4}", value * its_own);
    let (one, whole, part) = (ohm(3.4), ohm(3.41), ohm(0.86));
    let curves =
        two_curves(its_own, 1.01 * its_own).replace("[excitation 2S1-2S2]", "[excitation 2S1-2S4]");
    format!(
        "format: 1\n\n[ct]\nid: {id}\nyear: 2025\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n\n\
         [place since 2020-01-01]\nsite: Fell\nbay: B1\n\n\
         [core 1S]\nclass: 5P20\nburden: 10 VA\nratio: 600/1 A\nresistance: 3.5 ohm at 75 C\n\n\
         [core 2S]\nclass: PX\ntap ratio/A knee/V exciting/mA resistance/ohm\n\
         2S1-2S2 150/1 75 120 0.9\n2S1-2S3 400/1 200 45 2.4\n2S1-2S4 600/1 300 30 3.6\n\n\
         [visit 2026-03-14]\npurpose: maintenance\n\n[resistance]\nwires: 4\ntemperature: 75 C\n\
         on resistance/ohm\n1S1-1S2 {one}\n2S1-2S4 {whole}\n2S1-2S2 {part}\n\n{curves}"
    )
}

fn edited(text: &str, edits: &[(&str, &str)]) -> String {
    edits.iter().fold(text.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    })
}

/// What is said of the plate of the first of some units.
fn said(units: &[String]) -> Vec<String> {
    let job = job(units);
    let one = &job.records[0];
    let findings = one.findings().filter(|one| one.rule.id == "plate-value");
    let told = findings.map(|finding| {
        let remarks = finding.remarks.iter().map(|remark| one.plain(remark));
        format!("{}; {}", one.sentence(finding), remarks.collect::<String>())
    });
    told.collect()
}

/// The same of a unit with other words on its plate, between two sisters that have the usual ones.
fn among(edits: &[(&str, &str)]) -> Vec<String> {
    let own = edited(&unit("T1", 1.0), edits);
    said(&[own, unit("T2", 1.003), unit("T3", 0.996)])
}

fn alone(edits: &[(&str, &str)]) -> Vec<String> {
    said(&[edited(&unit("T1", 1.0), edits)])
}

#[track_caller]
fn says(said: Vec<String>, what: &str) {
    assert!(said.len() == 1 && said[0].contains(what), "{said:?}");
}

/// Every reading meets a value that is too easy to meet: only the sisters tell.
#[test]
fn a_looser_value_is_named_by_the_sisters() {
    assert!(among(&[]).is_empty());
    let point = "the same digits, with the point in another place";
    for (edit, what) in [
        (
            ("class: 5P20", "class: 5P2"),
            "accuracy limit factor of 1S: 2 on this plate, 20 on those",
        ),
        (
            ("burden: 10 VA", "burden: 1.0 VA"),
            "rated burden of 1S: 1 VA on this plate, 10 VA",
        ),
        (
            ("3.5 ohm at", "35 ohm at"),
            "winding resistance of 1S: 35 ohm on this plate, 3.5 ohm",
        ),
        (
            ("600/1 300 30", "600/1 30 30"),
            "knee point e.m.f. of 2S1-2S4: 30 V on this plate, 300 V",
        ),
        (
            ("600/1 300 30", "600/1 300 300"),
            "exciting current of 2S1-2S4: 300 mA on this plate, 30 mA",
        ),
        (
            ("120 0.9", "120 9"),
            "winding resistance of 2S1-2S2: 9 ohm on this plate, 0.9 ohm",
        ),
    ] {
        let said = among(&[edit]);
        assert!(
            said.first().is_some_and(|one| one.contains(point)),
            "{said:?}"
        );
        says(said, what);
    }
    says(
        among(&[("class: 5P20", "class: 5P10")]),
        "only digit 1 is another",
    );
    says(
        among(&[("3.5 ohm at", "5.3 ohm at")]),
        "two of its digits are exchanged",
    );
    // No reading tells a pass by it, and none passes.
    let text = edited(&unit("T1", 1.0), &[("600/1 300 30", "600/1 30 30")]);
    let memory = Memory::default();
    for (name, text) in [
        ("a.ctr", text),
        ("b.ctr", unit("T2", 1.003)),
        ("c.ctr", unit("T3", 0.996)),
    ] {
        memory.put(name, text.as_str());
    }
    let job = compile(&memory, &["a.ctr", "b.ctr", "c.ctr"].map(PathBuf::from));
    let knees = job.records[0].findings();
    let knees: Vec<_> = knees.filter(|one| one.rule.id == "knee-emf").collect();
    assert!(!knees.is_empty() && knees.iter().all(|one| one.withheld.is_some()));
}

/// What is another plate is none that was typed wrongly.
#[test]
fn a_plate_that_is_another_one_is_not_accused() {
    // Of another year.
    assert!(among(&[("class: 5P20", "class: 5P10"), ("year: 2025", "year: 2024")]).is_empty());
    // More of it differs.
    assert!(
        among(&[
            ("class: 5P20", "class: 5P10"),
            ("burden: 10 VA", "burden: 15 VA")
        ])
        .is_empty()
    );
    // No one slip makes one value of the other.
    assert!(among(&[("600/1 300 30", "600/1 240 30")]).is_empty());
    // Stricter than the sisters', and met.
    assert!(among(&[("600/1 300 30", "600/1 310 30")]).is_empty());
    // It reads otherwise as well: a core of another type.
    let reads = [
        ("class: 5P20", "class: 5P10"),
        ("1S1-1S2 3.4000", "1S1-1S2 2.4000"),
    ];
    assert!(among(&reads).is_empty());
    // A digit makes a usual value of a usual one, and nothing was read.
    let own = edited(&unit("T1", 1.0), &[("class: 5P20", "class: 5P10")]);
    let (own, _) = own.split_once("[resistance]").unwrap();
    assert!(said(&[own.to_owned(), unit("T2", 1.003), unit("T3", 0.996)]).is_empty());
    // Of two plates nobody can tell which one is wrong; alone nothing tells.
    let own = edited(&unit("T1", 1.0), &[("class: 5P20", "class: 5P10")]);
    assert!(said(&[own, unit("T2", 1.003)]).is_empty());
    assert!(alone(&[("class: 5P20", "class: 5P2")]).is_empty());
}

/// One row of a table of taps that the readings do not meet.
#[test]
fn a_stricter_value_of_a_tap_is_named_where_it_is_not_met() {
    says(
        among(&[("120 0.9", "120 0.2")]),
        "winding resistance of 2S1-2S2: 0.2 ohm on this plate, 0.9 ohm",
    );
    says(
        among(&[("600/1 300 30", "600/1 800 30")]),
        "knee point e.m.f. of 2S1-2S4: 800 V on this plate, 300 V",
    );
    says(
        among(&[("600/1 300 30", "600/1 300 3")]),
        "exciting current of 2S1-2S4: 3 mA on this plate, 30 mA",
    );
}

/// Voltages and resistances of taps go with their turns, exciting currents against them.
#[test]
fn a_row_that_the_other_taps_contradict() {
    assert!(alone(&[]).is_empty());
    says(
        alone(&[("150/1 75 120", "150/1 7.5 120")]),
        "of 2S1-2S2: 7.5 V on this plate, 75 V by its other taps",
    );
    says(
        alone(&[("400/1 200 45", "400/1 200 95")]),
        "of 2S1-2S3: 95 mA on this plate, 45 mA by",
    );
    says(
        alone(&[("45 2.4", "45 24")]),
        "of 2S1-2S3: 24 ohm on this plate, 2.4 ohm by its other taps",
    );
    // More of one row: it is its ratio.
    let ratio = alone(&[("2S1-2S2 150/1", "2S1-2S2 15/1")]);
    says(
        ratio,
        "rated primary current of 2S1-2S2: 15 A on this plate, 150 A by its other taps",
    );
    // A promise for this tap that no slip makes of the others', and one that lies near.
    assert!(alone(&[("150/1 75 120", "150/1 32 120")]).is_empty());
    assert!(alone(&[("150/1 75 120", "150/1 90 120")]).is_empty());
    // Of two taps nobody can tell which one is wrong.
    let two = [
        ("2S1-2S3 400/1 200 45 2.4\n", ""),
        ("150/1 75 120", "150/1 7.5 120"),
    ];
    assert!(alone(&two).is_empty());
    // Sisters that state the same.
    let edit = [("150/1 75 120", "150/1 7.5 120")];
    let units = [("T1", 1.0), ("T2", 1.003), ("T3", 0.996)];
    let units = units.map(|(id, its_own)| edited(&unit(id, its_own), &edit));
    assert!(said(&units).is_empty());
}

/// An exciting current is stated at the knee or below it.
#[test]
fn a_knee_below_the_voltage_of_its_exciting_current() {
    let with = |knee: &str, at: &str| {
        let text = plate("T1", "50", "3.5", knee);
        let exciting = format!("class: PX\nexciting current: 30 mA at {at} V\n");
        said(&[text.replacen("class: PX\n", &exciting, 1) + "[visit 2026-03-14]\n\n"])
    };
    says(
        with("30", "300"),
        "knee point e.m.f. of 1S: 30 V on this plate, 300 V by the voltage of its exciting",
    );
    assert!(with("300", "300").is_empty());
    // At a part of the knee; and at another voltage that no point makes.
    assert!(with("300", "30").is_empty());
    assert!(with("300", "330").is_empty());
}

/// One row alone, and sisters whose plates say which of the two is wrong: the row is not accused.
#[test]
fn a_row_is_not_accused_of_a_plate_that_the_sisters_contradict() {
    let rows = |units: &[String]| {
        let memory = Memory::default();
        let paths: Vec<PathBuf> = (0..units.len())
            .map(|at| PathBuf::from(format!("{at}.ctr")))
            .collect();
        for (path, text) in paths.iter().zip(units) {
            memory.put(path.to_str().unwrap(), text.as_str());
        }
        let job = compile(&memory, &paths);
        let told = job.records[0].diagnostics.iter();
        told.filter(|told| told.code == Code::ReadingImplausible)
            .count()
    };
    let own = |ohm: &str| edited(&unit("T1", 1.0), &[("3.5 ohm at", ohm)]);
    let sisters = [unit("T2", 1.003), unit("T3", 0.996)];
    let of = |ohm: &str| rows(&[vec![own(ohm)], sisters.to_vec()].concat());
    assert_eq!(of("35 ohm at"), 0);
    assert_eq!(rows(&[own("35 ohm at")]), 1);
    // The row itself.
    let slipped = edited(&unit("T1", 1.0), &[("1S1-1S2 3.4000", "1S1-1S2 0.34")]);
    assert_eq!(rows(&[vec![slipped], sisters.to_vec()].concat()), 1);
}

/// A ratio of one tap, beside what is read of it and of the rest of the winding.
#[test]
fn a_ratio_of_one_tap() {
    let of = |row: &str, volts: [&str; 2]| {
        let row = format!("2S1-2S2 {row}");
        let text = edited(&unit("T1", 1.0), &[("2S1-2S2 150/1 75 120 0.9", &row)]);
        let [one, other] = volts;
        let rows = format!("2S1-2S2 {one} 200\n2S2-2S4 {other} 200\n");
        text + "[ratio]\nmethod: voltage\non applied/V induced/mV\n" + &rows
    };
    let sisters = [unit("T2", 1.003), unit("T3", 0.996)];
    let told =
        |row: &str, volts: [&str; 2]| said(&[vec![of(row, volts)], sisters.to_vec()].concat());
    let (usual, slipped) = ("150/1 75 120 0.9", "250/1 75 120 0.9");
    let right = ["30.02", "90.05"];
    assert!(told(usual, right).is_empty());
    let stated = "rated ratio of 2S1-2S2: 250/1 A on this plate, 150/1 A";
    says(
        told(slipped, right),
        &format!("{stated} on those of the sisters"),
    );
    says(
        said(&[of(slipped, right)]),
        &format!("{stated} by the readings"),
    );
    // Leads on another tap read as that one.
    assert!(said(&[of(usual, ["80.05", "90.05"])]).is_empty());
    // A plate that is another one, and reads as it states.
    let other = "250/1 125 72 1.5";
    assert!(told(other, ["50.03", "70.04"]).is_empty());
}

/// Of three ratios that do not add up any may be the wrong one; of more the one that is no sum of the others.
#[test]
fn a_ratio_that_is_not_the_sum_of_its_sections() {
    let of = |more: &str, whole: &str| {
        alone(&[
            (
                "2S1-2S3 400/1 200 45 2.4",
                &format!("2S1-2S3 400/1 200 45 2.4\n{more}"),
            ),
            ("2S1-2S4 600/1", &format!("2S1-2S4 {whole}")),
        ])
    };
    let sections = "2S2-2S3 250/1 - - -\n2S3-2S4 200/1 - - -\n2S2-2S4 450/1 - - -";
    assert!(of(sections, "600/1").is_empty());
    says(
        of(sections, "800/1"),
        "rated primary current of 2S1-2S4: 800 A on this plate, 600 A by the sum of its other taps; only digit 1",
    );
    let whole = of("2S3-2S4 200/1 - - -", "800/1");
    assert!(
        !whole.iter().any(|one| one.contains("the sum of")),
        "{whole:?}"
    );
}

/// A resistance that the plate has wrong says nothing of the knee: what misses that fails.
#[test]
fn a_wrong_value_withholds_only_what_rests_on_it() {
    let units = [("T1", 1.0), ("T2", 1.01), ("T3", 0.99)].map(|(id, its_own)| unit(id, its_own));
    let grades = |knee: &str| {
        let class = |text: &String| edited(text, &[("class: 5P20\nburden: 10 VA", knee)]);
        let mut units: Vec<String> = units.iter().map(class).collect();
        units[0] = edited(&units[0], &[("resistance: 3.5 ohm", "resistance: 2.5 ohm")]);
        let job = job(&units);
        let of = |rule: &str| {
            let mut all = job.records[0].findings();
            let own = all.find(|one| one.rule.id == rule && one.core == Some(0));
            own.map(kneemark::judge::finding::Finding::grade)
        };
        (of("plate-value"), of("winding-resistance"), of("knee-emf"))
    };
    let (plate, ohm) = (Some(Grade::Review), Some(Grade::Open));
    assert_eq!(
        grades("class: PX\nknee emf: 900 V"),
        (plate, ohm, Some(Grade::Fails))
    );
}
