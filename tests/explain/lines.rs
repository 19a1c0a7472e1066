//! Lines: what a reading goes into is told, and no line is without an answer.

use super::{explain, printed};
use kneemark::compile;
use kneemark::ground::seam::Memory;
use kneemark::job::{Compiled, Job};
use kneemark::judge::finding::Finding;
use kneemark::report::line::{Place, explained};
use kneemark::report::manual::Said;
use std::path::{Path, PathBuf};

const FILE: &str = "records/skerrow/h07/h07-l1.ctr";

fn text() -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(FILE)).unwrap()
}

/// The number of the first line that begins so, behind the one that begins with `after`.
fn number(text: &str, after: &str, begin: &str) -> usize {
    let mut lines = text.lines().enumerate();
    assert!(lines.any(|(_, line)| line.starts_with(after)), "{after}");
    let found = lines.find(|(_, line)| line.trim_start().starts_with(begin));
    found.unwrap_or_else(|| panic!("no line {begin}")).0 + 1
}

fn told(after: &str, begin: &str, more: &[&str]) -> String {
    let place = format!("{FILE}:{}", number(&text(), after, begin));
    printed(&[&[place.as_str()], more].concat())
}

#[test]
fn a_row_of_the_resistance_test() {
    insta::assert_snapshot!(told("[resistance]", "1S1-1S2", &[]));
}

#[test]
fn a_row_of_an_excitation_curve() {
    insta::assert_snapshot!(told("[excitation 2S1-2S2]", "416.6", &[]));
}

#[test]
fn the_burden_of_a_core() {
    insta::assert_snapshot!(told("[core 1S]", "burden:", &[]));
}

#[test]
fn a_line_of_a_duty() {
    insta::assert_snapshot!(told("[duty 2S", "required knee:", &[]));
}

#[test]
fn all_steps_are_listed_when_asked_for() {
    let (short, all) = (
        told("[resistance]", "1S1-1S2", &[]),
        told("[resistance]", "1S1-1S2", &["--all"]),
    );
    let count = |text: &str| text.lines().filter(|line| line.starts_with("  - ")).count();
    let more: usize = short
        .lines()
        .filter(|line| line.ends_with("`--all` lists them."))
        .map(|line| {
            line.split_whitespace()
                .next()
                .unwrap()
                .parse::<usize>()
                .unwrap()
        })
        .sum();
    assert!(more > 5, "{short}");
    assert_eq!(count(&all), count(&short) + more);
}

fn compiled(text: &str) -> Job {
    let files = Memory::default();
    for file in ["instruments.toml", "criteria.toml"] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("records")
            .join(file);
        files.put(format!("a/{file}"), std::fs::read(path).unwrap());
    }
    files.put("a/a.ctr", text);
    compile(&files, &[PathBuf::from("a/a.ctr")])
}

fn said(ct: &Compiled, line: usize, column: Option<usize>) -> String {
    let said = explained(ct, Place { line, column }, true).unwrap();
    let texts: Vec<&str> = said.iter().map(Said::text).collect();
    texts.join("\n")
}

/// Another last digit changes values. Each finding whose value is another one then rests on the line, and is told
/// there; so the walk over the ledger misses nothing.
#[test]
fn a_finding_that_moves_with_a_reading_is_told_at_its_line() {
    let text = text();
    let before = compiled(&text);
    let ct = &before.records[0];
    let mut moved = 0;
    for (after, begin, from, to) in [
        ("[resistance]", "1S1-1S2", "1.3494", "1.3498"),
        ("[resistance]", "3S1-3S3", "0.49949", "0.49959"),
        ("[excitation 1S1-1S2]", "434.0", "6.188", "6.190"),
        ("[excitation 2S1-2S2]", "395.7", "5.893", "5.895"),
        ("[ratio]", "2S1-2S2", "197.43", "197.45"),
        ("[burden]", "1S1-1S2", "1.093", "1.095"),
        ("[insulation]", "1S to", "17.4", "17.6"),
        ("[self-check]", "leads", "0.0125", "0.0126"),
        ("[core 1S]", "burden", "15 VA", "16 VA"),
        ("[core 1S]", "resistance", "3.40", "3.41"),
        ("[duty 1S", "x/r", "14", "15"),
        ("[duty 2S", "fault current", "25", "26"),
    ] {
        let line = number(&text, after, begin);
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        let changed = lines[line - 1].replacen(from, to, 1);
        assert_ne!(changed, lines[line - 1], "{after} {begin}");
        lines[line - 1] = changed;
        let other = compiled(&(lines.join("\n") + "\n"));
        let all = said(ct, line, None);
        let others: Vec<&Finding> = other.records[0].findings().collect();
        for one in ct.findings() {
            let same = others.iter().find(|other| other.is_same(one));
            let (Some(value), Some(Some(now))) = (one.value(), same.map(|same| same.value()))
            else {
                continue;
            };
            if (value.si - now.si).abs() > 1e-9 * value.si.abs() {
                moved += 1;
                let sentence = ct.sentence(one);
                assert!(
                    all.contains(&sentence),
                    "{after} {begin}: {sentence} is not in\n{all}"
                );
            }
        }
    }
    assert!(moved > 30, "{moved}");
}

/// A doubt of a whole curve points at one row and is told at each.
#[test]
fn a_doubt_of_its_section_is_told() {
    let place = "records/skerrow/h08/h08-l1.ctr";
    let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(place)).unwrap();
    let line = number(&text, "[visit 2026-09-16]", "242.3");
    let all = printed(&[&format!("{place}:{line}")]);
    assert!(all.contains("fails `shorted-turn-suspected`"), "{all}");
}

/// What is of another core does not rest on it.
#[test]
fn another_core_is_not_named() {
    let text = text();
    let job = compiled(&text);
    let all = said(
        &job.records[0],
        number(&text, "[resistance]", "1S1-1S2"),
        None,
    );
    assert!(
        all.contains("1S 1S1-1S2: winding resistance at 75") && !all.contains("2S"),
        "{all}"
    );
}

#[test]
fn a_column_asks_for_one_value() {
    let text = text();
    let job = compiled(&text);
    let ct = &job.records[0];
    let line = number(&text, "[resistance]", "1S1-1S2");
    let column = text.lines().nth(line - 1).unwrap().find("1.3494").unwrap() + 1;
    let one = said(ct, line, Some(column + 2));
    assert!(
        one.contains("voltage: 1.3494 V") && !one.contains("current: 0.49991"),
        "{one}"
    );
    assert!(
        explained(
            ct,
            Place {
                line,
                column: Some(99)
            },
            false
        )
        .is_err()
    );
    assert!(
        explained(
            ct,
            Place {
                line,
                column: Some(0)
            },
            false
        )
        .is_err()
    );
}

#[test]
fn a_comment_a_blank_line_and_a_slip_say_what_they_are() {
    let text = "format: 1\n# who knows\n\n[ct]\nid: A\nstandard: IEC 61869-2:2012\nmaker Brandal\n[core S]\nratio: 600/1\nburdn: 15 VA\n";
    let files = Memory::default();
    files.put("a.ctr", text);
    let job = compile(&files, &["a.ctr".into()]);
    let of = |line| said(&job.records[0], line, None);
    assert!(
        of(2).contains("A comment.") && !of(2).contains("rests"),
        "{}",
        of(2)
    );
    assert!(of(3).contains("A blank line."), "{}", of(3));
    assert!(of(4).contains("Opens `[ct]`"), "{}", of(4));
    assert!(
        of(7).contains("`maker:` Brandal") && of(7).contains("error colon-missing"),
        "{}",
        of(7)
    );
    assert!(
        of(10).contains("It is not understood") && of(10).contains("did you mean `burden`?"),
        "{}",
        of(10)
    );
    let none = explained(
        &job.records[0],
        Place {
            line: 11,
            column: None,
        },
        false,
    );
    assert_eq!(none, Err("a.ctr has 10 lines, the first is 1".to_owned()));
}

#[test]
fn what_cannot_be_answered_has_its_exit_code() {
    for (place, code, told) in [
        (format!("{FILE}:9999"), 64, "the first is 1"),
        (format!("{FILE}:0"), 64, "the first is 1"),
        (format!("{FILE}:1:9999"), 64, "characters"),
        ("records/skerrow/none.ctr:1".to_owned(), 2, "is no record"),
        ("records/skerrow:1".to_owned(), 2, "is no record"),
    ] {
        let done = explain(&[&place]);
        let complaint = String::from_utf8(done.stderr).unwrap();
        assert_eq!(done.status.code(), Some(code), "{place}: {complaint}");
        assert!(
            complaint.contains(told) && done.stdout.is_empty(),
            "{place}: {complaint}"
        );
    }
}

/// Every line of every record of a job answers, with and without the rest.
fn answers(job: &Job) -> usize {
    let mut lines = 0;
    for ct in &job.records {
        let count = ct.record.written.tree.lines.len();
        for line in 1..=count {
            let said = explained(ct, Place { line, column: None }, line % 2 == 0).unwrap();
            assert!(said.len() >= 2, "{} {line}: {said:?}", ct.source.name);
            assert!(
                said.iter().all(|one| !one.text().is_empty()),
                "{} {line}",
                ct.source.name
            );
        }
        let beyond = Place {
            line: count + 1,
            column: None,
        };
        assert!(explained(ct, beyond, false).is_err(), "{}", ct.source.name);
        lines += count;
    }
    lines
}

#[test]
fn every_line_of_the_demo_job_answers() {
    let files = Memory::default();
    for (path, text) in crate::demo::files() {
        files.put(format!("records/{path}"), text);
    }
    let lines = answers(&compile(&files, &[PathBuf::from("records")]));
    assert!(lines > 5000, "{lines}");
}

/// Torn records as well: each alone, as the smallest that shows its diagnostic.
#[test]
fn every_line_and_column_of_the_corpus_answers() {
    let mut lines = 0;
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/corpus")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            if path.extension().is_none_or(|ending| ending != "ctr") {
                continue;
            }
            let files = Memory::default();
            files.put("a.ctr", std::fs::read(&path).unwrap());
            let job = compile(&files, &["a.ctr".into()]);
            lines += answers(&job);
            let Some(ct) = job.records.first().filter(|ct| !ct.source.refused) else {
                continue;
            };
            for (index, line) in ct.source.text.lines().enumerate() {
                let length = line.trim_end_matches('\r').chars().count();
                for column in (1..=length).step_by(5) {
                    let place = Place {
                        line: index + 1,
                        column: Some(column),
                    };
                    assert!(
                        explained(ct, place, false).is_ok(),
                        "{} {place:?}",
                        path.display()
                    );
                }
            }
        }
    }
    assert!(lines > 1000, "{lines}");
}
