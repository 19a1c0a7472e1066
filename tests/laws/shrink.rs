//! A better instrument never makes a sound CT bad.

use super::cases;
use crate::demo::{files, planted};
use kneemark::compile;
use kneemark::document::Grade;
use kneemark::ground::seam::Memory;
use kneemark::job::Job;
use proptest::prelude::*;
use std::path::PathBuf;
use std::sync::OnceLock;

/// The sound records of the demo job, with instruments that err this many times as much.
fn sound(times: f64) -> Job {
    let memory = Memory::default();
    let healthy: Vec<String> = planted()
        .into_iter()
        .filter(|one| one.fault == "none")
        .map(|one| one.file)
        .collect();
    for (name, text) in files() {
        if name == "instruments.toml" {
            memory.put("job/instruments.toml", scaled(&text, times));
        } else if name.ends_with(".toml") || healthy.contains(&name) {
            memory.put(format!("job/{name}"), text);
        }
    }
    let gathered = compile(&memory, &[PathBuf::from("job")]);
    assert!(
        gathered.records.len() >= 10 && gathered.others.is_empty(),
        "{} {:?}",
        gathered.records.len(),
        gathered.others
    );
    gathered
}

/// The accuracy statements of an `instruments.toml`, each so many times as large.
fn scaled(text: &str, times: f64) -> String {
    let mut changed = 0;
    let mut line = |line: &str| {
        let Some((key, stated)) = line.split_once(" = ") else {
            return line.to_owned();
        };
        let number = |text: &str| text.parse::<f64>().unwrap() * times;
        match key {
            "of_reading" | "of_range" | "floor" => {
                let (digits, unit) = stated.trim_matches('"').split_once(' ').unwrap();
                changed += 1;
                format!("{key} = \"{:.12} {unit}\"", number(digits))
            }
            "digits" => format!("{key} = {:.12}", number(stated)),
            _ => line.to_owned(),
        }
    };
    let lines: Vec<String> = text.lines().map(&mut line).collect();
    assert!(changed > 10, "{changed}");
    lines.join("\n")
}

/// What is bad, by record and finding.
fn bad(gathered: &Job) -> Vec<String> {
    let all = gathered.records.iter().flat_map(|unit| {
        let visits = unit.assessment.visits.iter().zip(&unit.record.visits);
        // What was found and made again on the day is cured.
        visits
            .filter(|(_, visit)| !visit.as_found())
            .flat_map(|(visit, _)| &visit.findings)
            .filter(|finding| finding.grade() == Grade::Fails)
            .map(|finding| {
                format!(
                    "{}: {} {}",
                    unit.source.name,
                    finding.rule.id,
                    kneemark::judge::words::what(finding)
                )
            })
    });
    all.collect()
}

/// Findings with a word, by record: a better instrument loses none of them.
fn good(gathered: &Job) -> usize {
    gathered
        .records
        .iter()
        .flat_map(|unit| &unit.assessment.visits)
        .flat_map(|visit| &visit.findings)
        .filter(|f| f.grade() == Grade::Pass)
        .count()
}

fn as_they_are() -> usize {
    static GOOD: OnceLock<usize> = OnceLock::new();
    *GOOD.get_or_init(|| {
        let job = sound(1.0);
        assert_eq!(bad(&job), Vec::<String>::new());
        good(&job)
    })
}

proptest! {
    #![proptest_config(cases(6))]
    #[test]
    fn a_better_instrument_makes_no_sound_ct_bad(times in prop_oneof![Just(1e-9), 1e-3..1.0f64]) {
        let known = as_they_are();
        let job = sound(times);
        prop_assert_eq!(bad(&job), Vec::<String>::new());
        prop_assert!(good(&job) >= known, "{} of {known}", good(&job));
    }
}
