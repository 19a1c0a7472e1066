//! One ceiling for every voltage on the sheet, and what has to be reached below it.

use super::{of_job, of_text, sheet, unit};

/// A core that takes 1.1 x 845.5 V = 930 V at 50 Hz.
const HIGH: &str = "format: 1\n[ct]\nid: A\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n\
[core S]\nclass: PX\nknee emf: 845.5 V\nexciting current: 30 mA at 845.5 V\n\
tap  ratio/A\nS1-S2  300/1\nS1-S3  600/1\n";

/// Every `… V` of the excitation rows: told cells that begin with a number.
fn aims(text: &str) -> Vec<Vec<String>> {
    let from = text.find("**Excitation, S1-S3 driven; ").unwrap();
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
    assert!(made.html.contains(">372 V<") && made.html.contains(">up to 744 V at 40 Hz<"));
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

/// A class that asks for 356.7 V (20 x 1 A x |3.40 + 12 + j9| ohm) of a core whose knee was found at 97.8 V.
const LOW: &str = "format: 1\n[ct]\nid: A\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\n\
[core S]\nclass: 5P20\nburden: 15 VA\nresistance: 3.40 ohm at 75 C\ntap  ratio/A\nS1-S2  300/1\nS1-S3  600/1\n\
[visit 2025-05-05]\npurpose: commissioning\n[excitation S1-S3]\nvoltage/V  current/mA\n\
10  1\n20  1.8\n40  3\n60  4.2\n80  5.5\n100  8\n110  13\n120  25\n130  60\n140  150\n150  400\n";

/// Who drives such a core to the volts of its class drives it with a current that burns it.
#[test]
fn a_knee_far_below_the_class_is_driven_by_its_current() {
    let text = sheet(&of_text(LOW)).markdown;
    // 1.1 x 97.8 V = 108 V; 5 % of 20 x 1 A
    for words in [
        "start where the core is saturated (at least 108 V; knee on record 97.8 V)",
        "up to 108 V, then slowly, by the current, to 1.00 A, but not before 10 % more voltage takes 50 % more current; never above 392 V",
        "The knee on record, 97.8 V, lies far below the 357 V that is asked for: the current ends the curve. ",
        "Needs at least 150 V, 1.00 A (150 VA), if the core takes as much as ends the curve",
        "2000 V at any terminal (common practice, no source); 1.00 A through the winding (rated current",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    // The ratio is read well under that knee: 70 % of 97.8 V is 68 V, the round figure below 60 V.
    assert!(
        text.contains("60.0 V: within 70 % of 97.8 V (smallest knee on record)"),
        "{text}"
    );
    // Where the open terminals may come to is told for all that the stop allows: half of 392 V.
    assert!(text.contains("at 392 V driven: S2 196 V against S3"));
    let all = aims(&text).concat();
    let volts = all
        .iter()
        .filter_map(|cell| cell.strip_suffix(" V")?.parse::<f64>().ok());
    let volts: Vec<f64> = volts.collect();
    assert!(
        volts.len() > 8 && volts.iter().all(|volts| *volts <= 108.0),
        "{volts:?}"
    );
    assert!(all.contains(&"1.00 A or 392 V".to_owned()), "{all:?}");
    // Its own knee is within the ceiling, so that no lower frequency is needed, whatever the class asks for.
    let low = sheet(&of_job(LOW, "[excitation]\nopen_voltage = \"300 V\"\n")).markdown;
    assert!(
        low.contains("; never above 300 V.") && low.contains("1.00 A or 300 V"),
        "{low}"
    );
    assert!(
        !low.contains("Hz or less") && !low.contains("392 V"),
        "{low}"
    );
    // And where even the knee is above it, every figure is at the lower frequency: 50 Hz x 90/108 = 41.8 Hz.
    let lower = sheet(&of_job(LOW, "[excitation]\nopen_voltage = \"90 V\"\n")).markdown;
    // 97.8 V x 1.1 x 40/50; 356.7 V x 40/50 is above 90 V.
    assert!(
        lower.contains("at least 86.0 V at 40 Hz or less") && lower.contains("1.00 A or 90.0 V"),
        "{lower}"
    );
    assert!(lower.contains(
        "this core needs 108 V, above the ceiling of 90.0 V: work at 40 Hz or less, where 86.0 V do"
    ));
    // Without a visit the class alone tells.
    let bare = sheet(&of_text(LOW.split("[visit").next().unwrap())).markdown;
    assert!(!bare.contains("far below") && bare.contains("Needs at least 392 V, 1.00 A"));
}

/// Of class PX the rated knee asks for volts, its exciting current says where a poor core ends.
#[test]
fn a_knee_class_has_a_current_to_end_at() {
    let px = "class: PX\nknee emf: 300 V\nexciting current: 30 mA at 300 V\n";
    let poor = LOW.replace("class: 5P20\nburden: 15 VA\n", px);
    let text = sheet(&of_text(&poor)).markdown;
    // 1.5 x 30 mA at 1.1 x 300 V
    for words in [
        "up to 108 V, then slowly, by the current, to 45.0 mA (",
        "but not before 10 % more voltage takes 50 % more current; never above 330 V.",
        "lies far below the 300 V that is asked for: the current ends the curve, and that decides it.",
        "1.00 A through the winding",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    // Where the plate states no current the winding's own ends it.
    let bare = poor.replace("exciting current: 30 mA at 300 V\n", "");
    let text = sheet(&of_text(&bare)).markdown;
    assert!(
        text.contains("to 1.00 A, but not before") && text.contains("never above 330 V"),
        "{text}"
    );
    // A class whose limit is above rated current.
    let high = LOW.replace("5P20", "10P20");
    let text = sheet(&of_text(&high)).markdown;
    assert!(
        text.contains("; 2.00 A through the winding (the limit of class or plate)"),
        "{text}"
    );
}

/// 20 x 1 A x 50 ohm = 1000 V by the burden alone, and a ceiling below that.
#[test]
fn what_is_added_by_hand_lowers_the_frequency_further() {
    let plate = "format: 1\n[ct]\nid: A\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 1\nprimary marks: K L\n\
[core S]\nclass: 5P20\nburden: 50 VA\nratio: 600/1 A\n";
    let made = sheet(&of_job(plate, "[excitation]\nopen_voltage = \"800 V\"\n"));
    let text = made.markdown;
    // 1100 V: 50 Hz x 800/1100 = 36.4 Hz, the round figure below: 30 Hz; 1100 V x 30/50 = 660 V
    for words in [
        "At 50 Hz this core needs 1100 V, above the ceiling of 800 V: work at 30 Hz or less, where 660 V do",
        "so 1000 V is for the burden alone, and the winding's resistance R comes on top",
        "e.m.f. = 20.0 A x sqrt((R + 40.0 ohm)² + (30.0 ohm)²) =",
        "stop at 1.1 times that = \\_\\_\\_\\_\\_\\_ V at 50 Hz; where that is above 800 V, never drive it at 50 Hz: f = 50 Hz x 800 V / that =",
        "stop at that x f / 50 Hz =",
        "and scale each aim alike",
        "all at 50 Hz: read that at 600 V at 30 Hz",
        "| aim at 30 Hz | aim at 50 Hz |",
        "| 600 V | never | limit |",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    // What is worked by hand is more than that: the words and the drawing say so alike.
    assert!(
        text.contains(
            "| 1.1 x the e.m.f. by hand (more than 660 V) or 1.00 A, whichever comes first"
        ),
        "{text}"
    );
    for words in [
        ">up to 1.1 x the e.m.f. by hand<",
        ">(more than 660 V) at 30 Hz<",
    ] {
        assert!(made.html.contains(words), "{words}");
    }
    assert!(!made.html.contains(">up to 660 V"));
    // A burden without reactance is no root of a square.
    let ohmic = sheet(&of_text(&plate.replace("50 VA", "50 VA at 1.00"))).markdown;
    assert!(
        ohmic.contains("e.m.f. = 20.0 A x (R + 50.0 ohm) ="),
        "{ohmic}"
    );
}
