//! Laws that hold for every record, tried on random ones through the whole program.

mod margins;
mod scaling;
mod shrink;
mod taps;
mod units;

use kneemark::compile;
use kneemark::emit::json::document;
use kneemark::ground::seam::Memory;
use kneemark::job::Job;
use proptest::test_runner::Config;
use serde_json::Value;
use std::path::PathBuf;

/// An instrument of the usual kind.
const BENCH: &str = r#"[[instrument]]
id = "M1"
what = "source and meter"
calibrated = 2026-01-01
due = 2027-01-01
function = [
  { measures = "voltage", to = "100 kV", of_reading = "0.1 %", digits = 1 },
  { measures = "current", to = "100 kA", of_reading = "0.1 %", digits = 1 },
  { measures = "resistance", to = "100 kohm", of_reading = "0.1 %", digits = 1 },
  { measures = "angle", from = "-180 deg", to = "180 deg", floor = "0.1 deg" },
  { measures = "ratio-error", from = "-90 %", to = "90 %", floor = "0.01 %" },
  { measures = "phase", from = "-10800 arcmin", to = "10800 arcmin", floor = "0.5 arcmin" },
  { measures = "insulation", to = "1000 Tohm", of_reading = "5 %" },
]
"#;

/// So many cases; a failing one prints itself, nothing is kept on disk.
fn cases(n: u32) -> Config {
    Config {
        cases: n,
        failure_persistence: None,
        ..Config::default()
    }
}

/// A record of one IEC core with the terminals S1 and S2, and one visit.
fn record(core: &str, visit: &str) -> String {
    let plate = "format: 1\n\n[ct]\nid: LAW-1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nhighest voltage: 24 kV\nprimary turns: 1\n";
    format!(
        "{plate}\n[core S]\nmarks: S1 S2\n{core}\n\n[visit 2026-03-01]\npurpose: investigation\ninstrument: M1\n\n{visit}\n"
    )
}

fn whole(record: &str) -> Job {
    let memory = Memory::default();
    memory.put("one.ctr", record);
    memory.put("instruments.toml", BENCH);
    let gathered = compile(&memory, &[PathBuf::from("one.ctr")]);
    let told: Vec<&str> = gathered
        .records
        .iter()
        .flat_map(|unit| &unit.diagnostics)
        .filter(|d| d.is_error())
        .map(|d| d.title.as_str())
        .collect();
    assert!(
        told.is_empty() && gathered.others.is_empty(),
        "{told:?}\n{record}"
    );
    gathered
}

/// The findings of a record as JSON.
fn findings(record: &str) -> Vec<Value> {
    let document: Value = serde_json::from_str(&document(&whole(record))).unwrap();
    document["records"][0]["findings"]
        .as_array()
        .unwrap()
        .clone()
}

/// The findings of one rule.
fn of<'a>(findings: &'a [Value], rule: &str) -> Vec<&'a Value> {
    findings
        .iter()
        .filter(|finding| finding["rule"] == rule)
        .collect()
}

/// How far down the line of the words a verdict is; none for what is not on that line.
fn rank(verdict: &str) -> Option<u8> {
    match verdict {
        "pass" => Some(0),
        "conditional pass" => Some(1),
        "conditional fail" => Some(2),
        "fail" | "not met" => Some(3),
        _ => None,
    }
}

/// A law of the four words: the worse reading never has the better word. "Not shown" and its like
/// stand beside the line; from there no pass may come.
fn never_better(good: &Value, worse: &Value) -> bool {
    let word = |finding: &Value| finding["verdict"].as_str().unwrap_or("").to_owned();
    match (rank(&word(good)), rank(&word(worse))) {
        (Some(a), Some(b)) => b >= a,
        (None, Some(b)) => b >= 2 || word(good).starts_with("no limit"),
        (Some(a), None) => a <= 2 || !word(worse).starts_with("no limit"),
        (None, None) => true,
    }
}

/// The guard itself: a better word for the worse reading must be seen.
#[test]
fn a_planted_better_word_is_caught() {
    let finding = |verdict: &str| serde_json::json!({ "verdict": verdict });
    let law = |good: &str, worse: &str| never_better(&finding(good), &finding(worse));
    assert!(
        !law("fail", "conditional fail")
            && !law("conditional pass", "pass")
            && !law("not shown; needs readings up to 9 V", "pass")
    );
    assert!(
        law("pass", "fail")
            && law("pass", "pass")
            && law("conditional pass", "not shown; needs readings up to 9 V")
    );
}
