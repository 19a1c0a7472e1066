//! Multi-ratio windings: every pair of the standard tables through a record.

use super::{FINE, Row, ieee, told, whole};
use serde::Deserialize;

#[derive(Deserialize)]
struct File {
    mr_tap: Vec<Tap>,
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "headings of the printed table")]
struct Tap {
    ct: String,
    terminals: String,
    primary_A: f64,
    turns: f64,
    source: String,
}

/// The ten pairs of one winding.
fn winding<'a>(file: &'a File, ct: &str) -> Vec<&'a Tap> {
    file.mr_tap.iter().filter(|tap| tap.ct == ct).collect()
}

/// A record that declares the four sections only and reads all ten pairs, 10 mV a turn.
fn record(taps: &[&Tap]) -> String {
    let section =
        |tap: &&&Tap| ["X1-X2", "X2-X3", "X3-X4", "X4-X5"].contains(&tap.terminals.as_str());
    let declared: String = taps
        .iter()
        .filter(section)
        .map(|tap| format!("{}  {}:5\n", tap.terminals, tap.primary_A))
        .collect();
    let read: String = taps
        .iter()
        .map(|tap| format!("{}  {:.4}  10.0000\n", tap.terminals, 0.01 * tap.turns))
        .collect();
    ieee(
        &format!("class: C400\ntap  ratio/A\n{declared}"),
        &format!("[ratio X]\nmethod: voltage\non  applied/V  induced/mV\n{read}")
            .replace("[ratio X]", "[ratio]"),
    )
}

#[test]
fn every_pair_of_the_standard_windings() {
    let file: File = toml::from_str(include_str!("../published_limits/ieee.toml")).unwrap();
    let mut names: Vec<&str> = file.mr_tap.iter().map(|tap| tap.ct.as_str()).collect();
    names.dedup();
    for ct in &names {
        let taps = winding(&file, ct);
        assert_eq!(taps.len(), 10, "{ct}");
        let text = record(&taps);
        let gathered = whole(&text, &[("instruments.toml", FINE)]);
        let core = &gathered.records[0].record.cores[0];
        let told = told(&text);
        for tap in &taps {
            let says = format!("{ct} {}: {}", tap.terminals, tap.source);
            let at = |mark: char| u8::try_from(mark.to_digit(10).unwrap()).unwrap() - 1;
            let marks: Vec<char> = tap.terminals.chars().filter(char::is_ascii_digit).collect();
            let ratio = core
                .nominal_ratio(at(marks[0]), at(marks[1]))
                .unwrap_or_else(|| panic!("no ratio; {says}"));
            assert!(
                (5.0 * ratio - tap.primary_A).abs() < 1e-9,
                "{ratio}; {says}"
            );
            let found: Vec<_> = told
                .findings("turns-ratio")
                .into_iter()
                .filter(|f| f["pair"] == tap.terminals.as_str())
                .collect();
            assert_eq!(found.len(), 1, "{says}");
            let value = found[0]["value"].as_f64().unwrap();
            assert!(value.abs() < 1e-9, "{value} % off; {says}");
        }
    }
    assert!(names.len() >= 6, "{names:?}");
}

/// A pair whose turns the sections do not make is seen.
#[test]
fn a_wrong_tap_of_a_standard_winding_is_seen() {
    let file: File = toml::from_str(include_str!("../published_limits/ieee.toml")).unwrap();
    let taps = winding(&file, "1200:5");
    let text = record(&taps).replace("X1-X3  0.6000", "X1-X3  0.8000");
    assert_eq!(told(&text).findings("wrong-tap").len(), 1);
}

fn driven(pair: &str, volts: f64) -> f64 {
    let core = "class: C400\ntap  ratio/A\nX1-X2  200:5\nX2-X3  100:5\nX3-X4  500:5\nX4-X5  400:5";
    let rows = format!(
        "{:.1}  0.010\n{:.1}  0.020\n{volts:.1}  0.030\n",
        0.3 * volts,
        0.6 * volts
    );
    let told = told(&ieee(
        core,
        &format!("[excitation {pair}]\nvoltmeter: mean\nvoltage/V  current/A\n{rows}"),
    ));
    told.value("open-terminal-voltage")
}

pub fn rows() -> Vec<Row> {
    let source = "arithmetic on the turns of IEEE C57.13, 1200:5 (40, 20, 100, 80)";
    let row = |pair: &'static str, times: f64| {
        let check = format!("1200:5, 120 V on {pair}: voltage across X1-X5, V");
        Row::record(check, source, 120.0 * times, driven(pair, 120.0), 1e-6)
    };
    let pairs = [
        ("X2-X5", 1.2),
        ("X3-X5", 4.0 / 3.0),
        ("X1-X4", 1.5),
        ("X2-X4", 2.0),
        ("X3-X4", 2.4),
        ("X4-X5", 3.0),
        ("X1-X3", 4.0),
    ];
    let mut rows: Vec<Row> = pairs
        .into_iter()
        .chain([("X1-X2", 6.0), ("X2-X3", 12.0)])
        .map(|(pair, times)| row(pair, times))
        .collect();
    rows.push(sections_sum());
    rows
}

/// Full winding driven, the sections read beside it (an engineering forum's list of turns).
fn sections_sum() -> Row {
    let core = "class: C400\ntap  ratio/A\nX1-X2  200:5\nX2-X3  100:5\nX3-X4  500:5\nX4-X5  400:5";
    let read = "H1-H2  120.02  0.5001\nX1-X2  120.02  20.00\nX2-X3  120.02  10.00\nX3-X4  120.02  50.01\nX4-X5  120.02  40.02\n";
    let told = told(&ieee(
        core,
        &format!("[ratio X1-X5]\nmethod: voltage\non  applied/V  read/V\n{read}"),
    ));
    Row::record(
        "1200:5, sections read on the driven winding: sum less the whole, %",
        "arithmetic, 100*(120.03 - 120.02)/120.02",
        0.008_331_94,
        told.value("tap-sum"),
        1e-8,
    )
}
