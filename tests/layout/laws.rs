//! What holds of every text.

use super::of;
use kneemark::compile;
use kneemark::ground::seam::Memory;
use kneemark::job::Compiled;
use proptest::prelude::*;
use std::path::{Path, PathBuf};

/// Every record of the demo job, the corpus, the rules and the claims.
fn records() -> Vec<(PathBuf, String)> {
    let mut folders: Vec<PathBuf> = ["records", "tests"].map(PathBuf::from).into();
    let mut all = Vec::new();
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            match path.extension().and_then(|ending| ending.to_str()) {
                _ if path.is_dir() => folders.push(path),
                Some("ctr") => {
                    if let Ok(text) = std::fs::read_to_string(&path) {
                        all.push((path, text));
                    }
                }
                _ => {}
            }
        }
    }
    assert!(all.len() > 400, "{}", all.len());
    all
}

/// All that is said of a record, but for where on its lines it stands.
fn said(text: &str, beside: &Path) -> Vec<String> {
    let files = Memory::default();
    files.put("r/x.ctr", text);
    for name in ["instruments.toml", "criteria.toml"] {
        let near = beside
            .ancestors()
            .map(|folder| folder.join(name))
            .find(|path| path.exists());
        if let Some(bytes) = near.and_then(|path| std::fs::read(path).ok()) {
            files.put(format!("r/{name}"), bytes);
        }
    }
    let job = compile(&files, &["r/x.ctr".into()]);
    let one: &Compiled = job.records.first().expect("the record");
    let told = one.diagnostics.iter().map(|told| {
        let line = one.source.line(told.span.start);
        format!("{line}: {}", told.code.name())
    });
    let found = one.findings().map(|finding| one.sentence(finding));
    told.chain(found).collect()
}

#[test]
fn nothing_is_said_otherwise_of_what_is_laid_out() {
    for (path, text) in records() {
        let made = of(&text);
        assert!(made.left.is_empty(), "{}: {:?}", path.display(), made.left);
        assert_eq!(of(&made.text), made, "{}", path.display());
        assert_eq!(
            said(&text, &path),
            said(&made.text, &path),
            "{}",
            path.display()
        );
    }
}

#[test]
fn what_we_write_is_laid_out() {
    for (name, text) in crate::demo::files() {
        if name.ends_with(".ctr") {
            assert_eq!(of(&text).text, text, "{name}");
        }
    }
}

const WORDS: &[&str] = &[
    "[excitation 1S1-1S2]",
    "[resistance]",
    "[insulation]",
    "[state]",
    "[visit 2026-03-14]",
    "[core 1S]",
    "[ct]",
    "[",
    "]",
    "voltage/V",
    "current/mA",
    "on",
    "between",
    "resistance/Gohm",
    "core",
    "earth",
    "loop",
    "id:",
    "note:",
    "ambient:",
    "ratio:",
    "burden:",
    "temperature:",
    "not done 1S:",
    "amended: current was",
    "1S1-1S2",
    "1S",
    "primary to cores and earth",
    "600/1",
    "600/1 A",
    "15 VA",
    "25",
    "1.31",
    ">200",
    "-",
    "12.0C",
    "18.5 C",
    "145kV",
    "#",
    "# x",
    "#x",
    "|",
    "|---|---|",
    ":",
    ";",
    ",",
    "\t",
    "  ",
    "é",
    "日本",
    "\u{a0}",
    "−5",
    "\r",
];

fn line() -> impl Strategy<Value = String> {
    let word = prop_oneof![8 => proptest::sample::select(WORDS), 1 => Just(" "), 1 => Just("")];
    let words = proptest::collection::vec(
        (
            word,
            prop_oneof![4 => Just(" "), 1 => Just("  "), 1 => Just("")],
        ),
        0..7,
    );
    words.prop_map(|words| {
        words
            .into_iter()
            .flat_map(|(word, gap)| [word, gap])
            .collect()
    })
}

const UNITS: &[&str] = &[
    "Ω", "°C", "C", "µA", "mA", "kV", "V", "min", "′", "%", "°", "mΩ", "Hz", "s", "x",
];
const KEYS: &[&str] = &[
    "ambient:",
    "humidity:",
    "leads:",
    "frequency:",
    "[self-check]",
    "[resistance 1S1-1S2]",
    "temperature:",
    "[burden]",
];

/// A key, and numbers and units behind it in any order.
fn united() -> impl Strategy<Value = String> {
    let word = prop_oneof![
        3 => proptest::sample::select(UNITS).prop_map(str::to_owned),
        3 => (0u16..999).prop_map(|number| number.to_string()),
        1 => proptest::sample::select(&["at", "+-", "±", "18.5°C", "25kV", "3Ω"][..]).prop_map(str::to_owned),
    ];
    (
        proptest::sample::select(KEYS),
        proptest::collection::vec(word, 0..4),
    )
        .prop_map(|(key, words)| format!("{key} {}", words.join(" ")))
}

/// Every value that is read, in SI, and every line that is told.
fn typed(text: &str) -> Vec<String> {
    use kneemark::record::value::{At, Datum};
    let (source, _) = kneemark::ground::source::Source::new("t.ctr", text.as_bytes());
    let (record, told) = kneemark::record::read_alone(&source);
    let bodies = record.written.bodies.iter().flatten();
    let fields = bodies
        .flat_map(|body| &body.fields)
        .map(|field| match field.value.value() {
            Some(Datum::Quantity(one)) => {
                format!("{} {:?} {:?}", field.key.word, one.si, one.half_width)
            }
            Some(Datum::At(At { value, at })) => {
                format!("{} {:?} {:?}", field.key.word, value.si, at.si)
            }
            _ => format!("{} {}", field.key.word, without_blanks(&field.text.value)),
        });
    let told = told
        .iter()
        .map(|one| format!("{} {}", source.line(one.span.start), one.code.name()));
    fields.chain(told).collect()
}

/// Nothing that is written here has another spelling.
fn without_blanks(text: &str) -> String {
    text.replace([' ', '\t'], "")
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// Whatever the lines are: all characters stay in their order but for blanks and one line end, and a text that is
    /// laid out stays as it is.
    #[test]
    fn all_stays_but_blanks(lines in proptest::collection::vec(line(), 0..24), ends in any::<bool>()) {
        let mut text = lines.join("\n");
        if ends {
            text.push('\n');
        }
        let made = of(&text);
        let closed = if text.is_empty() || text.ends_with('\n') || made.text == text { "" } else { "\n" };
        prop_assert_eq!(without_blanks(&made.text), without_blanks(&text) + closed);
        let again = of(&made.text);
        prop_assert_eq!(again.text, made.text);
    }

}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Units in all their spellings, where they belong and where they do not.
    #[test]
    fn units_are_spelled_where_they_are_read(lines in proptest::collection::vec(united(), 0..16)) {
        let text = format!("[ct]\nid: A1\n[visit 2026-03-14]\n{}", lines.join("\n"));
        let made = of(&text);
        prop_assert_eq!(of(&made.text).text.clone(), made.text.clone());
        prop_assert_eq!(typed(&text), typed(&made.text));
    }

    /// The same of records that are sound but for a few slips.
    #[test]
    fn a_slip_stops_nothing(at in any::<usize>(), spoils in proptest::collection::vec(crate::hostile::mutate::spoil(), 0..3)) {
        let files = crate::demo::files();
        let records: Vec<&String> = files.iter().filter(|(name, _)| name.ends_with(".ctr")).map(|(_, text)| text).collect();
        let mut bytes = records[at % records.len()].clone().into_bytes();
        for spoil in &spoils {
            bytes = crate::hostile::mutate::spoilt(bytes, spoil);
        }
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let made = of(&text);
        let closed = if text.is_empty() || text.ends_with('\n') || made.text == text { "" } else { "\n" };
        prop_assert_eq!(without_blanks(&made.text), without_blanks(&text) + closed);
        prop_assert_eq!(of(&made.text).text, made.text);
    }
}
