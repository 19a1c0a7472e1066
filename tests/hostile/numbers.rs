//! Every number of a job replaced by an absurd one: what comes out holds no number that is none.

use super::holds_numbers_only;
use kneemark::cli::check::{Format, text};
use kneemark::cli::draw::Style;
use kneemark::compile;
use kneemark::emit::json;
use kneemark::ground::seam::Memory;
use kneemark::job::Job;
use kneemark::pack::build::Planned;
use kneemark::pack::sink::InMemory;
use kneemark::report::worksheet::{self, Options, Subject};
use std::path::{Path, PathBuf};

const ABSURD: [&str; 16] = [
    "0",
    "-0",
    "-1",
    "1e-12",
    "1e-30",
    "1e-200",
    "1e-310",
    "1e12",
    "1e30",
    "1e200",
    "1e308",
    "1e309",
    "99999999999999999999",
    "nan",
    "inf",
    "1e-2147483648",
];

/// Places of numbers in a text.
fn numbers(text: &str) -> Vec<std::ops::Range<usize>> {
    let bytes = text.as_bytes();
    let is_digit = |at: usize| {
        bytes
            .get(at)
            .is_some_and(|byte| byte.is_ascii_digit() || *byte == b'.')
    };
    let is_word = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_alphanumeric);
    let mut found = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let start = at;
        while is_digit(at) {
            at += 1;
        }
        if at > start && (start == 0 || !is_word(start - 1)) {
            found.push(start..at);
        }
        at = at.max(start + 1);
    }
    found
}

/// Everything that a job of one record gives.
fn outputs(files: &Memory) -> Vec<(String, String)> {
    let job: Job = compile(files, &[PathBuf::from("job")]);
    let mut made = vec![
        (
            "short".to_owned(),
            text(&job, Format::Short, true, Style::Plain),
        ),
        (
            "human".to_owned(),
            text(&job, Format::Human, true, Style::Plain),
        ),
    ];
    for one in &job.records {
        made.push(("json".to_owned(), json::record(one, std::iter::empty())));
        let subject = Subject {
            record: &one.record,
            criteria: &one.setting.criteria,
            instruments: one.setting.instruments.as_deref(),
            assessment: &one.assessment,
            errors: one.errors().count(),
        };
        let options = Options {
            core: None,
            celsius: 20.0,
            purpose: "commissioning",
            paper: Default::default(),
        };
        if let Ok(sheet) = worksheet::worksheet(&[subject], &options) {
            made.extend([
                ("sheet.md".to_owned(), sheet.markdown),
                ("sheet.html".to_owned(), sheet.html),
            ]);
        }
    }
    if let Ok(planned) = Planned::of(files, Path::new("job/pack.toml")) {
        let sink = InMemory::default();
        planned.write(false, &sink).expect("room");
        let files = sink.into_files().into_iter();
        made.extend(files.map(|(name, bytes)| (name, String::from_utf8(bytes).expect("text"))));
    }
    made
}

const RECORDS: [&str; 4] = [
    "skerrow/h07/h07-l1.ctr",
    "skerrow/e1/e1-l1.ctr",
    "skerrow/h08/h08-l1.ctr",
    "skerrow/aux/q4-l3.ctr",
];
const ANNEXES: &str =
    "[annex]\nvalues = true\nreadings = true\nearlier = true\nworkings = true\nsources = true\n";

/// Tries every so many-th replacement, beginning at one.
fn sweep(step: usize, first: usize) {
    let demo = crate::demo::files();
    let mut cases = 0;
    let mut tried = 0;
    for record in RECORDS {
        for changed in [record, "instruments.toml", "criteria.toml"] {
            let whole = &demo[changed];
            for place in numbers(whole) {
                for absurd in ABSURD {
                    cases += 1;
                    if cases % step != first {
                        continue;
                    }
                    tried += 1;
                    let mut text = whole.clone();
                    text.replace_range(place.clone(), absurd);
                    let files = Memory::default();
                    for name in [record, "instruments.toml", "criteria.toml"] {
                        let own = if name == changed { &text } else { &demo[name] };
                        files.put(Path::new("job").join(name), own.as_str());
                    }
                    files.put(
                        "job/pack.toml",
                        format!("records = [\"**/*.ctr\"]\n{ANNEXES}"),
                    );
                    for (name, made) in outputs(&files) {
                        // What the record itself says may stand.
                        let own = if matches!(absurd, "nan" | "inf") {
                            absurd
                        } else {
                            ""
                        };
                        let line = whole[..place.start].lines().count();
                        let of =
                            format!("{changed}:{line}: {absurd} for {}", &whole[place.clone()]);
                        let held = std::panic::catch_unwind(|| holds_numbers_only(&made, own));
                        assert!(held.is_ok(), "{of}: {name}");
                    }
                }
            }
        }
    }
    assert!(tried > 50, "{tried}");
}

#[test]
fn absurd_numbers_give_no_number_that_is_none() {
    sweep(1009, 7);
}

#[test]
#[ignore = "takes minutes; CI runs a part of it"]
fn every_absurd_number() {
    let step = std::env::var("EVERY").map_or(7, |every| every.parse().expect("a number"));
    for first in 0..step.min(2) {
        sweep(step, first);
    }
}
