//! Records as text, and what the program's JSON says of them.

use kneemark::compile;
use kneemark::emit::json::document;
use kneemark::ground::seam::Memory;
use kneemark::job::Job;
use serde_json::Value;
use std::path::PathBuf;

/// An instrument whose errors do not matter, for figures that are exact.
pub const FINE: &str = r#"[[instrument]]
id = "F1"
what = "an exact one"
calibrated = 2026-01-01
due = 2027-01-01
function = [
  { measures = "voltage", to = "100 kV", of_reading = "1e-7 %" },
  { measures = "current", to = "100 kA", of_reading = "1e-7 %" },
  { measures = "resistance", to = "100 kohm", of_reading = "1e-7 %" },
  { measures = "angle", from = "-180 deg", to = "180 deg", floor = "1e-9 deg" },
  { measures = "ratio-error", from = "-90 %", to = "90 %", floor = "1e-9 %" },
  { measures = "phase", from = "-10800 arcmin", to = "10800 arcmin", floor = "1e-9 arcmin" },
  { measures = "insulation", to = "1000 Tohm", of_reading = "1e-7 %" },
]
"#;

/// A record of one IEC core `S` with the terminals S1 and S2, and one visit.
pub fn iec(core: &str, visit: &str) -> String {
    record(
        "IEC 61869-2:2012",
        "50 Hz",
        &format!("[core S]\nmarks: S1 S2\n{core}"),
        visit,
    )
}

/// A record of one IEEE core `X`, and one visit.
pub fn ieee(core: &str, visit: &str) -> String {
    record(
        "IEEE C57.13-2008",
        "60 Hz",
        &format!("[core X]\n{core}"),
        visit,
    )
}

fn record(standard: &str, frequency: &str, core: &str, visit: &str) -> String {
    let plate = format!(
        "format: 1\n\n[ct]\nid: PUB-1\nstandard: {standard}\nfrequency: {frequency}\nhighest voltage: 24 kV\nprimary turns: 1\n"
    );
    format!(
        "{plate}\n{core}\n\n[visit 2026-03-01]\npurpose: investigation\ninstrument: F1\n\n{visit}\n"
    )
}

/// A section `[excitation]` of volts and amperes.
pub fn exciting(pair: &str, points: &[(f64, f64)]) -> String {
    let rows: Vec<String> = points
        .iter()
        .map(|(v, i)| format!("{v:.9}  {i:.12}"))
        .collect();
    format!(
        "[excitation {pair}]\nvoltmeter: mean\nvoltage/V  current/A\n{}\n",
        rows.join("\n")
    )
}

/// Gathers a record with files beside it.
pub fn whole(record: &str, files: &[(&str, &str)]) -> Job {
    let memory = Memory::default();
    memory.put("one.ctr", record);
    for (name, text) in files {
        memory.put(*name, *text);
    }
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
        "{told:?} {:?}\n{record}",
        gathered.others
    );
    gathered
}

/// What the JSON says of one record.
pub struct Told(Value);

/// Reads a record through the whole program, with the exact instrument.
pub fn told(record: &str) -> Told {
    told_by(record, &[("instruments.toml", FINE)])
}

/// Reads a record with files of its own beside it.
pub fn told_by(record: &str, files: &[(&str, &str)]) -> Told {
    Told(serde_json::from_str(&document(&whole(record, files))).unwrap())
}

fn text<'a>(finding: &'a Value, key: &str) -> &'a str {
    finding[key].as_str().unwrap_or("")
}

impl Told {
    /// The findings of a rule.
    pub fn findings(&self, rule: &str) -> Vec<&Value> {
        let all = self.0["records"][0]["findings"].as_array().unwrap();
        all.iter()
            .filter(|finding| finding["rule"] == rule)
            .collect()
    }

    /// The only finding of a rule whose subject holds these words.
    pub fn about(&self, rule: &str, words: &str) -> &Value {
        let found: Vec<&Value> = self
            .findings(rule)
            .into_iter()
            .filter(|finding| text(finding, "what").contains(words))
            .collect();
        let [one] = found.as_slice() else {
            panic!(
                "{} findings of {rule} about {words:?}: {:#}",
                found.len(),
                self.0["records"][0]["findings"]
            )
        };
        one
    }

    /// The value of the only finding of a rule, in the finding's unit.
    pub fn value(&self, rule: &str) -> f64 {
        self.value_about(rule, "")
    }

    pub fn value_about(&self, rule: &str, words: &str) -> f64 {
        let finding = self.about(rule, words);
        finding["value"]
            .as_f64()
            .unwrap_or_else(|| panic!("no value: {finding:#}"))
    }

    /// The verdict's word.
    pub fn verdict(&self, rule: &str) -> &str {
        text(self.about(rule, ""), "verdict")
    }

    pub fn verdict_about(&self, rule: &str, words: &str) -> &str {
        text(self.about(rule, words), "verdict")
    }

    /// The number that follows these words in a remark of a finding.
    pub fn remarked(&self, rule: &str, words: &str) -> f64 {
        let finding = self.about(rule, "");
        let remarks = finding["remarks"]
            .as_array()
            .unwrap()
            .iter()
            .filter_map(Value::as_str);
        let rest = remarks
            .filter_map(|remark| remark.split_once(words))
            .map(|(_, rest)| rest.trim_start())
            .next();
        let rest = rest.unwrap_or_else(|| panic!("no remark with {words:?}: {finding:#}"));
        let end = rest
            .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
            .unwrap_or(rest.len());
        rest[..end].trim_end_matches('.').parse().unwrap()
    }

    /// The value in SI of a step of the workings.
    pub fn step(&self, what: &str) -> f64 {
        let steps = self.0["records"][0]["steps"].as_array().unwrap();
        let found: Vec<f64> = steps
            .iter()
            .filter(|step| step["what"] == what)
            .filter_map(|step| step["si"].as_f64())
            .collect();
        assert!(
            found.windows(2).all(|pair| pair[0] == pair[1]),
            "{what}: {found:?}"
        );
        *found.first().unwrap_or_else(|| {
            panic!(
                "no step {what:?} among {:?}",
                steps.iter().map(|s| text(s, "what")).collect::<Vec<_>>()
            )
        })
    }
}
