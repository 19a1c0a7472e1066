//! One ceiling for every voltage on the sheet, and what has to be reached below it.

use super::{of_job, of_text, sheet, unit};

/// A core that takes 1.1 x 845.5 V = 930 V at 50 Hz.
const HIGH: &str = "format: 1\n[ct]\nid: A\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n\
[core S]\nclass: PX\nknee emf: 845.5 V\nexciting current: 30 mA at 845.5 V\n\
tap  ratio/A\nS1-S2  300/1\nS1-S3  600/1\n";

/// Every `… V` of the excitation rows: told cells that begin with a number.
fn aims(text: &str) -> Vec<Vec<String>> {
    let from = text.find("Excitation, S1-S3 driven: write down").unwrap();
    let rows = text[from..]
        .lines()
        .skip_while(|line| !line.starts_with('|'));
    let rows = rows.take_while(|line| line.starts_with('|')).skip(2);
    let cells = |line: &str| line.split('|').map(|cell| cell.trim().to_owned()).collect();
    rows.map(cells).collect()
}

#[test]
fn a_core_that_needs_more_than_the_ceiling_gets_a_lower_frequency() {
    let made = sheet(&of_job(HIGH, "[excitation]\nopen_voltage = \"800 V\"\n"));
    let text = made.markdown;
    // 50 Hz x 800/930 = 43.0 Hz, the round figure below: 40 Hz; 930 V x 40/50 = 744 V
    assert!(text.contains("| never above | 800 V at any terminal (criteria of the job) |"));
    assert!(
        text.contains("At 50 Hz this core needs 930 V, above the ceiling of 800 V: work at 40 Hz or less, where 744 V do"),
        "{text}"
    );
    assert!(text.contains(
        "start where the core is saturated (at least 744 V at 40 Hz or less), as high as it takes"
    ));
    assert!(text.contains("Needs at least 744 V"));
    // 845.5 V x 40/50
    assert!(text.contains("all at 50 Hz: read that at 676 V at 40 Hz"));
    assert!(text.contains("The current reads low then: a limit of it is not decided"));
    // S2 lies half way: 372 V of 744 V, in table and drawing.
    assert!(text.contains("at 744 V driven: S2 372 V against S3"));
    assert!(made.html.contains(">372 V<") && made.html.contains(">up to 744 V<"));
    // No other figure: not 1200, not 2000, and what is above 800 V at 50 Hz is never driven.
    for other in ["1200 V", "2000 V", "930 V or", "start/V 930"] {
        assert!(!text.contains(other), "{other}");
    }
    let aims = aims(&text);
    let all = aims.concat();
    assert!(all.contains(&"never".to_owned()));
    let volts = all.iter().filter_map(|cell| cell.strip_suffix(" V"));
    let volts: Vec<f64> = volts.map(|volts| volts.parse().unwrap()).collect();
    assert!(
        volts.len() > 15 && volts.iter().all(|volts| *volts <= 800.0),
        "{volts:?}"
    );
    // 1.1 x 845.5 x 0.8 is aimed at.
    assert!(volts.contains(&744.0));
    // S1-S2 is half of the winding: 400 V on it for 800 V across S1-S3; and what is driven there stays below.
    assert!(
        text.contains("| S1-S2 | 300 | 2.00 | 240 V | 400 V | 372 V, 90.0 mA |"),
        "{text}"
    );
}

#[test]
fn the_lowest_of_job_plate_and_instrument_is_the_ceiling() {
    let of = |open: &str| {
        sheet(&of_job(
            HIGH,
            &format!("[excitation]\nopen_voltage = \"{open}\"\n"),
        ))
    };
    // What a secondary of the standard is tested with, 3 kV (IEC 61869-1; IEEE 2.5 kV).
    let text = of("4 kV").markdown;
    assert!(
        text.contains(
            "| never above | 3000 V at any terminal (what the secondary is tested with: "
        ),
        "{text}"
    );
    assert!(
        of("1500 V")
            .markdown
            .contains("| never above | 1500 V at any terminal (criteria of the job) |")
    );
    // Without a job: the trade's.
    let usual = sheet(&of_text(HIGH)).markdown;
    assert!(
        usual.contains("| never above | 2000 V at any terminal (common practice, no source) |")
    );
    assert!(!usual.contains("Hz or less"));
    // An instrument that reads to 500 V in an excitation test.
    let files = kneemark::ground::seam::Memory::default();
    files.put("a.ctr", HIGH);
    files.put("instruments.toml", "[[instrument]]\nid = \"M7\"\n[[instrument.function]]\nmeasures = \"voltage\"\nfrom = \"0 V\"\nto = \"500 V\"\n");
    let unit = kneemark::compile(&files, &["a.ctr".into()])
        .records
        .remove(0);
    let text = sheet(&unit).markdown;
    // 50 Hz x 500/930 = 26.9 Hz: 25 Hz, 465 V
    assert!(
        text.contains("| never above | 500 V at any terminal (M7 reads no further) |"),
        "{text}"
    );
    assert!(text.contains("work at 25 Hz or less, where 465 V do"));
}

/// The e.m.f. of the class may lie below the knee: who starts there does not saturate the core.
#[test]
fn a_start_is_above_the_knee_that_the_record_has() {
    let unit = unit("h07-l1.ctr");
    let text = sheet(&unit).markdown;
    // 1S: 1.1 x 356.7 V = 392 V, but its knee was found at 413 V: 1.1 x that.
    for words in [
        "start where the core is saturated (at least 455 V; knee on record 413 V), as high as it takes until 10 % more voltage takes 50 % more current",
        "455 V or 1.00 A, whichever comes first, but not before 10 % more voltage takes 50 % more current",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    // Without a visit nothing is known of the knee; the rule stands there all the same.
    let plate = &unit.source.text[..unit.source.text.find("\n[visit").unwrap()];
    let bare = sheet(&of_text(plate)).markdown;
    assert!(
        bare.contains(
            "(at least 392 V), as high as it takes until 10 % more voltage takes 50 % more current"
        ),
        "{bare}"
    );
}
