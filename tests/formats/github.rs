//! Workflow commands: one line each, read back as a CI reads them.

use super::{demo, hostile, smallest};
use kneemark::document::Grade;
use kneemark::emit::{document, github::Annotations, sarif::Log};
use kneemark::ground::calm::steers;
use kneemark::job::Job;
use std::collections::BTreeMap;

/// A command taken apart: level, properties, message. At the first `::` behind the properties these end, and at each
/// comma one of them.
fn read(line: &str) -> (&str, BTreeMap<&str, String>, String) {
    let plain = |text: &str| {
        let text = text.replace("%2C", ",").replace("%3A", ":");
        text.replace("%0A", "\n")
            .replace("%0D", "\r")
            .replace("%25", "%")
    };
    let rest = line.strip_prefix("::").expect("a command");
    let (command, message) = rest.split_once("::").expect("a message");
    let (level, properties) = command.split_once(' ').expect("properties");
    let properties = properties.split(',').map(|property| {
        let (name, value) = property.split_once('=').expect("a value");
        (name, plain(value))
    });
    (level, properties.collect(), plain(message))
}

/// They tell what SARIF tells.
#[test]
fn every_result_is_a_line() {
    for job in [demo(), smallest(), &hostile(), &Job::default()] {
        let text = document::<Annotations>(job, Grade::Fails);
        let log: serde_json::Value =
            serde_json::from_str(&document::<Log>(job, Grade::Fails)).expect("it is JSON");
        let results = log["runs"][0]["results"].as_array().expect("results");
        assert_eq!(text.lines().count(), results.len());
        for (line, result) in text.lines().zip(results) {
            let (level, properties, message) = read(line);
            let same = match result["level"].as_str() {
                Some("note") => "notice",
                Some(level) => level,
                None => "",
            };
            assert_eq!(level, same, "{line}");
            let region = &result["locations"][0]["physicalLocation"]["region"];
            let at = region["startLine"].as_u64().map(|line| line.to_string());
            assert_eq!(properties.get("line"), at.as_ref(), "{line}");
            let rule = result["ruleId"].as_str().expect("a rule");
            assert!(properties["title"].ends_with(&format!(" {rule}")), "{line}");
            assert!(
                !message.is_empty() && properties["file"].ends_with(['r', 'l']),
                "{line}"
            );
        }
    }
}

#[test]
fn no_text_begins_a_command_of_its_own() {
    let text = document::<Annotations>(&hostile(), Grade::Fails);
    assert!(
        text.contains("%253A%253Aerror") || text.contains("%3A%3Aerror"),
        "{text}"
    );
    for line in text.lines() {
        assert!(
            [
                "::error file=job/",
                "::warning file=job/",
                "::notice file=job/",
                "::error file=criteria.toml"
            ]
            .iter()
            .any(|start| line.starts_with(start)),
            "{line}"
        );
        assert_eq!(line.chars().find(|c| steers(*c)), None);
    }
}
