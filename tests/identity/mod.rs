//! Whether paper and transformer belong together: what is named of units of one bay, and what nearly the same
//! records do not name.

mod plates;

use kneemark::compile;
use kneemark::ground::seam::Memory;
use kneemark::job::Job;
use std::path::PathBuf;

const NAMED: [&str; 7] = [
    "resistance-rows-exchanged",
    "curves-exchanged",
    "records-exchanged",
    "copied-table",
    "plate-value",
    "plate-frequency",
    "cores-exchanged",
];

fn job(units: &[String]) -> Job {
    let memory = Memory::default();
    let mut paths = Vec::new();
    for (place, text) in units.iter().enumerate() {
        let name = format!("t{place}.ctr");
        memory.put(name.as_str(), text.as_str());
        paths.push(PathBuf::from(name));
    }
    compile(&memory, &paths)
}

/// What is named of the first of some units, which stand in one bay.
fn named(units: &[String]) -> Vec<&'static str> {
    let job = job(units);
    for (_, diagnostics) in job.diagnostics() {
        assert!(!diagnostics.iter().any(|told| told.is_error()));
    }
    let first = &job.records[0];
    let named = NAMED.into_iter();
    named
        .filter(|id| first.findings().any(|finding| finding.rule.id == *id))
        .collect()
}

fn plate(id: &str, hertz: &str, ohm: &str, knee: &str) -> String {
    format!(
        "format: 1\n\n[ct]\nid: {id}\nstandard: IEC 61869-2:2012\nfrequency: {hertz} Hz\nprimary turns: 1\n\n\
         [place since 2020-01-01]\nsite: Fell\nbay: B1\n\n\
         [core 1S]\nclass: PX\nratio: 600/1 A\nknee emf: {knee} V\nresistance: {ohm} ohm at 75 C\n\n\
         [core 2S]\nclass: PX\nratio: 600/1 A\nknee emf: 300 V\nresistance: 4.2 ohm at 75 C\n\n"
    )
}

fn sound(id: &str) -> String {
    plate(id, "50", "3.5", "300")
}

fn ohms(date: &str, purpose: &str, volts: [&str; 2]) -> String {
    let [one, other] = volts;
    format!(
        "[visit {date}]\npurpose: {purpose}\n\n[resistance]\ntemperature: 20 C\nwires: 4\non current/A voltage/V\n\
         1S1-1S2 0.1 {one}\n2S1-2S2 0.1 {other}\n\n"
    )
}

fn unit(id: &str, then: [&str; 2], now: [&str; 2]) -> String {
    sound(id) + &ohms("2025-03-14", "factory", then) + &ohms("2026-03-14", "maintenance", now)
}

#[test]
fn readings_that_fit_the_certificate_of_the_other() {
    let (one, other) = (["0.2512", "0.3102"], ["0.2583", "0.3021"]);
    let (again, other_again) = (["0.2511", "0.3104"], ["0.2581", "0.3022"]);
    let crossed = [unit("T1", one, other_again), unit("T2", other, again)];
    assert_eq!(named(&crossed), ["records-exchanged"]);
    let right = [unit("T1", one, again), unit("T2", other, other_again)];
    assert!(named(&right).is_empty());
    // All of a day higher by one per cent: a temperature.
    let warm = [
        unit("T1", one, ["0.2537", "0.3133"]),
        unit("T2", other, ["0.2609", "0.3051"]),
    ];
    assert!(named(&warm).is_empty());
}

#[test]
fn two_cores_that_fit_each_other() {
    let then = ["0.2512", "0.3502"];
    let other = unit("T2", ["0.2520", "0.3490"], ["0.2522", "0.3489"]);
    let crossed = [unit("T1", then, ["0.3501", "0.2511"]), other.clone()];
    assert_eq!(named(&crossed), ["cores-exchanged"]);
    // Their curves, each where it belongs, say that it is the table alone.
    let curves = |first: f64, second: f64| two_curves(first, second);
    let with = |id: &str, then: [&str; 2], now: [&str; 2], scale: (f64, f64)| {
        let (date, purpose) = ("2025-03-14", "factory");
        let then = ohms(date, purpose, then) + &curves(1.0, 1.6);
        let now = ohms("2026-03-14", "maintenance", now) + &curves(scale.0, scale.1);
        sound(id) + &then + &now
    };
    let rows = with("T1", then, ["0.3501", "0.2511"], (1.0, 1.6));
    assert_eq!(named(&[rows]), ["resistance-rows-exchanged"]);
    // The curves alone.
    let alone = with("T1", then, then, (1.6, 1.0));
    assert_eq!(named(&[alone]), ["curves-exchanged"]);
    let all = with("T1", then, ["0.3501", "0.2511"], (1.6, 1.0));
    assert_eq!(named(&[all]), ["cores-exchanged"]);
    // One core alone has changed.
    let one = [unit("T1", then, ["0.3501", "0.3503"]), other];
    assert!(named(&one).is_empty());
}

/// A row of which nothing is known stands where the sections of another core ask for its value.
#[test]
fn a_row_that_another_core_asks_for() {
    let of = |one: &str, whole: &str| {
        let text = format!(
            "format: 1\n\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n\n\
             [core 1S]\nclass: PX\nratio: 600/1 A\n\n[core 3S]\nclass: 0.5\ntap ratio/A\n3S1-3S2 300/1\n3S1-3S3 600/1\n\n\
             [visit 2026-03-14]\npurpose: maintenance\n\n[resistance]\ntemperature: 20 C\nwires: 4\n\
             on resistance/ohm\n1S1-1S2 {one}\n3S1-3S3 {whole}\n3S1-3S2 1.155\n3S2-3S3 1.154\n"
        );
        let memory = Memory::default();
        memory.put("t.ctr", text.as_str());
        let job = compile(&memory, &[PathBuf::from("t.ctr")]);
        let one = &job.records[0];
        let behind = one.findings().flat_map(kneemark::judge::words::behind);
        let behind = behind.map(|phrase| one.plain(&phrase)).collect::<String>();
        let rules = one.findings().map(|one| one.rule.title);
        behind + &rules.collect::<String>()
    };
    let rows = "two rows of the resistance test exchanged";
    assert!(of("2.309", "2.688").contains(rows));
    assert!(!of("2.688", "2.309").contains(rows));
    // Another value is no row of this table.
    assert!(!of("2.500", "2.688").contains(rows));
}

/// Curves of both cores, at so many times the voltage.
fn two_curves(first: f64, second: f64) -> String {
    let points = [
        (20.0, 0.7369),
        (31.0, 1.002),
        (47.0, 1.34),
        (70.0, 1.771),
        (105.0, 2.353),
        (150.0, 3.02),
        (210.0, 3.822),
        (280.0, 4.677),
        (340.0, 5.523),
        (370.0, 6.761),
        (395.0, 10.5),
        (420.0, 23.76),
        (440.0, 55.26),
    ];
    let of = |core: &str, times: f64| {
        let rows = points
            .map(|(v, i)| format!("{:.4} {i}\n", times * v))
            .concat();
        format!("[excitation {core}1-{core}2]\nvoltmeter: mean\nvoltage/V current/mA\n{rows}\n")
    };
    of("1S", first) + &of("2S", second)
}

fn curve(id: &str, amps: &[&str]) -> String {
    let volts = [
        "20.13", "31.24", "47.31", "70.42", "105.3", "150.7", "210.9",
    ];
    let rows = volts.iter().zip(amps).map(|(v, i)| format!("{v} {i}\n"));
    let rows: String = rows.collect();
    sound(id)
        + "[visit 2026-03-14]\npurpose: maintenance\n\n[excitation 1S1-1S2]\nvoltmeter: mean\nvoltage/V current/mA\n"
        + &rows
}

#[test]
fn a_table_that_agrees_to_the_last_digit() {
    let amps = [
        "2.394", "3.254", "4.354", "5.755", "7.644", "9.833", "14.52",
    ];
    let copied = [curve("T1", &amps), curve("T2", &amps)];
    assert_eq!(named(&copied), ["copied-table"]);
    let mut near = amps;
    near[6] = "14.53";
    assert!(named(&[curve("T1", &amps), curve("T2", &near)]).is_empty());
    // Two readings that agree are chance.
    let short = [curve("T1", &amps[..2]), curve("T2", &amps[..2])];
    assert!(named(&short).is_empty());
}

#[test]
fn a_value_of_the_plate_that_two_sisters_contradict() {
    let sisters = [sound("T2"), sound("T3")];
    let all = |first: String| {
        let visit = "[visit 2026-03-14]\n\n";
        let read = "[resistance]\nwires: 4\ntemperature: 75 C\non resistance/ohm\n1S1-1S2 3.4\n\n";
        let first = first + visit + read;
        let sisters = sisters.clone().map(|text| text + visit);
        named(&[vec![first], sisters.to_vec()].concat())
    };
    assert!(all(sound("T1")).is_empty());
    assert_eq!(all(plate("T1", "50", "8.5", "300")), ["plate-value"]);
    // What no reading contradicts may be another type.
    assert!(all(plate("T1", "50", "3.5", "800")).is_empty());
    assert_eq!(all(plate("T1", "60", "3.5", "300")), ["plate-frequency"]);
    // Of two units it cannot be told whose plate is wrong.
    let two = [plate("T1", "50", "8.5", "300"), sound("T2")];
    let two = two.map(|text| text + "[visit 2026-03-14]\n\n");
    assert!(named(&two).is_empty());
}
