//! No text can crash the pipeline, lead a message out of its file, or bring a number that is none
//! into what is printed.

mod crowd;
mod fuzz;
mod growth;
pub mod mutate;
mod numbers;
mod sinks;

use fuzz::job::oracle::{answered, holds_numbers_only, inside, nothing_steers, spans_lie_inside};
use kneemark::cli::check::{Format, text};
use kneemark::cli::draw::Style;
use kneemark::compile;
use kneemark::ground::seam::Memory;
use kneemark::ground::source::Source;
use kneemark::ground::span::Span;
use proptest::prelude::*;
use std::path::PathBuf;

/// A record among the instruments and criteria of the demo, in a pack of its own with all annexes.
fn job_of(record: &[u8]) -> Memory {
    let (memory, demo) = (Memory::default(), crate::demo::files());
    for name in ["instruments.toml", "criteria.toml"] {
        memory.put(
            format!("job/{name}"),
            demo.get(name).cloned().unwrap_or_default(),
        );
    }
    memory.put("job/pack.toml", PACK);
    memory.put("job/record.ctr", record);
    memory
}

/// Runs every command over one record, and holds what comes out to the promises.
fn survives(record: &[u8]) {
    answered(&job_of(record), &String::from_utf8_lossy(record));
}

/// The same for what `check` does alone, where a record is very long.
fn is_checked(record: &[u8]) {
    let job = compile(&job_of(record), &[PathBuf::from("job")]);
    spans_lie_inside(&job);
    for (format, style) in [
        (Format::Short, Style::Plain),
        (Format::Human, Style::Unicode),
    ] {
        let said = text(&job, format, true, style);
        nothing_steers("check", &said);
        holds_numbers_only("check", &said, &String::from_utf8_lossy(record));
    }
}

const PACK: &str = "records = [\"*.ctr\"]\n[annex]\nvalues = true\nreadings = true\nearlier = true\nworkings = true\nsources = true\n";

const PIECES: &[&str] = &[
    "[",
    "]",
    ":",
    " ",
    "\n",
    "\n",
    "\n",
    "\r\n",
    "\t",
    "#",
    "|",
    "/",
    "-",
    "+-",
    ">",
    "<",
    ",",
    ".",
    ";",
    "0",
    "1",
    "9",
    "1e300",
    "-1",
    "e",
    "A",
    "V",
    "ohm",
    "µ",
    "\u{A0}",
    "\u{2212}",
    "\u{2013}",
    "\u{2126}",
    "\u{202E}",
    "\u{9B}",
    "\u{FEFF}",
    "é",
    "😀",
    "[ct]\n",
    "id: A\n",
    "[core S]\n",
    "[core 1S]\n",
    "ratio: 600/1 A\n",
    "class: 5P20\n",
    "burden: 15 VA\n",
    "[visit 2026-03-14]\n",
    "[excitation S1-S2]\n",
    "voltage/V  current/mA\n",
    "100 2.84\n",
    "[ratio]\n",
    "on  applied/V  induced/mV\n",
    "[insulation]\n",
    "between  voltage/V  time/s  resistance/Gohm\n",
    "S to primary and earth  1000  60  >20\n",
    "not done ",
    "amended: ",
    "note: ",
    "core | in service\n",
    "tap ratio/A\n",
    "format: 1\n",
    "[duty S since 2026-03-14]\n",
    "marks: ",
    "like: A\n",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_text_is_answered(pieces in proptest::collection::vec(proptest::sample::select(PIECES), 0..120)) {
        survives(pieces.concat().as_bytes());
    }

    #[test]
    fn random_bytes_are_answered(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        survives(&bytes);
    }
}

#[test]
fn a_mark_that_turns_the_writing_reaches_no_visit() {
    for odd in ["\u{202E}", "\u{2028}"] {
        let core =
            format!("format: 1\n[ct]\nid: A\n[core S{odd}]\nmarks: {odd}P Q\nratio: 600/1 A\n");
        survives(core.as_bytes());
    }
}

#[test]
#[should_panic(expected = "points at")]
fn a_span_inside_a_character_is_seen() {
    inside(
        &Source::new("a.ctr", "é".as_bytes()).0,
        Span::new(0, 1),
        "made-up",
    );
}

#[test]
#[should_panic(expected = "NaN in")]
fn a_number_that_is_none_is_seen() {
    holds_numbers_only(
        "check",
        "a.ctr:1:1: note knee: the knee is NaN V",
        "format: 1\n",
    );
}

#[test]
fn a_reason_behind_a_verdict_steers_nothing() {
    let demo = crate::demo::files();
    let reason = "agreed scope is";
    let record = demo.iter().find(|(_, text)| text.contains(reason));
    let (_, text) = record.expect("a record of the demo gives this reason");
    for odd in ["\t", "\u{202E}", "\u{9B}"] {
        survives(
            text.replace(reason, &format!("agreed{odd}scope is"))
                .as_bytes(),
        );
    }
}

#[test]
#[should_panic(expected = "in what is printed")]
fn a_character_that_steers_is_seen() {
    nothing_steers("check", "red \u{1B}[31m");
}
