use crate::judge::kinds::bench::Bench;

const PLATE: &str = "format: 1\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\n\
    [core 1S]\nclass: PX\ntap ratio/A\n1S1-1S2 300/1\n1S1-1S3 600/1\n\n[core 2S]\nclass: 5P20\nratio: 600/1 A\n\n";
const PAIRS: [&str; 4] = ["1S1-1S3", "1S1-1S2", "1S2-1S3", "2S1-2S2"];
const SOUND: [f64; 4] = [2.800, 1.401, 1.399, 4.210];
/// What this module names.
const CAUSES: [&str; 8] = [
    "joint-suspected",
    "loose-clip",
    "resistance-unsettled",
    "leads-in-reading",
    "leads-subtracted-twice",
    "resistance-slip",
    "temperature-wrong",
    "already-at-75",
];

fn rows(ohms: [f64; 4]) -> String {
    let rows = PAIRS.iter().zip(ohms);
    let rows = rows.map(|(pair, ohm)| format!("{pair} {ohm:.3}\n"));
    rows.collect()
}

fn read(date: &str, purpose: &str, before: &str, wires: u8, rows: &str) -> String {
    format!(
        "[visit {date}]\npurpose: {purpose}\n\n{before}[resistance]\nwires: {wires}\ntemperature: 20.0 C\non resistance/ohm\n{rows}\n"
    )
}

fn certificate() -> String {
    read("2025-03-14", "factory", "", 4, &rows(SOUND))
}

/// Today's readings beside a certificate.
fn today(ohms: [f64; 4]) -> Bench {
    let today = read("2026-03-14", "maintenance", "", 4, &rows(ohms));
    Bench::of(&format!("{PLATE}{}{today}", certificate()))
}

fn more(by: [f64; 4]) -> [f64; 4] {
    std::array::from_fn(|at| SOUND[at] + by[at])
}

#[track_caller]
fn named(bench: &Bench, expected: &[&str]) {
    let named = CAUSES.iter().filter(|rule| !bench.all(rule).is_empty());
    let named: Vec<&str> = named.copied().collect();
    assert_eq!(named, expected);
}

/// Each beside what is near it and no cause, or another one.
#[test]
fn each_cause_is_told_by_what_it_does_to_all_readings() {
    for (ohms, expected) in [
        (SOUND, &[][..]),
        // So many ohms in a section and in the whole.
        (more([0.060, 0.0, 0.060, 0.0]), &["joint-suspected"]),
        (more([0.012, 0.0, 0.012, 0.0]), &[]),
        // In one reading alone.
        (more([0.0, 0.0, 0.060, 0.0]), &["loose-clip"]),
        (more([0.120, 0.0, 0.0, 0.0]), &["loose-clip"]),
        (more([0.0, 0.0, 0.012, 0.0]), &[]),
        // The same ohms everywhere.
        (more([0.1; 4]), &["leads-in-reading"]),
        (more([0.012; 4]), &[]),
        // The same per cent everywhere, or on one core.
        (SOUND.map(|ohm| 1.06 * ohm), &["temperature-wrong"]),
        (SOUND.map(|ohm| 0.94 * ohm), &["temperature-wrong"]),
        (SOUND.map(|ohm| 1.025 * ohm), &[]),
        (SOUND.map(|ohm| 1.2161 * ohm), &["already-at-75"]),
        ([3.024, 1.513, 1.511, 4.210], &["resistance-unsettled"]),
        ([2.576, 1.289, 1.287, 4.210], &[]),
        // Known to the digit.
        ([2.800, 14.010, 1.399, 4.210], &["resistance-slip"]),
        ([2.800, 1.041, 1.399, 4.210], &["resistance-slip"]),
    ] {
        named(&today(ohms), expected);
    }
}

#[test]
fn a_joint_says_since_when() {
    let bad = rows(more([0.060, 0.0, 0.060, 0.0]));
    let bench = |then: &str| {
        let then = read("2025-09-01", "commissioning", "", 4, then);
        let now = read("2026-03-14", "maintenance", "", 4, &bad);
        Bench::of(&format!("{PLATE}{}{then}{now}", certificate()))
    };
    let since = "since the visit of 2025-09-01";
    bench(&rows(SOUND)).holds("joint-suspected", &["60 mohm", since]);
    bench(&bad).holds("joint-suspected", &["60 mohm", "since the certificate"]);
}

/// In a winding without taps a clip and a joint look alike, but that a joint stands still.
#[test]
fn a_reading_that_is_repeated_tells_a_clip_from_a_joint() {
    let sound = rows(SOUND).replace("2S1-2S2 4.210\n", "");
    let bench = |last: &[f64]| {
        let last = last.iter().map(|ohm| format!("2S1-2S2 {ohm:.3}\n"));
        let last: String = last.collect();
        let today = read(
            "2026-03-14",
            "maintenance",
            "",
            4,
            &format!("{sound}{last}"),
        );
        Bench::of(&format!("{PLATE}{}{today}", certificate()))
    };
    named(&bench(&[4.610, 4.611]), &["joint-suspected"]);
    named(&bench(&[4.610, 4.520, 4.590]), &["loose-clip"]);
    named(&bench(&[4.210, 4.211, 4.210]), &[]);
    // One of three is a slip, which a mean would hide.
    named(&bench(&[4.210, 42.11, 4.210]), &["resistance-slip"]);
    bench(&[4.210, 4.211, 42.10]).holds("resistance-slip", &["decimal point", "4.21 ohm"]);
}

#[test]
fn leads_are_known_by_the_self_check() {
    let check = "[self-check]\nratio of 1: 1.0000\nleads: 0.0600 ohm\n\n";
    let bench = |wires, ohms| {
        let today = read("2026-03-14", "maintenance", check, wires, &rows(ohms));
        Bench::of(&format!("{PLATE}{}{today}", certificate()))
    };
    named(&bench(4, more([0.06; 4])), &["leads-in-reading"]);
    named(&bench(2, more([0.06; 4])), &[]);
    named(&bench(2, SOUND), &["leads-subtracted-twice"]);
    named(&bench(4, SOUND), &[]);
}

/// The current that was set for the other rows tells which column is which.
#[test]
fn columns_that_are_exchanged_are_told() {
    let bench = |rows: &str| {
        let today = read("2026-03-14", "maintenance", "", 4, rows);
        let today = today.replace("on resistance/ohm", "on current/A voltage/V");
        Bench::of(&format!("{PLATE}{}{today}", certificate()))
    };
    let sound = "1S1-1S3 0.5 1.400\n1S1-1S2 0.5 0.7005\n1S2-1S3 0.5 0.6995\n2S1-2S2 0.5 2.105\n";
    named(&bench(sound), &[]);
    let row = bench(&sound.replace("1S1-1S2 0.5 0.7005", "1S1-1S2 0.7005 0.5"));
    row.holds("resistance-slip", &["voltage and current exchanged"]);
    let core = "1S1-1S3 1.400 0.5\n1S1-1S2 0.7005 0.5\n1S2-1S3 0.6995 0.5\n2S1-2S2 0.5 2.105\n";
    bench(core).holds("resistance-slip", &["all rows of core 1S"]);
}

/// A doubt of measuring withholds what rests on the reading; it fails nothing by itself.
#[test]
fn a_resistance_in_doubt_is_not_judged() {
    let sick = today(more([0.0, 0.0, 0.060, 0.0]));
    assert!(sick.told("winding-resistance").contains("in doubt"));
    assert!(!today(SOUND).told("winding-resistance").contains("in doubt"));
}
