//! SARIF: against the schema of the standard, and against what the job holds.

use super::{demo, hostile, smallest};
use kneemark::compile;
use kneemark::document::Grade;
use kneemark::emit::{document, sarif::Log};
use kneemark::ground::calm::steers;
use kneemark::ground::diagnostic::{Mend, Severity};
use kneemark::ground::seam::Memory;
use kneemark::ground::source::Source;
use kneemark::job::Job;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

fn log(job: &Job) -> Value {
    serde_json::from_str(&document::<Log>(job, Grade::Fails)).expect("it is JSON")
}

fn results(log: &Value) -> &[Value] {
    log["runs"][0]["results"].as_array().expect("results")
}

#[test]
fn it_is_what_the_standard_asks_for() {
    let schema = include_str!("sarif-schema-2.1.0.json");
    let mut schema: Value = serde_json::from_str(schema).expect("a schema");
    // Its pattern for languages has a bracket too many, so that it is no regular expression; no language is told.
    for of in ["run", "toolComponent"] {
        let language = &mut schema["definitions"][of]["properties"]["language"];
        language
            .as_object_mut()
            .expect("a property")
            .remove("pattern");
    }
    let validator = jsonschema::draft7::options()
        .should_validate_formats(true)
        .build(&schema)
        .expect("a schema");
    for job in [demo(), smallest(), &hostile(), &Job::default()] {
        let log = log(job);
        let wrong: Vec<String> = validator
            .iter_errors(&log)
            .take(5)
            .map(|error| format!("{}: {error}", error.instance_path()))
            .collect();
        assert_eq!(wrong, [""; 0]);
    }
    // The schema can refuse.
    let mut log = log(demo());
    log["runs"][0]["results"][0]["level"] = "bad".into();
    assert!(!validator.is_valid(&log));
}

/// The rules of the results are told, each once, and no others.
#[test]
fn its_rules_are_those_of_its_results() {
    for job in [demo(), smallest()] {
        let log = log(job);
        let used: BTreeSet<&str> = results(&log)
            .iter()
            .map(|result| result["ruleId"].as_str().expect("a rule"))
            .collect();
        let rules = log["runs"][0]["tool"]["driver"]["rules"].as_array();
        let told: Vec<&str> = rules
            .expect("rules")
            .iter()
            .map(|rule| rule["id"].as_str().expect("an id"))
            .collect();
        assert_eq!(told.len(), used.len());
        assert_eq!(told.into_iter().collect::<BTreeSet<_>>(), used);
        assert!(used.len() > 25, "{used:?}");
    }
}

/// Every diagnostic, and every finding that stands and is no pass, at its level.
#[test]
fn its_levels_are_those_of_the_job() {
    for job in [demo(), smallest()] {
        let mut expected = BTreeMap::from([("error", 0), ("note", 0), ("warning", 0)]);
        let mut count = |level| *expected.entry(level).or_insert(0) += 1;
        for told in job.diagnostics().flat_map(|(_, told)| told) {
            count(match told.severity() {
                Severity::Error => "error",
                Severity::Warning => "warning",
            });
        }
        for one in &job.records {
            for finding in one.claims().counted() {
                match finding.grade() {
                    Grade::Fails => count("error"),
                    Grade::Review => count("warning"),
                    Grade::Open => count("note"),
                    Grade::Pass | Grade::Info => {}
                }
            }
        }
        let log = log(job);
        let mut told = BTreeMap::new();
        for result in results(&log) {
            let level = result["level"].as_str().expect("a level");
            *told.entry(level).or_insert(0) += 1;
        }
        assert_eq!(told, expected);
    }
}

/// A text changed at places that are counted as SARIF says: lines, and characters within them.
fn changed(text: &str, replacements: &[Value]) -> String {
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    let byte = |line: &Value, column: &Value| {
        let (line, column) = (
            line.as_u64().unwrap() as usize,
            column.as_u64().unwrap() as usize,
        );
        let before: usize = lines[..line - 1].iter().map(|line| line.len()).sum();
        let line = lines.get(line - 1).copied().unwrap_or("");
        before
            + line
                .chars()
                .take(column - 1)
                .map(char::len_utf8)
                .sum::<usize>()
    };
    let edits = replacements.iter().map(|one| {
        let region = &one["deletedRegion"];
        let start = byte(&region["startLine"], &region["startColumn"]);
        let end = byte(&region["endLine"], &region["endColumn"]);
        (start..end, one["insertedContent"]["text"].as_str().unwrap())
    });
    edited(text, edits.collect())
}

fn edited(text: &str, mut edits: Vec<(std::ops::Range<usize>, &str)>) -> String {
    edits.sort_by_key(|(range, _)| range.start);
    let mut text = text.to_owned();
    for (range, new) in edits.into_iter().rev() {
        text.replace_range(range, new);
    }
    text
}

fn mended(source: &Source, mend: &Mend) -> String {
    let edits = mend.edits.iter();
    let edits = edits.map(|(span, new)| (span.range(), new.as_str()));
    edited(&source.text, edits.collect())
}

/// Applied as the standard says, each fix gives the text that its mend gives.
#[test]
fn its_fixes_change_what_the_mends_change() {
    let job = smallest();
    let log = log(job);
    let mut fixes: Vec<String> = Vec::new();
    let texts: BTreeMap<&str, &Source> = job
        .records
        .iter()
        .map(|one| (one.source.name.as_str(), &one.source))
        .chain(
            job.others
                .iter()
                .map(|one| (one.source.name.as_str(), &one.source)),
        )
        .collect();
    for result in results(&log) {
        for fix in result["fixes"].as_array().into_iter().flatten() {
            let change = &fix["artifactChanges"][0];
            let name = change["artifactLocation"]["uri"].as_str().expect("a place");
            let replacements = change["replacements"].as_array().expect("replacements");
            fixes.push(changed(&texts[name].text, replacements));
        }
    }
    let mut expected: Vec<String> = Vec::new();
    for (source, told) in job.diagnostics() {
        let mends = told.iter().flat_map(|one| &one.mends);
        expected.extend(mends.map(|mend| mended(source, mend)));
    }
    fixes.sort();
    expected.sort();
    assert!(expected.len() > 40, "{}", expected.len());
    assert!(fixes == expected);
}

/// Characters are counted, neither bytes nor halves of UTF-16: behind `Ω😀` they differ by three and by one.
#[test]
fn its_columns_are_characters() {
    let files = Memory::default();
    files.put(
        "Ω 1.ctr",
        "format: 1\n[ct]\nid: A1\nstandard: IEC 61869-2:2012\n[core S]\nratio: 600/1\nΩ😀 5P20\n",
    );
    let job = compile(&files, &[PathBuf::from("Ω 1.ctr")]);
    let log = log(&job);
    assert_eq!(log["runs"][0]["columnKind"], "unicodeCodePoints");
    let line = results(&log)
        .iter()
        .find(|one| one["ruleId"] == "stray-line")
        .expect("told");
    let place = &line["locations"][0]["physicalLocation"];
    assert_eq!(place["artifactLocation"]["uri"], "%CE%A9%201.ctr");
    let region = r#"{"startLine":7,"startColumn":1,"endLine":7,"endColumn":8}"#;
    assert_eq!(
        place["region"],
        serde_json::from_str::<Value>(region).unwrap()
    );
}

#[test]
fn no_text_steers_it() {
    let text = document::<Log>(&hostile(), Grade::Fails);
    let odd = text.chars().find(|c| steers(*c) && *c != '\n');
    assert_eq!(odd, None);
}
