use crate::judge::kinds::bench::Bench;

const PLATE: &str = "format: 1\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\n\
    [core 1S]\nclass: PX\ntap ratio/A\n1S1-1S2 300/1\n1S1-1S3 600/1\n\n[core 2S]\nclass: 5P20\nratio: 600/1 A\n\n";
const PAIRS: [&str; 4] = ["1S1-1S3", "1S1-1S2", "1S2-1S3", "2S1-2S2"];
const SOUND: [f64; 4] = [2.800, 1.401, 1.399, 4.210];
/// What this module names.
const CAUSES: [&str; 9] = [
    "another-batch",
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
    // Other leads than those that were found, and more of them than was taken off.
    named(&bench(4, more([0.3; 4])), &["leads-in-reading"]);
    named(&bench(2, more([0.36; 4])), &["leads-in-reading"]);
    bench(4, more([0.06; 4])).holds("leads-in-reading", &["the self-check found 60 mohm"]);
    bench(4, more([0.3; 4])).holds(
        "leads-in-reading",
        &["0.30 ohm high", "more than the 60 mohm"],
    );
    named(&bench(2, SOUND), &["leads-subtracted-twice"]);
    named(&bench(4, SOUND), &[]);
}

/// Three times as many ohms in the sum of three sections as in the whole: no factor does that, whatever is known
/// otherwise.
#[test]
fn sums_of_sections_tell_leads_without_any_other_visit() {
    let check = "[self-check]\nratio of 1: 1.0000\nleads: 0.0122 ohm\n\n";
    let alone = |ohms| {
        let today = read("2026-03-14", "maintenance", check, 4, &rows(ohms));
        Bench::of(&format!("{PLATE}{today}"))
    };
    named(&alone(more([0.1; 4])), &["leads-in-reading"]);
    named(&alone(SOUND.map(|ohm| 1.243 * ohm)), &[]);
    named(&alone(SOUND), &[]);
}

/// The sisters alone cannot tell a batch of wire from a temperature; an earlier visit can, and so can a day on which
/// all of them were equally warm.
#[test]
fn a_batch_of_wire_is_no_fault_and_may_be_a_temperature() {
    let at = |celsius: f64, times: f64, before: &str| {
        let today = read(
            "2026-03-14",
            "maintenance",
            "",
            4,
            &rows(SOUND.map(|ohm| times * ohm)),
        );
        let today = today.replace("20.0 C", &format!("{celsius:.1} C"));
        format!("{PLATE}{before}{today}")
    };
    let sister = at(20.0, 1.0, "");
    let among = |text: &str| Bench::among(text, &[&sister, &sister]);
    let batch = among(&at(20.0, 1.08, ""));
    named(&batch, &["another-batch"]);
    assert_eq!(batch.told("another-batch"), "info");
    batch.holds(
        "another-batch",
        &[
            "8.0 %",
            "the 2 sisters",
            "no earlier visit",
            "next likeliest: temperature",
        ],
    );
    named(&among(&at(20.0, 1.03, "")), &[]);
    // As it was in the works.
    let then = certificate()
        .replace("2.800", "3.024")
        .replace("1.401", "1.513");
    let then = then.replace("1.399", "1.511").replace("4.210", "4.547");
    let known = among(&at(20.0, 1.08, &then));
    named(&known, &["another-batch"]);
    assert!(!known.says("another-batch").contains("temperature"));
    // As it was not.
    named(
        &among(&at(20.0, 1.08, &certificate())),
        &["temperature-wrong"],
    );
    // It reads as the sisters do, and is said to have been 20 K colder.
    let cold = among(&at(0.0, 1.0, ""));
    named(&cold, &["temperature-wrong"]);
    cold.holds(
        "temperature-wrong",
        &["as if they were at 20 °C", "the sisters were at 20 °C"],
    );
}

/// What a limit of the plate allows decides between a batch of wire, which the works would not have let go, and a
/// temperature; the failure waits until it is known.
#[test]
fn beyond_the_plate_it_is_no_batch() {
    let of = |limit: &str, times: f64| {
        let plate = PLATE.replace(
            "class: PX\n",
            &format!("class: PX\nresistance: {limit} ohm at 75 C\n"),
        );
        let of = |times: f64| {
            let ohms = rows(SOUND.map(|ohm| times * ohm));
            format!("{plate}{}", read("2026-03-14", "maintenance", "", 4, &ohms))
        };
        let sister = of(1.0);
        Bench::among(&of(times), &[&sister, &sister])
    };
    let beyond = of("3.50", 1.08);
    named(&beyond, &["temperature-wrong"]);
    assert!(
        beyond
            .told("winding-resistance")
            .contains("in doubt: temperature")
    );
    named(&of("3.80", 1.08), &["another-batch"]);
    // Hardly beyond it may be either, and waits as well; far beyond, no temperature explains it.
    let hardly = of("3.665", 1.08);
    named(&hardly, &["another-batch"]);
    assert!(
        hardly
            .told("winding-resistance")
            .contains("in doubt: another batch")
    );
    assert!(of("3.80", 1.0).told("winding-resistance").contains("pass"));
    // A limit alone names nothing.
    named(&of("3.30", 1.0), &[]);
    // What is good only by a temperature that may be wrong waits as well.
    let low = of("3.30", 0.92);
    named(&low, &["another-batch"]);
    assert!(
        low.told("winding-resistance")
            .contains("in doubt: another batch")
    );
    assert!(of("3.50", 0.92).told("winding-resistance").contains("pass"));
}

/// Two windings that are high by the same per cent are so by no leads, whatever the plate allows.
#[test]
fn a_limit_speaks_for_no_leads() {
    let of = |limit: &str, ohms: [f64; 2]| {
        let plate = PLATE.replace(
            "class: PX\n",
            &format!("class: PX\nresistance: {limit} ohm at 75 C\n"),
        );
        let of = |[one, other]: [f64; 2]| {
            let rows = format!("1S1-1S3 {one:.3}\n2S1-2S2 {other:.3}\n");
            format!("{plate}{}", read("2026-03-14", "maintenance", "", 4, &rows))
        };
        let sister = of([2.80, 4.20]);
        Bench::among(&of(ohms), &[&sister, &sister])
    };
    for limit in ["3.20", "3.50", "3.60", "3.80"] {
        let high = of(limit, [3.02, 4.53]);
        assert!(high.all("leads-in-reading").is_empty(), "{limit}");
    }
}

#[test]
fn one_reading_alone_is_a_clip_or_a_joint() {
    let one = |ohm: f64| {
        let of = |date: &str, purpose: &str, ohm: f64| {
            let rows = format!("1S1-1S3 2.800\n1S1-1S2 1.401\n1S2-1S3 1.399\n2S1-2S2 {ohm:.3}\n");
            read(date, purpose, "", 4, &rows)
        };
        let (then, now) = (
            of("2025-03-14", "factory", 4.21),
            of("2026-03-14", "maintenance", ohm),
        );
        Bench::of(&format!("{PLATE}{then}{now}"))
    };
    one(4.61).holds(
        "loose-clip",
        &[
            "one reading cannot tell a clip from a joint",
            "as likely: bad joint",
        ],
    );
    today(more([0.0, 0.0, 0.060, 0.0])).holds("loose-clip", &["and no other reading does"]);
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

/// An earlier visit that two sisters and today contradict is the odd one; without sisters nobody knows, and where the
/// sisters side with it today is.
#[test]
fn an_earlier_visit_may_stand_alone() {
    let unit = |phase: &str, visits: &str| {
        let place =
            format!("[place since 2020-01-01]\nsite: Fell\nbay: B1\nphase: {phase}\n\n[core 1S]");
        PLATE.replacen("[core 1S]", &place, 1) + visits
    };
    let visit = |day: &str, times: f64| {
        let ohms = SOUND.map(|ohm| times * ohm);
        read(day, "maintenance", "", 4, &rows(ohms))
    };
    let told = |then: f64, now: f64, sisters: &[f64]| {
        let own = visit("2021-03-14", then) + &visit("2026-03-14", now);
        let sisters: Vec<String> = sisters
            .iter()
            .map(|times| unit("L2", &visit("2026-03-14", *times)))
            .collect();
        let sisters: Vec<&str> = sisters.iter().map(String::as_str).collect();
        Bench::among(&unit("L1", &own), &sisters).causes()
    };
    let alone = ["earlier-resistance-off"];
    // What all units are off by since then is of the day.
    let of_all = visit("2021-03-14", 1.0) + &visit("2026-03-14", 1.16);
    let sister = unit("L2", &of_all);
    let warm = Bench::among(&unit("L1", &of_all), &[&sister, &sister]).causes();
    assert!(!warm.contains(&alone[0]), "{warm:?}");
    assert_eq!(told(0.7, 1.0, &[1.002, 0.998]), alone);
    assert_eq!(told(1.4, 1.0, &[1.002, 0.998]), alone);
    assert!(!told(0.7, 1.0, &[]).contains(&alone[0]));
    assert!(!told(1.0, 1.4, &[1.002, 0.998]).contains(&alone[0]));
    assert_eq!(told(0.99, 1.0, &[1.002, 0.998]), [""; 0]);
}

/// Four wires leave the leads out; they are taken off all the same.
#[test]
fn leads_of_four_wires_may_be_taken_off() {
    let check = |ohm: &str| format!("[self-check]\nratio of 1: 1.0000\nleads: {ohm} ohm\n\n");
    let told = |ohm: &str, ohms: [f64; 4]| {
        let today = read("2026-03-14", "maintenance", &check(ohm), 4, &rows(ohms));
        Bench::of(&format!("{PLATE}{}{today}", certificate()))
    };
    let less = more([-0.2; 4]);
    named(&told("0.200", less), &["leads-subtracted-twice"]);
    // As much as no lead has by the self-check.
    let other = told("0.020", less);
    assert!(other.all("leads-subtracted-twice").is_empty());
    named(&told("0.200", SOUND), &[]);
}
