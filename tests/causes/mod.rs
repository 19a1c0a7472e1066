//! Where causes are said: one message each with what they explain under it, the data, the sheet; and what rests on
//! them.

mod curves;
mod edits;

use kneemark::cli::check::{Format, text};
use kneemark::cli::draw::Style;
use kneemark::compile;
use kneemark::document::Grade;
use kneemark::emit::json;
use kneemark::ground::seam::Memory;
use kneemark::job::Job;
use kneemark::report::worksheet::{Options, Subject, worksheet};
use std::path::PathBuf;

/// A job of some records, which stand in one folder.
fn job(records: &[&str], criteria: &str) -> Job {
    let memory = Memory::default();
    memory.put("criteria.toml", criteria);
    let mut paths = Vec::new();
    for (place, record) in records.iter().enumerate() {
        let name = format!("t{place}.ctr");
        memory.put(name.as_str(), *record);
        paths.push(PathBuf::from(name));
    }
    compile(&memory, &paths)
}

/// The smallest record of a rule.
fn of_rule(id: &str) -> String {
    let path = format!("{}/tests/rules/{id}.ctr", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(path).expect("a record")
}

#[test]
fn what_a_cause_explains_stands_under_it_for_people_and_by_itself_for_programs() {
    let job = job(&[&of_rule("short-left-on")], "");
    let all = ["short-left-on", "curve-above-reference"];
    let told = |format| {
        let told = text(&job, format, false, Style::Plain);
        all.map(|id| told.contains(&format!("[{id}]")) || told.contains(&format!(" {id}: ")))
    };
    assert_eq!(told(Format::Human), [true, false]);
    assert_eq!(told(Format::Short), [true, true]);
    let human = text(&job, Format::Human, false, Style::Plain);
    for words in [
        "for: curve of S1-S3",
        "as likely: burden left connected",
        "decides: ",
        "explains: ",
    ] {
        assert!(human.contains(words), "{words}\n{human}");
    }
}

#[test]
fn causes_are_data() {
    let job = job(&[&of_rule("short-left-on")], "");
    let data: serde_json::Value = serde_json::from_str(&json::document(&job)).expect("JSON");
    let cause = &data["records"][0]["causes"][0];
    assert_eq!(cause["cause"], "short-left-on");
    assert_eq!(cause["rank"], 1);
    assert_eq!(
        (&cause["core"], &cause["pair"]),
        (&"S".into(), &"S1-S3".into())
    );
    assert_eq!(cause["next"], "burden-left-on");
    let odds = cause["odds"].as_f64().expect("odds");
    assert!((1.0..3.0).contains(&odds), "{odds}");
    assert_eq!(cause["explains"][0], "curve-above-reference");
    assert_eq!(cause["for"].as_array().expect("a list").len(), 1);
    assert!(
        cause["decide"]
            .as_str()
            .expect("words")
            .contains("links of S1-S2")
    );
    assert_eq!(cause["stands"], true);
}

#[test]
fn a_sheet_asks_for_the_readings_that_decide() {
    let sheet = |record: &str| {
        let job = job(&[record], "");
        let one = &job.records[0];
        let subject = Subject {
            record: &one.record,
            criteria: &one.setting.criteria,
            instruments: None,
            assessment: &one.assessment,
            errors: 0,
        };
        worksheet(&[subject], &Options::default())
            .expect("a sheet")
            .markdown
    };
    let suspected = sheet(&of_rule("voltmeter-sense"));
    for words in [
        "## Before you leave",
        "what the voltmeter senses",
        "senses the mean",
    ] {
        assert!(suspected.contains(words), "{words}\n{suspected}");
    }
    assert!(!sheet(&of_rule("knee-iec")).contains("Before you leave"));
}

const VOLTS: [f64; 13] = [
    20.0, 31.0, 47.0, 70.0, 105.0, 150.0, 210.0, 280.0, 340.0, 370.0, 395.0, 420.0, 440.0,
];
const MILLIAMPERES: [f64; 13] = [
    0.7369, 1.002, 1.34, 1.771, 2.353, 3.02, 3.822, 4.677, 5.523, 6.761, 10.5, 23.76, 55.26,
];

fn curve(core: &str, times: f64) -> String {
    let rows = VOLTS.iter().zip(MILLIAMPERES);
    let rows: String = rows
        .map(|(v, i)| format!("{:.4} {i}\n", times * v))
        .collect();
    format!("[excitation {core}1-{core}2]\nvoltmeter: mean\nvoltage/V current/mA\n{rows}\n")
}

/// A core that misses its knee does not get it by the scale of a voltmeter that was found out, nor does the other.
#[test]
fn a_cause_of_all_curves_withholds_what_rests_on_each() {
    let core = |name: &str| {
        format!(
            "[core {name}]\nclass: PX\nratio: 600/1 A\nknee emf: 450 V\nresistance: 3.5 ohm at 75 C\n\
             marks: {name}1 {name}2\n\n"
        )
    };
    let curves = |times: f64| curve("A", times) + &curve("B", times);
    let record = |times: f64| {
        format!(
            "format: 1\n\n[ct]\nid: T\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n\n{}{}\
             [visit 2025-03-14]\npurpose: factory\n\n{}[visit 2026-03-14]\npurpose: maintenance\n\n{}",
            core("A"),
            core("B"),
            curves(1.0),
            curves(times)
        )
    };
    let knees = |times: f64| {
        let job = job(&[&record(times)], "");
        let one = &job.records[0];
        let last = one.assessment.visits.last().expect("a visit");
        let of = |rule: &str| {
            let all = last.findings.iter().filter(|one| one.rule.id == rule);
            all.map(kneemark::judge::finding::Finding::grade)
                .collect::<Vec<_>>()
        };
        (of("voltmeter-scale"), of("knee-emf"))
    };
    assert_eq!(knees(1.0), (vec![], vec![Grade::Fails; 2]));
    assert_eq!(
        knees(std::f64::consts::SQRT_2),
        (vec![Grade::Review], vec![Grade::Open; 2])
    );
}

#[test]
fn units_of_two_makers_are_not_held_against_each_other() {
    let unit = |id: &str, maker: &str, ohm: &str| {
        format!(
            "format: 1\n\n[ct]\nid: {id}\nmaker: {maker}\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n\
             primary turns: 1\n\n[place since 2020-01-01]\nsite: Fell\nbay: B1\n\n\
             [core S]\nclass: PX\nratio: 600/1 A\nmarks: S1 S2\n\n[visit 2026-03-14]\npurpose: maintenance\n\n\
             [resistance]\nwires: 4\ntemperature: 75 C\non resistance/ohm\nS1-S2 {ohm}\n"
        )
    };
    let told = |maker: &str| {
        let all = [
            unit("T1", "Trask Coil", "3.412"),
            unit("T2", maker, "4.208"),
        ];
        let all: Vec<&str> = all.iter().map(String::as_str).collect();
        let job = job(&all, "[resistance]\nphases = \"5 %\"\n");
        let mut found = job.records[0].findings();
        found.any(|one| one.rule.id == "winding-resistance-phases")
    };
    assert!(told("Trask Coil"));
    assert!(!told("Fenwold Works"));
}

/// Three cores with the most that their windings may have at 75 °C, as the works read them and as they read now, ohm.
fn of_three(most: [f64; 3], [then, now]: [[f64; 3]; 2]) -> String {
    let cores = ["A", "B", "C"].iter().zip(most).map(|(name, most)| {
        format!(
            "[core {name}]\nclass: PX\nratio: 600/1 A\nknee emf: 450 V\nresistance: {most} ohm at 75 C\n\n"
        )
    });
    let cores: String = cores.collect();
    let read = |ohms: [f64; 3]| {
        let rows = ["A1-A2", "B1-B2", "C1-C2"].iter().zip(ohms);
        let rows: String = rows
            .map(|(pair, ohm)| format!("{pair} {ohm:.4}\n"))
            .collect();
        format!("[resistance]\nwires: 4\ntemperature: 20.0 C\non resistance/ohm\n{rows}\n")
    };
    format!(
        "format: 1\n\n[ct]\nid: T\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n\n{cores}\
         [visit 2025-03-14]\npurpose: factory\n\n{}[visit 2026-03-14]\npurpose: maintenance\n\n{}",
        read(then),
        read(now)
    )
}

/// Values that were at 75 °C already explain failures of two cores, and not that of one which is higher still.
#[test]
fn a_failure_that_its_cause_does_not_explain_stands() {
    let record = of_three([3.5; 3], [[2.8, 2.81, 2.79], [3.405, 3.417, 4.7]]);
    let job = job(&[&record], "");
    let one = &job.records[0];
    let last = one.assessment.visits.last().expect("a visit");
    let named = last.findings.iter().filter(|one| one.because.is_some());
    let named: Vec<&str> = named.map(|one| one.rule.id).collect();
    assert_eq!(named.first(), Some(&"already-at-75"), "{named:?}");
    let by_it = |one: &&kneemark::judge::finding::Finding| {
        let withheld = one.withheld.as_ref();
        one.rule.id == "winding-resistance"
            && withheld.is_some_and(|(_, by)| by.id == "already-at-75")
    };
    let withheld = last.findings.iter().filter(by_it);
    assert_eq!(
        withheld.map(|one| one.core).collect::<Vec<_>>(),
        [Some(0), Some(1)]
    );
}

/// On the page what a cause explains stands in its table, and nowhere else in the lists.
#[test]
fn a_report_lists_what_a_cause_explains_under_it() {
    let job = job(&[&of_rule("short-left-on")], "");
    let page = crate::report::short(&job, &job.records[0]).markdown;
    let told = "exciting current against the curve of";
    let lines: Vec<&str> = page.lines().filter(|line| line.contains(told)).collect();
    let listed = lines.iter().filter(|line| line.starts_with("- "));
    assert_eq!(listed.count(), 0, "{lines:#?}");
    assert!(
        lines.iter().any(|line| line.starts_with("| explains |")),
        "{lines:#?}"
    );
    assert!(
        page.contains("| as likely | burden left connected |"),
        "{page}"
    );
}

/// A unit of another type, and a core of another class, are not held against the unit; its page says why.
#[test]
fn a_report_says_which_units_of_its_bay_it_is_not_held_against() {
    let record = |id: &str, kind: &str, class: &str| {
        let plate = format!(
            "format: 1\n\n[ct]\nid: {id}\ntype: {kind}\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nsite: Here\nbay: B1\n\
             phase: {id}\n\n\
             [core A]\nclass: {class}\nratio: 600/1 A\nburden: 10 VA\n\n"
        );
        plate
            + "[visit 2026-03-14]\npurpose: maintenance\n\n[resistance]\nwires: 4\ntemperature: 20.0 C\n\
               on resistance/ohm\nA1-A2 2.800\n"
    };
    let page = |records: &[&str]| {
        let job = job(records, "");
        crate::report::short(&job, &job.records[0]).markdown
    };
    let own = record("L1", "T1", "5P20");
    let like = record("L2", "T1", "5P20");
    assert!(!page(&[&own, &like]).contains("Not compared"));
    let apart = page(&[
        &own,
        &record("L2", "T9", "5P20"),
        &record("L3", "T1", "10P20"),
    ]);
    let told = "Not compared: L2 (another type), A of L3 (another class)";
    assert!(apart.contains(told), "{apart}");
}

/// One record that is asked for is judged among the others of its folder, and nothing is told of these.
#[test]
fn a_record_alone_knows_its_sisters() {
    let unit = |id: &str, megohm: f64| {
        format!(
            "format: 1\n\n[ct]\nid: {id}\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nsite: Here\nbay: B1\n\
             phase: {id}\n\n\
             [core A]\nclass: 5P20\nratio: 600/1 A\nburden: 10 VA\n\n[core B]\nclass: 5P20\nratio: 600/1 A\n\
             burden: 10 VA\n\n[visit 2026-03-14]\npurpose: maintenance\n\n[insulation]\ntemperature: 20.0 C\n\
             between voltage/V time/s resistance/Gohm\nA to primary, cores and earth 1000 60 {megohm}\n\
             B to primary, cores and earth 1000 60 19.0\n"
        )
    };
    let memory = Memory::default();
    for (name, gigohm) in [("L1", 0.4), ("L2", 21.0), ("L3", 18.0)] {
        memory.put(format!("bay/{name}.ctr"), unit(name, gigohm));
    }
    memory.put("bay/other.ctr", "format: 1\n\n[ct\n");
    // A copy is no sister.
    memory.put("bay/copy.ctr", unit("L2", 21.0));
    let asked = |path: &str| {
        let survey = kneemark::job::Survey::among(&memory, &[PathBuf::from(path)]);
        let job = survey.job();
        assert!(job.others.is_empty());
        let ids = job.records.iter().map(|one| one.record.plate.id_text());
        let ids: Vec<String> = ids.map(str::to_owned).collect();
        let causes = job
            .records
            .iter()
            .flat_map(kneemark::job::Compiled::findings);
        let causes = causes.filter(|one| one.because.is_some()).count();
        (ids, causes)
    };
    assert_eq!(asked("bay/L1.ctr"), (vec!["L1".to_owned()], 1));
    assert_eq!(asked("bay/L2.ctr"), (vec!["L2".to_owned()], 0));
    // In a job the folders beside its own count, without one they do not.
    memory.put("next/L4.ctr", unit("L4", 0.3));
    assert_eq!(asked("next/L4.ctr"), (vec!["L4".to_owned()], 0));
    memory.put("pack.toml", "");
    assert_eq!(asked("next/L4.ctr"), (vec!["L4".to_owned()], 1));
}

/// A curve of one visit, with some of its rows written otherwise.
fn told_of_rows(rows: impl Fn(usize, String, String) -> String) -> Vec<String> {
    let all = VOLTS.iter().zip(MILLIAMPERES).enumerate();
    let all: String = all
        .map(|(at, (v, i))| rows(at, v.to_string(), i.to_string()) + "\n")
        .collect();
    let record = format!(
        "format: 1\n\n[ct]\nid: T\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n\n\
         [core A]\nclass: PX\nratio: 600/1 A\nknee emf: 300 V\nresistance: 3.5 ohm at 75 C\nmarks: A1 A2\n\n\
         [visit 2026-03-14]\npurpose: maintenance\n\n[excitation A1-A2]\nvoltmeter: mean\nvoltage/V current/mA\n{all}"
    );
    let job = job(&[&record], "");
    let one = &job.records[0];
    let slips = one.findings().filter(|one| one.rule.id == "curve-slip");
    let told = one.diagnostics.iter().filter(|told| told.is_error());
    let told = told.map(|told| told.label.clone());
    slips.map(|slip| one.sentence(slip)).chain(told).collect()
}

#[test]
fn the_reading_of_a_curve_that_was_typed_wrong_is_named_by_its_neighbours() {
    let at = |odd: usize, typed: &'static str| {
        told_of_rows(move |at, v, i| {
            if at == odd {
                typed.to_owned()
            } else {
                format!("{v} {i}")
            }
        })
    };
    assert!(at(20, "").is_empty());
    // A decimal point is told where it stands.
    let told = at(5, "150 30.2");
    assert!(told.concat().contains("3.02"), "{told:?}");
    let told = at(7, "820 4.677");
    assert!(told.concat().contains("280"), "{told:?}");
    let told = at(6, "210 8.322");
    assert!(told.concat().contains("two digits exchanged"), "{told:?}");
    // A reading that steps back by what a hand on the knob does is none.
    assert!(at(6, "210 2.98").is_empty());
}

/// A whole table with a column in another unit, or with its columns exchanged, beside the certificate.
#[test]
fn a_column_of_a_curve_that_was_typed_wrong_is_named_by_the_certificate() {
    let told = |typed: fn(f64, f64) -> (f64, f64)| {
        let rows = |typed: fn(f64, f64) -> (f64, f64)| -> String {
            let rows = VOLTS.iter().zip(MILLIAMPERES).map(|(v, i)| typed(*v, i));
            rows.map(|(v, i)| format!("{v} {i}\n")).collect()
        };
        let head = "[excitation A1-A2]\nvoltmeter: mean\nvoltage/V current/mA\n";
        let record = format!(
            "format: 1\n\n[ct]\nid: T\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n\n\
             [core A]\nclass: PX\nratio: 600/1 A\nmarks: A1 A2\n\n\
             [visit 2025-03-14]\npurpose: factory\n\n{head}{}\n\
             [visit 2026-03-14]\npurpose: maintenance\n\n{head}{}",
            rows(|v, i| (v, i)),
            rows(typed)
        );
        let job = job(&[&record], "");
        let one = &job.records[0];
        let all = one.findings().filter(|one| one.rule.id == "curve-slip");
        all.map(|slip| one.sentence(slip)).collect::<String>()
    };
    assert!(told(|v, i| (v, i)).is_empty());
    assert!(told(|v, i| (i, v)).contains("column in all rows"));
    assert!(told(|v, i| (v / 1000.0, i)).contains("unit of all voltages: 1000 times"));
    // Twice the voltage is no slip of the pen.
    assert!(told(|v, i| (2.0 * v, i)).is_empty());
}

/// What the job asks of the phases stands under the batch of wire that explains it: for review while it may be a
/// temperature, and no trouble where the unit was the same before.
#[test]
fn another_batch_of_wire_is_told_once_or_not_at_all() {
    let beside = |name: &str| of_rule(&format!("beside/another-batch/{name}"));
    let (second, third) = (beside("l2"), beside("l3"));
    let told = |own: &str| {
        let job = job(&[own, &second, &third], "[resistance]\nphases = \"5 %\"\n");
        let told = text(&job, Format::Human, false, Style::Plain);
        ["another-batch", "winding-resistance-phases"].map(|id| told.contains(&format!("[{id}]")))
    };
    let own = of_rule("another-batch");
    assert_eq!(told(&own), [true, false]);
    let (plate, today) = own.split_once("[visit").expect("a visit");
    let known = format!(
        "{plate}[visit 2025-03-14]\npurpose: factory\n{}\n[visit{today}",
        {
            let (_, readings) = today.split_once('\n').expect("a line");
            readings
        }
    );
    assert_eq!(told(&known), [false, false]);
}

/// Grades of the findings of a rule at the last visit, by core.
fn grades(record: &str, rule: &str) -> Vec<(Option<usize>, Grade)> {
    let job = job(&[record], "");
    let last = job.records[0].assessment.visits.last().expect("a visit");
    let of_rule = last.findings.iter().filter(|one| one.rule.id == rule);
    of_rule.map(|one| (one.core, one.grade())).collect()
}

/// Leads of 80 mohm explain 2 % of a winding, and not that another one is 7 % beyond its limit.
#[test]
fn a_cause_withholds_no_more_than_its_size() {
    let sound = [1.2, 2.8, 3.9];
    let read = sound.map(|ohm| ohm + 0.08);
    let record = |second: f64| of_three([1.5, second, 5.0], [sound, read]);
    // 2.88 ohm at 20 °C are 3.503 ohm at 75 °C; without the leads 3.405 ohm.
    for (most, grade) in [(3.45, Grade::Open), (3.2, Grade::Fails)] {
        let told = grades(&record(most), "winding-resistance");
        assert_eq!(told[1], (Some(1), grade), "{told:?}");
        assert_eq!((told[0].1, told[2].1), (Grade::Open, Grade::Open));
    }
}

/// A table that is that of a sister is no reading of the unit, whatever it holds.
#[test]
fn a_copied_insulation_table_passes_nothing() {
    let unit = |id: &str, rows: [f64; 4]| {
        let groups = [
            "primary to cores and earth",
            "A to primary, cores and earth",
            "B to primary, cores and earth",
            "C to primary, cores and earth",
        ];
        let rows: String = groups
            .iter()
            .zip(rows)
            .map(|(group, gigohm)| format!("{group} | 1000 | 60 | {gigohm}\n"))
            .collect();
        let cores: String = ["A", "B", "C"]
            .map(|name| format!("[core {name}]\nclass: 5P20\nratio: 600/1 A\nburden: 10 VA\n\n"))
            .concat();
        format!(
            "format: 1\n\n[ct]\nid: {id}\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nsite: Here\nbay: B1\n\
             phase: {id}\n\n{cores}\
             [visit 2026-03-14]\npurpose: maintenance\n\n[insulation]\ntemperature: 20.0 C\n\
             between | voltage/V | time/s | resistance/Gohm\n{rows}"
        )
    };
    let criteria = "[insulation]\nprofile = \"client\"\n[insulation.client]\ncore = \"100 Mohm\"\nprimary = \"100 Mohm\"\n";
    let passes = |second: [f64; 4]| {
        let own = unit("L1", [38.47, 18.93, 21.64, 17.28]);
        let job = job(&[&own, &unit("L2", second)], criteria);
        let last = job.records[0].assessment.visits.last().expect("a visit");
        let all = last.findings.iter();
        let all = all.filter(|one| one.rule.id == "insulation-resistance");
        all.filter(|one| one.grade() == Grade::Pass).count()
    };
    assert_eq!(passes([40.12, 19.71, 20.88, 18.06]), 4);
    assert_eq!(passes([38.47, 18.93, 21.64, 17.28]), 0);
}

/// One record of a job is a whole document, wherever it stands in it.
#[test]
fn records_of_a_job_are_one_document_each() {
    let mut list = json::List::default();
    let told = ["a", "", "b"].map(|text| list.next(text.to_owned()));
    assert_eq!(told.concat(), "a,b");
}

/// A temperature far from that of the air and of the sisters explains what a batch of wire would as well; a winding that
/// is warm, and reads as one that is, is none.
#[test]
fn a_temperature_is_held_against_the_air_and_the_sisters() {
    let unit = |id: &str, day: &str, celsius: f64, times: f64| {
        format!(
            "format: 1\n\n[ct]\nid: {id}\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nsite: Here\nbay: B1\n\
             phase: {id}\n\n[core A]\nclass: 5P20\nratio: 600/1 A\nburden: 10 VA\n\n[core B]\nclass: 5P20\n\
             ratio: 600/1 A\nburden: 10 VA\n\n[visit {day}]\npurpose: maintenance\nambient: 10.5 C\n\n\
             [resistance]\nwires: 4\ntemperature: {celsius} C\non resistance/ohm\nA1-A2 {:.4}\nB1-B2 {:.4}\n",
            times * 2.8,
            times * 4.1
        )
    };
    let named_beside = |day: &str, celsius: f64, times: f64| {
        let records = [
            unit("L1", "2026-03-14", celsius, times),
            unit("L2", day, 10.5, 1.004),
            unit("L3", day, 10.5, 0.997),
        ];
        let records: Vec<&str> = records.iter().map(String::as_str).collect();
        let job = job(&records, "");
        let last = job.records[0].assessment.visits.last().expect("a visit");
        let named = last.findings.iter().filter(|one| one.because.is_some());
        named.map(|one| one.rule.id).collect::<Vec<_>>()
    };
    let named = |celsius: f64, times: f64| named_beside("2026-03-14", celsius, times);
    assert_eq!(named(30.5, 1.0), ["temperature-wrong"]);
    // The sisters' of another day says nothing, and the air's does.
    assert_eq!(named_beside("2026-03-10", 26.5, 1.0), ["temperature-wrong"]);
    assert!(named(10.5, 1.0).is_empty());
    // 264.5/244.5 of it is read of a winding at 30.5 °C.
    assert!(named(30.5, 265.0 / 245.0).is_empty());
}
