//! `kneemark diff`: what changed, by meaning.

mod ci;
mod git;

use assert_cmd::Command;
use kneemark::compile;
use kneemark::diff::{Difference, How, Of, differences, lines};
use kneemark::ground::seam::Memory;
use std::fs;
use std::path::Path;

const RECORD: &str = "format: 1\n[ct]\nid: A1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n[core 1S]\nclass: PX\nratio: 600/1 A\n\
    knee emf: 300 V\nexciting current: 30 mA at 300 V\nresistance: 3.6 ohm at 75 C\n[visit 2026-03-14]\npurpose: commissioning\n\
    ambient: 18.5 C\n[resistance 1S1-1S2]\ninstrument: R1\nwires: 4\ntemperature: 18.5 +- 1 C\nresistance/ohm\n2.87\n\
    [excitation 1S1-1S2]\nvoltmeter: mean\nvoltage/V  current/mA\n 25.0       1.31\n100.3       2.84\n200.2       4.53\n300.4       7.4\n\
    350.2      13.1\n400.1      41.8\n440.2     171\n[visit 2027-03-14]\npurpose: maintenance\n";

const INSTRUMENTS: &str = "[[instrument]]\nid = \"R1\"\nwhat = \"bridge\"\ncalibrated = 2026-01-01\ndue = 2028-01-01\n\
    [[instrument.function]]\nmeasures = \"resistance\"\nfrom = \"0 ohm\"\nto = \"100 ohm\"\nof_reading = \"0.2 %\"\ndigits = 1\n";

/// What differs once some words of the record are others.
fn changed(edits: &[(&str, &str)]) -> Vec<Difference> {
    let text = edits.iter().fold(RECORD.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "{from}");
        text.replacen(from, to, 1)
    });
    between(RECORD, &text)
}

fn between(before: &str, after: &str) -> Vec<Difference> {
    let [before, after] = [before, after].map(|text| {
        let files = Memory::default();
        files.put("a.ctr", text);
        files.put("instruments.toml", INSTRUMENTS);
        compile(&files, &["a.ctr".into()])
    });
    differences(before.records.first(), after.records.first())
}

/// What is written otherwise: what it is of, how it differs, where, and whether it is flagged.
fn written(edits: &[(&str, &str)]) -> Vec<(Of, How, String, bool)> {
    let all = changed(edits).into_iter();
    let own = all.filter(|one| ![Of::Derived, Of::Verdict].contains(&one.of));
    own.map(|one| (one.of, one.how, one.place, one.unamended))
        .collect()
}

#[test]
fn how_it_is_written_is_no_difference() {
    for edits in [
        [("2.87\n", "   2.87   # read twice\n")],
        [("resistance/ohm\n2.87", "resistance/mohm\n2870")],
        [("voltage/V  current/mA", "voltage/V\tcurrent/mA")],
        [("knee emf: 300 V", "knee emf:   300 V")],
        [("frequency: 50 Hz", "# a remark\n\nfrequency: 50 Hz")],
        [("18.5 +- 1 C", "18.5 ± 1 °C")],
        [("ratio: 600/1 A", "ratio: 600/1A")],
    ] {
        let found = match edits {
            // Tabs part the cells of the rows too.
            [(_, tabbed)] if tabbed.contains('\t') => {
                let (before, table) = RECORD.split_once("voltage/V").expect("a table");
                let (table, after) = table.split_once("[visit").expect("a visit");
                let lines = table
                    .lines()
                    .map(|line| line.split_whitespace().collect::<Vec<_>>().join("\t"));
                let table: Vec<String> = lines.collect();
                between(
                    RECORD,
                    &format!("{before}voltage/V\t{}\n[visit{after}", table.join("\n")),
                )
            }
            edits => changed(&edits),
        };
        // 2870 mohm is written to the same place; anything else would be finer or coarser.
        let found: Vec<_> = found.iter().filter(|one| one.of != Of::Derived).collect();
        let coarser = found.iter().all(|one| one.how == How::WrittenFiner);
        assert!(
            found.is_empty() || coarser && edits[0].1.contains("2870"),
            "{edits:?}: {found:?}"
        );
    }
}

#[test]
fn a_reading_that_is_another_is_told_with_its_size_against_its_uncertainty() {
    let found = changed(&[("\n2.87\n", "\n2.78\n")]);
    let reading = &found[0];
    assert_eq!(
        (
            reading.of,
            reading.how,
            reading.place.as_str(),
            reading.unamended
        ),
        (
            Of::Observation,
            How::Changed,
            "visit 2026-03-14 / resistance 1S1-1S2 / 2.78 ohm / resistance",
            true
        )
    );
    let size = reading.size.as_ref().expect("both are quantities");
    assert!(size.change == -0.09 && size.unit == "ohm");
    // 0.2 % and a digit, each half of a rectangle, twice: by hand.
    let (of_reading, digit): (f64, f64) = (0.002 * 2.78, 0.01);
    let limit = of_reading + digit;
    let expected = 2.0 * limit / 3.0_f64.sqrt();
    let u = size.expanded_uncertainty.expect("its instrument is known");
    assert!((u / expected - 1.0).abs() < 0.2, "{u} {expected}");
    let derived: Vec<_> = found.iter().filter(|one| one.of == Of::Derived).collect();
    assert!(
        derived
            .iter()
            .any(|one| one.place.contains("winding resistance at 75 °C")),
        "{derived:?}"
    );
}

#[test]
fn an_amendment_answers_for_what_it_names() {
    let reading = |after: &str| written(&[("\n2.87\n", after)]).first().map(|one| one.3);
    let signed = "; misread; R. Anvik 2026-03-15\n";
    assert_eq!(
        reading(&format!("\n2.78\namended: resistance was 2.87{signed}")),
        Some(false)
    );
    // Of another value it is none.
    assert_eq!(
        reading(&format!("\n2.78\namended: resistance was 2.97{signed}")),
        Some(true)
    );
    let field = written(&[(
        "ambient: 18.5 C",
        "ambient: 19.5 C\namended: ambient was 18.5 C; misread; R. Anvik 2026-03-15",
    )]);
    assert!(field.iter().all(|one| !one.3), "{field:?}");
    assert!(written(&[("ambient: 18.5 C", "ambient: 19.5 C")])[0].3);
}

#[test]
fn rows_belong_together_by_their_readings() {
    // One is put between, one is gone, one is another: the rest stays.
    let found = written(&[(" 25.0       1.31\n", " 25.0       1.31\n 50.1       1.92\n")]);
    let place = "visit 2026-03-14 / excitation 1S1-1S2 / 50.1 V";
    assert_eq!(
        found,
        [(Of::Observation, How::Added, place.to_owned(), false)]
    );
    let found = written(&[("200.2       4.53\n", "")]);
    let place = "visit 2026-03-14 / excitation 1S1-1S2 / 200.2 V";
    assert_eq!(
        found,
        [(Of::Observation, How::Removed, place.to_owned(), true)]
    );
    let found = written(&[("200.2       4.53\n", "200.2       4.35\n")]);
    let place = "visit 2026-03-14 / excitation 1S1-1S2 / 200.2 V / current";
    assert_eq!(
        found,
        [(Of::Observation, How::Changed, place.to_owned(), true)]
    );
}

#[test]
fn finer_and_coarser_are_told_as_such() {
    let how = |after: &str| written(&[("\n2.87\n", after)]).first().map(|one| one.1);
    assert_eq!(how("\n2.870\n"), Some(How::WrittenFiner));
    assert_eq!(how("\n2.9\n"), Some(How::Changed));
    let back = between(&RECORD.replacen("\n2.87\n", "\n2.870\n", 1), RECORD);
    assert_eq!(back[0].how, How::WrittenCoarser);
}

#[test]
fn plate_words_and_whole_sections_have_their_own_kind() {
    let plate = written(&[("knee emf: 300 V", "knee emf: 320 V")]);
    assert_eq!(
        plate[0],
        (
            Of::Plate,
            How::Changed,
            "core 1S / knee emf".to_owned(),
            false
        )
    );
    let words = written(&[(
        "purpose: commissioning",
        "purpose: commissioning\ntested by: R. Anvik\nnote: rain",
    )]);
    assert_eq!(
        words.iter().map(|one| (one.0, one.1)).collect::<Vec<_>>(),
        [(Of::Words, How::Added); 2]
    );
    let (before, rest) = RECORD.split_once("[resistance").expect("a section");
    let (resistance, rest) = rest.split_once("[excitation").expect("a section");
    let (excitation, rest) = rest.split_once("[visit").expect("a visit");
    let gone = between(
        RECORD,
        &format!("{before}[excitation{excitation}[visit{rest}"),
    );
    assert_eq!(
        (gone[0].of, gone[0].how, gone[0].unamended),
        (Of::Observation, How::Removed, true)
    );
    let moved = between(
        RECORD,
        &format!("{before}[excitation{excitation}[resistance{resistance}[visit{rest}"),
    );
    assert_eq!((moved[0].of, moved[0].how), (Of::Order, How::Changed));
}

#[test]
fn a_verdict_that_turns_is_told() {
    let found = changed(&[(
        "exciting current: 30 mA at 300 V",
        "exciting current: 5 mA at 300 V",
    )]);
    let verdicts = found.iter().filter(|one| one.of == Of::Verdict);
    let told: Vec<String> = verdicts
        .map(|one| format!("{}: {:?} -> {:?}", one.place, one.before, one.after))
        .collect();
    assert!(
        told.iter()
            .any(|line| line.starts_with("transformer of 1S") && line.contains("fails")),
        "{told:?}"
    );
}

#[test]
fn lines_are_the_same_whatever_the_prefix() {
    let of = |text: &str| {
        let files = Memory::default();
        files.put("a.ctr", text);
        lines(&compile(&files, &["a.ctr".into()]).records[0])
    };
    for (from, to) in [
        ("resistance/ohm\n2.87", "resistance/mohm\n2870"),
        ("resistance/ohm\n2.87", "resistance/kohm\n0.00287"),
        ("knee emf: 300 V", "knee emf: 300.e-3 kV"),
        ("30 mA at 300 V", "0.030 A at 0.300 kV"),
    ] {
        let other = RECORD.replacen(from, to, 1);
        let [own, other] = [RECORD, &other].map(of);
        let is_finer = to.ends_with("2870");
        assert_eq!(
            own == other,
            !is_finer && !to.contains("e-3"),
            "{to}: {other:?}"
        );
    }
    let other = RECORD
        .replacen("30 mA at 300 V", "30 mA at 300  V", 1)
        .replacen("frequency: 50 Hz", "frequency:  50 Hz # x", 1);
    assert_eq!(of(RECORD), of(&other));
    let micro = RECORD.replace("current/mA", "current/A");
    assert_ne!(of(RECORD), of(&micro));
}

/// Runs `kneemark diff` in a folder; its exit code and what it prints.
fn run(folder: &Path, arguments: &[&str]) -> (i32, String) {
    let mut command = Command::cargo_bin("kneemark").expect("built");
    let output = command
        .current_dir(folder)
        .arg("diff")
        .args(arguments)
        .output()
        .expect("run");
    let text = String::from_utf8([output.stdout, output.stderr].concat()).expect("text");
    (output.status.code().expect("ended"), text)
}

#[test]
fn two_folders_are_held_against_each_other() {
    let place = tempfile::tempdir().expect("a folder");
    let put = |name: &str, text: &str| {
        let path = place.path().join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("folders");
        fs::write(path, text).expect("written");
    };
    for folder in ["old", "new"] {
        put(&format!("{folder}/instruments.toml"), INSTRUMENTS);
        put(
            &format!("{folder}/same.ctr"),
            &RECORD.replace("id: A1", "id: B1"),
        );
    }
    put("old/a.ctr", RECORD);
    put("new/b.ctr", &RECORD.replace("2.87", "2.88"));
    put("old/gone.ctr", &RECORD.replace("id: A1", "id: C1"));
    put("new/more.ctr", &RECORD.replace("id: A1", "id: D1"));
    let (code, told) = run(place.path(), &["old", "new"]);
    assert_eq!(code, 1);
    let heads: Vec<&str> = told.lines().filter(|line| !line.starts_with(' ')).collect();
    assert_eq!(
        heads,
        [
            "b.ctr (A1), was a.ctr",
            "gone.ctr (C1), gone",
            "more.ctr (D1), new"
        ]
    );
    assert!(
        told.contains("2.87 ohm -> 2.88 ohm (+0.0100 ohm, +0.35 %, U"),
        "{told}"
    );
    assert_eq!(run(place.path(), &["new", "new"]), (0, String::new()));
    // JSON and Markdown say the same.
    let (_, json) = run(place.path(), &["old", "new", "--format", "json"]);
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["records"].as_array().expect("a list").len(), 3);
    let (_, markdown) = run(place.path(), &["old", "new", "--format", "markdown"]);
    assert!(
        markdown.starts_with("### b.ctr (A1), was a.ctr\n\n**1 observation was altered"),
        "{markdown}"
    );
}

#[test]
fn wrong_usage_is_told() {
    let place = tempfile::tempdir().expect("a folder");
    fs::write(place.path().join("a.ctr"), RECORD).expect("written");
    for (code, arguments) in [
        (64, &["a.ctr"][..]),
        (64, &["--text", "a.ctr", "a.ctr"]),
        (64, &["a", "b", "c"]),
        (64, &["--revisions", "a", "b", "c"]),
        (2, &["a.ctr", "."]),
        (2, &["a.ctr", "none.ctr"]),
        (2, &["none", "no"]),
    ] {
        let (came, told) = run(place.path(), arguments);
        assert_eq!(came, code, "{arguments:?}: {told}");
        assert!(told.starts_with("kneemark: "), "{arguments:?}: {told}");
    }
}

#[test]
fn what_was_amended_is_not_taken_back_in_silence() {
    let signed = "amended: resistance was 2.78; misread; R. Anvik 2026-03-15\n";
    let with = RECORD.replacen("\n2.87\n", &format!("\n2.87\n{signed}"), 1);
    let gone = between(&with, RECORD);
    assert_eq!(
        (gone[0].of, gone[0].how, gone[0].unamended),
        (Of::Observation, How::Removed, true)
    );
    let other = between(&with, &with.replace("R. Anvik", "X. Forger"));
    assert_eq!(
        other.iter().filter(|one| one.unamended).count(),
        1,
        "{other:?}"
    );
    let come = between(RECORD, &with);
    assert_eq!((come[0].how, come[0].unamended), (How::Added, false));
}

#[test]
fn a_line_that_is_not_understood_is_shown() {
    let found = changed(&[("wires: 4\n", "wires: 4\nfoo: 3 V\n")]);
    let line = found.iter().find(|one| one.of == Of::Unread).expect("told");
    assert_eq!(line.after.as_deref(), Some("foo: 3 V"));
    assert_eq!(line.line_after, Some(18));
}

#[test]
fn a_setting_of_a_row_that_is_amended_is_no_other_row() {
    let table = "[resistance]\ninstrument: R1\nwires: 4\ntemperature: 18.5 +- 1 C\non  current/A  voltage/V\n1S1-1S2  0.50013  1.4353\n";
    let (before, rest) = RECORD.split_once("[resistance").expect("a section");
    let (_, rest) = rest.split_once("[excitation").expect("a section");
    let text = format!("{before}{table}[excitation{rest}");
    let signed = "amended: current was 0.50013; typing; R. Anvik 2026-03-15\n";
    let other = text
        .replace("1.4353\n", &format!("1.4353\n{signed}"))
        .replace("  0.50013  ", "  0.50023  ");
    let found = between(&text, &other);
    assert_eq!(
        (found[0].how, found[0].unamended),
        (How::Changed, false),
        "{found:?}"
    );
    assert!(
        found[0].place.ends_with("0.50023 A / current"),
        "{}",
        found[0].place
    );
    assert!(found.iter().all(|one| !one.unamended));
}

#[test]
fn another_prefix_is_no_difference_in_a_field() {
    let found = changed(&[
        (
            "exciting current: 30 mA at 300 V",
            "exciting current: 0.030 A at 0.3 kV",
        ),
        ("knee emf: 300 V", "knee emf: 0.3 kV"),
        (
            "resistance: 3.6 ohm at 75 C",
            "resistance: 3600 mohm at 75 C",
        ),
    ]);
    assert!(found.is_empty(), "{found:?}");
}

#[test]
fn sections_that_moved_or_bear_another_name_are_named() {
    let (before, rest) = RECORD.split_once("[resistance").expect("a section");
    let (resistance, rest) = rest.split_once("[excitation").expect("a section");
    let (excitation, rest) = rest.split_once("[visit").expect("a visit");
    let moved = between(
        RECORD,
        &format!("{before}[excitation{excitation}[resistance{resistance}[visit{rest}"),
    );
    let named = moved[0].after.as_deref().unwrap_or_default();
    assert!(named.starts_with("moved: visit 2026-03-14 / "), "{named}");
    let relabelled = changed(&[(
        "[resistance 1S1-1S2]",
        "[resistance 1S1-1S2 after the repair]",
    )]);
    assert_eq!(
        relabelled[0].place,
        "visit 2026-03-14 / resistance 1S1-1S2 after the repair / heading"
    );
    // Which of several equal tests it is was written down with it; nothing within it is another.
    let flagged = relabelled.iter().filter(|one| one.unamended).count();
    assert_eq!(flagged, 1, "{relabelled:?}");
}

#[test]
fn a_new_visit_shows_what_it_holds() {
    let more = "[visit 2028-01-10]\npurpose: maintenance\n[resistance 1S1-1S2]\ninstrument: R1\nwires: 4\ntemperature: 18.5 C\nresistance/ohm\n2.91\n";
    let found = between(RECORD, &format!("{RECORD}{more}"));
    let reading = found.iter().find(|one| one.place.ends_with("/ 2.91 ohm"));
    assert_eq!(
        reading.map(|one| (one.how, one.unamended)),
        Some((How::Added, false)),
        "{found:?}"
    );
}

#[test]
fn settings_that_changed_are_named() {
    let of = |instruments: &str| {
        let files = Memory::default();
        files.put("a.ctr", RECORD);
        files.put("instruments.toml", instruments);
        compile(&files, &["a.ctr".into()])
    };
    let [before, after] = [
        of(INSTRUMENTS),
        of(&INSTRUMENTS.replace("bridge", "other bridge")),
    ];
    let found = differences(before.records.first(), after.records.first());
    assert_eq!(
        (found[0].of, found[0].place.as_str()),
        (Of::Settings, "instruments.toml")
    );
}

#[test]
fn what_cannot_be_read_is_not_the_same() {
    let place = tempfile::tempdir().expect("a folder");
    fs::write(place.path().join("a.ctr"), b"id: \xff\n").expect("written");
    fs::write(place.path().join("b.ctr"), b"id: \0\n").expect("written");
    for arguments in [&["a.ctr", "b.ctr"][..], &["--text", "a.ctr"]] {
        let (code, told) = run(place.path(), arguments);
        assert!(
            code == 2 && told.contains("not UTF-8"),
            "{arguments:?}: {code} {told}"
        );
    }
    // The same bytes are.
    assert_eq!(run(place.path(), &[".", "."]), (0, String::new()));
}

#[test]
fn what_no_section_holds_is_compared_as_text() {
    let strange = RECORD.replacen("[excitation", "[excitashun", 1);
    let found = between(&strange, &strange.replace("41.8", "42.8"));
    let told: Vec<_> = found
        .iter()
        .map(|one| {
            (
                one.of,
                one.how,
                one.before.as_deref().or(one.after.as_deref()),
            )
        })
        .collect();
    assert!(
        told.contains(&(Of::Unread, How::Removed, Some("400.1 41.8"))),
        "{told:?}"
    );
    assert!(
        told.contains(&(Of::Unread, How::Added, Some("400.1 42.8"))),
        "{told:?}"
    );
    let more = RECORD.replacen("400.1      41.8", "400.1      41.8  7", 1);
    assert!(!between(&more, &more.replace("41.8  7", "42.8  7")).is_empty());
    assert!(!between(RECORD, &RECORD.replace("format: 1\n", "")).is_empty());
}

#[test]
fn another_temperature_or_another_source_is_no_finer_writing() {
    let found = written(&[(
        "resistance: 3.6 ohm at 75 C",
        "resistance: 3.60 ohm at 70 C",
    )]);
    assert_eq!(found[0].1, How::Changed);
    let found = written(&[("knee emf: 300 V", "knee emf: 300 V from drawing")]);
    assert_eq!((found[0].0, found[0].1), (Of::Plate, How::Changed));
    let short = "ambient: 19.5 C\namended: ambient was 18.5; misread; R. Anvik 2026-03-15";
    assert!(
        written(&[("ambient: 18.5 C", short)])
            .iter()
            .all(|one| !one.3)
    );
}

#[test]
fn a_reading_that_cannot_be_read_is_a_reading() {
    let odd = RECORD.replacen("2.84", "2.8x", 1);
    let found = between(&odd, &odd.replacen("2.8x", "2.9x", 1));
    assert!(
        found
            .iter()
            .any(|one| one.of == Of::Observation && one.unamended),
        "{found:?}"
    );
}

/// What was found belongs to what was found, and what was left to what was left, in whatever order and on whatever
/// pair they stand.
#[test]
fn sections_belong_together_by_their_stage() {
    let staged = |order: [&str; 2], pair: &str| {
        let section = |stage: &str| {
            let reading = if stage == "as found" { "2.87" } else { "2.91" };
            format!(
                "[resistance {pair}]\nstage: {stage}\nwires: 4\ntemperature: 18 C\nresistance/ohm\n{reading}\n"
            )
        };
        let head = RECORD.split_once("[resistance").expect("a resistance").0;
        format!("{head}{}{}", section(order[0]), section(order[1]))
    };
    let how = |before: &str, after: &str| {
        let all = between(before, after).into_iter();
        let own = all.filter(|one| one.of == Of::Observation);
        own.map(|one| (one.how, one.place)).collect::<Vec<_>>()
    };
    let both = ["as found", "as left"];
    let before = staged(both, "1S1-1S2");
    let turned = staged(["as left", "as found"], "1S1-1S2");
    assert_eq!(
        how(&before, &turned),
        [],
        "another order is no other reading"
    );
    let renamed = how(&before, &staged(both, "1S2-1S1"));
    assert_eq!(renamed.len(), 2, "{renamed:?}");
    assert!(
        renamed.iter().all(|(how, _)| *how == How::Changed),
        "{renamed:?}"
    );
}
