//! The values of a core: each is what its column says, or there is none.

use kneemark::archive::Entry;
use kneemark::archive::wide::CoreRow;
use kneemark::compile;
use kneemark::ground::seam::Memory;

/// The core of a record with these visits.
fn core(visits: &str) -> CoreRow {
    let text = format!(
        "format: 1\n[ct]\nid: A\nstandard: IEC 61869-2:2012\n[core S]\nratio: 600/1 A\nclass: 5P20\nburden: 15 VA\n{visits}"
    );
    let files = Memory::default();
    files.put("a.ctr", text.as_str());
    let job = compile(&files, &["a.ctr".into()]);
    let one = job.records.first().expect("a record");
    let told: Vec<_> = one.errors().collect();
    assert!(told.is_empty(), "{told:?}");
    let entry = Entry::of(one, &one.claims());
    entry.cores.into_iter().next().expect("a core")
}

#[test]
fn a_resistance_that_was_not_corrected_is_none_at_75_degrees() {
    let read = |temperature: &str| {
        core(&format!(
            "[visit 2026-01-01]\n[resistance S1-S2]\nwires: 4\n{temperature}current/A  voltage/V\n1  3.0\n"
        ))
    };
    assert_eq!(read("").resistance_75, None);
    let corrected = read("temperature: 20 C\n").resistance_75;
    // Copper: 3 ohm by (234.5 + 75) / (234.5 + 20).
    let ohm = corrected.expect("a resistance");
    assert!((ohm - 3.0 * 309.5 / 254.5).abs() < 1e-9, "{ohm}");
    // A later reading answers the earlier one, and says nothing at 75 degrees.
    let both = core(
        "[visit 2026-01-01]\n[resistance S1-S2]\nwires: 4\ntemperature: 20 C\ncurrent/A  voltage/V\n1  3.0\n\
         [visit 2026-02-01]\n[resistance S1-S2]\nwires: 4\ncurrent/A  voltage/V\n1  3.1\n",
    );
    assert_eq!(both.resistance_75, None);
}

#[test]
fn the_connected_burden_is_the_greatest_of_one_phase_at_the_last_visit() {
    let visit = |day: &str, loops: &[(&str, f64)]| {
        let rows = loops.iter();
        let rows = rows.map(|(path, voltage)| format!("{path}  1.0  {voltage}  8\n"));
        let rows: String = rows.collect();
        format!("[visit {day}]\n[burden S1-S2]\nloop  current/A  voltage/V  angle/deg\n{rows}")
    };
    let burden = |visits: &[String]| core(&visits.concat()).connected_burden;
    let near = |found: Option<f64>, va: f64| {
        assert!(
            found.is_some_and(|found| (found - va).abs() < 1e-9),
            "{found:?} for {va}"
        );
    };
    let (neutral, alone) = ("phase-neutral", "single-phase");
    let first = "2026-01-01";
    let both = [(neutral, 1.2), ("phase-phase", 2.2), ("phase-earth", 1.9)];
    near(burden(&[visit(first, &both)]), 1.2);
    near(
        burden(&[visit(first, &[(alone, 1.4), (neutral, 1.2)])]),
        1.4,
    );
    let other = [("phase-phase", 2.2)];
    assert_eq!(burden(&[visit(first, &other)]), None);
    // The last visit that has such a loop says it, whatever was greater before.
    let last = visit("2026-02-01", &[(alone, 0.9), (neutral, 0.8)]);
    let after = visit("2026-03-01", &other);
    near(burden(&[visit(first, &both), last, after]), 0.9);
}
