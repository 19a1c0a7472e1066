//! No text can crash the pipeline, lead a message out of its file, or bring a number that is none
//! into what is printed.

mod crowd;
mod growth;
mod mutate;
mod numbers;
mod sinks;

use kneemark::cli::check::{Format, text};
use kneemark::cli::draw::Style;
use kneemark::compile;
use kneemark::ground::calm::steers;
use kneemark::ground::seam::Memory;
use kneemark::ground::source::Source;
use kneemark::ground::span::Span;
use kneemark::job::Job;
use proptest::prelude::*;
use std::path::PathBuf;

/// Runs everything that `check` does over one record, and holds what comes out to the promises.
fn survives(record: &[u8]) {
    let memory = Memory::default();
    memory.put(
        "job/instruments.toml",
        crate::demo::files()
            .get("instruments.toml")
            .cloned()
            .unwrap_or_default(),
    );
    memory.put(
        "job/criteria.toml",
        crate::demo::files()
            .get("criteria.toml")
            .cloned()
            .unwrap_or_default(),
    );
    memory.put("job/record.ctr", record);
    let gathered = compile(&memory, &[PathBuf::from("job")]);
    spans_lie_inside(&gathered);
    for (format, style) in [
        (Format::Short, Style::Plain),
        (Format::Human, Style::Plain),
        (Format::Human, Style::Unicode),
    ] {
        let printed = text(&gathered, format, true, style);
        nothing_steers(&printed);
        if format == Format::Short {
            holds_numbers_only(&printed, &String::from_utf8_lossy(record));
        }
    }
}

fn spans_lie_inside(gathered: &Job) {
    for unit in &gathered.records {
        for diagnostic in &unit.diagnostics {
            let others = diagnostic.others.iter().map(|(span, _)| *span);
            let mends = diagnostic
                .mends
                .iter()
                .flat_map(|mend| mend.edits.iter().map(|(span, _)| *span));
            for span in std::iter::once(diagnostic.span).chain(others).chain(mends) {
                inside(&unit.source, span, diagnostic.code.name());
            }
        }
        for visit in &unit.assessment.visits {
            for finding in &visit.findings {
                finding
                    .points_at
                    .iter()
                    .for_each(|span| inside(&unit.source, *span, finding.rule.id));
            }
        }
    }
}

fn inside(source: &Source, span: Span, of: &str) {
    assert!(
        span.start <= span.end && source.text.get(span.range()).is_some(),
        "{of} points at {span:?} of {} bytes",
        source.text.len()
    );
}

fn nothing_steers(printed: &str) {
    let odd = printed.chars().find(|c| steers(*c) && *c != '\n');
    assert!(odd.is_none(), "{odd:?} in what is printed");
}

/// `NaN` and `inf` are printed only where the record itself has such a word.
fn holds_numbers_only(printed: &str, record: &str) {
    let record = record.to_lowercase();
    for word in printed.split(|c: char| !c.is_alphanumeric()) {
        let lower = word.to_lowercase();
        let none = matches!(lower.as_str(), "nan" | "inf" | "infinity");
        assert!(!none || record.contains(&lower), "{word} in {printed}");
    }
}

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
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

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
    holds_numbers_only("a.ctr:1:1: note knee: the knee is NaN V", "format: 1\n");
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
    nothing_steers("red \u{1B}[31m");
}
