//! JUnit XML: well formed whatever stands in the record, and red where the exit code is.

use super::{demo, hostile, smallest};
use kneemark::document::Grade;
use kneemark::emit::{document, junit::Suites};
use kneemark::job::{Job, Outcome, outcome};
use roxmltree::{Document, Node};
use std::collections::BTreeSet;

fn xml(job: &Job, from: Grade) -> String {
    document::<Suites>(job, from)
}

fn elements<'a>(of: Node<'a, 'a>, name: &'static str) -> impl Iterator<Item = Node<'a, 'a>> {
    of.children().filter(move |node| node.has_tag_name(name))
}

fn count(suite: Node<'_, '_>, name: &str) -> usize {
    suite
        .attribute(name)
        .and_then(|text| text.parse().ok())
        .expect("a count")
}

/// A suite per record and per file that has something to say, whose counts are those of its cases.
#[test]
fn it_is_well_formed_and_counts_its_cases() {
    for job in [demo(), smallest(), &hostile(), &Job::default()] {
        let text = xml(job, Grade::Fails);
        let document = Document::parse(&text).expect("it is XML");
        let suites: Vec<_> = elements(document.root_element(), "testsuite").collect();
        assert_eq!(suites.len(), job.records.len() + job.others.len());
        for suite in suites {
            let cases: Vec<_> = elements(suite, "testcase").collect();
            assert_eq!(count(suite, "tests"), cases.len());
            for (told, name) in [
                ("failures", "failure"),
                ("errors", "error"),
                ("skipped", "skipped"),
            ] {
                let found = cases.iter().map(|case| elements(*case, name).count());
                assert_eq!(count(suite, told), found.sum::<usize>());
            }
            let names: BTreeSet<_> = cases.iter().map(|case| case.attribute("name")).collect();
            assert_eq!(
                names.len(),
                cases.len(),
                "each case has a name of its own: {names:?}"
            );
        }
    }
}

/// XML 1.0 has no escape for what it does not hold: its production of Char, typed from the standard.
#[test]
fn it_holds_only_characters_of_xml() {
    let text = xml(&hostile(), Grade::Fails);
    let held = |c: char| matches!(c, '\t' | '\n' | '\r' | ' '..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..);
    assert_eq!(text.chars().find(|c| !held(*c)), None);
    assert!(text.contains("]]&gt;--&gt;&lt;/x&gt;&quot;"), "{text}");
    let document = Document::parse(&text).expect("it is XML");
    let names: Vec<_> = elements(document.root_element(), "testsuite")
        .filter_map(|suite| suite.attribute("name"))
        .collect();
    assert!(
        names
            .iter()
            .any(|name| name.contains("]]>--></x>\"'&::error")),
        "{names:?}"
    );
}

/// What a CI shows in red is what the exit code says, whatever is to count as failing.
#[test]
fn its_failures_and_errors_are_the_exit_code() {
    let mut seen = BTreeSet::new();
    for job in [demo(), smallest()] {
        for from in [Grade::Fails, Grade::Review, Grade::Open] {
            let text = xml(job, from);
            let document = Document::parse(&text).expect("it is XML");
            let suites = elements(document.root_element(), "testsuite");
            for (one, suite) in job.records.iter().zip(suites) {
                let read = count(suite, "errors") == 0;
                let came = outcome(read, count(suite, "failures") > 0);
                assert_eq!(came, one.outcome(from), "{} {from:?}", one.source.name);
                let fails = one.claims().worst_of_all() >= from;
                assert_eq!(
                    count(suite, "failures") > 0,
                    fails,
                    "{} {from:?}",
                    one.source.name
                );
                seen.insert((format!("{from:?}"), came));
            }
        }
    }
    assert_eq!(
        seen.len(),
        3 * [Outcome::Clean, Outcome::Fails, Outcome::Broken].len()
    );
}

#[test]
fn a_requirement_that_is_not_met_says_why() {
    let text = xml(demo(), Grade::Fails);
    let document = Document::parse(&text).expect("it is XML");
    let case = document.descendants().find(|node| {
        let is_of = node.attribute("classname") == Some("BRW-25-41304");
        is_of && node.attribute("name") == Some("exciting current at 300 V of 2S")
    });
    let failure = elements(case.expect("the case"), "failure")
        .next()
        .expect("it fails");
    assert_eq!(failure.attribute("message"), Some("not met"));
    let said = failure.text().expect("the finding");
    assert!(
        said.starts_with(
            "records/skerrow/h08/h08-l1.ctr:230:1: fails exciting-current: 2S 2S1-2S2: "
        ),
        "{said}"
    );
}
