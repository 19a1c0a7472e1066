//! Every number of a job replaced by an absurd one: what comes out holds no number that is none.

use super::{PACK, answered};
use kneemark::ground::seam::Memory;
use std::path::Path;

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

const RECORDS: [&str; 4] = [
    "skerrow/h07/h07-l1.ctr",
    "skerrow/e1/e1-l1.ctr",
    "skerrow/h08/h08-l1.ctr",
    "skerrow/aux/q4-l3.ctr",
];

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
                    files.put("job/pack.toml", PACK.replace("*.ctr", "**/*.ctr"));
                    // What the record itself says may stand.
                    let own = if matches!(absurd, "nan" | "inf") {
                        absurd
                    } else {
                        ""
                    };
                    let line = whole[..place.start].lines().count();
                    let held = std::panic::catch_unwind(|| answered(&files, own));
                    assert!(
                        held.is_ok(),
                        "{changed}:{line}: {absurd} for {}",
                        &whole[place.clone()]
                    );
                }
            }
        }
    }
    assert!(tried > 20, "{tried}");
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
