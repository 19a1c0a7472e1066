//! What cannot be is told and used for nothing: no value that is judged rests on it.

use kneemark::compile;
use kneemark::derive::workings::Origin;
use kneemark::ground::diagnostic::Code;
use kneemark::ground::seam::Memory;
use kneemark::ground::span::Span;
use kneemark::job::Compiled;
use kneemark::judge::finding::{Finding, Verdict};

fn compiled(text: &str, instruments: &str) -> Compiled {
    let files = Memory::default();
    files.put("a.ctr", text);
    files.put("instruments.toml", instruments);
    compile(&files, &["a.ctr".into()]).records.remove(0)
}

/// The readings that the judged values of a record rest on.
fn used(one: &Compiled) -> Vec<Span> {
    let w = &one.assessment.workings;
    let judged = |finding: &&Finding| !matches!(finding.verdict, Verdict::NotJudged(_));
    let values = one.findings().filter(judged).filter_map(Finding::value);
    let steps = values.flat_map(|value| w.trace(value));
    let spans = steps.filter_map(|id| match w.step_at(id)?.origin {
        Origin::Reading { span } | Origin::Given { span } => Some(span),
        _ => None,
    });
    spans.collect()
}

#[test]
fn nothing_that_is_judged_rests_on_what_cannot_be() {
    let examples = std::fs::read_dir("tests/corpus").unwrap();
    let mut tried = 0;
    for path in examples.map(|entry| entry.unwrap().path()) {
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        if !name.starts_with("reading-implausible") || path.extension().unwrap() != "ctr" {
            continue;
        }
        let one = compiled(&std::fs::read_to_string(&path).unwrap(), "");
        let fenced = one.diagnostics.iter();
        let fenced = fenced.filter(|told| told.code == Code::ReadingImplausible);
        for told in fenced {
            assert!(!used(&one).contains(&told.span), "{name}: {}", told.title);
            tried += 1;
        }
    }
    assert!(tried > 8, "{tried}");
}

const RECORD: &str = "format: 1
[ct]
id: A1
standard: IEC 61869-2:2012
primary turns: 1
[core S]
class: PX
ratio: 600/1 A
knee emf: 300 V
resistance: 3.60 ohm at 75 C
[visit 2026-03-14]
instrument: R1
[resistance S1-S2]
temperature: 20.0 C
current/A  voltage/V
0.5        1.435
";

/// An instrument that measures volts up to here.
fn instrument(most: &str) -> String {
    format!(
        "[[instrument]]\nid = \"R1\"\nwhat = \"bridge\"\ncalibrated = 2026-01-01\ndue = 2027-01-01\n\
         [[instrument.function]]\nmeasures = \"voltage\"\nfrom = \"1 mV\"\nto = \"{most}\"\nof_reading = \"0.1 %\"\n\
         [[instrument.function]]\nmeasures = \"current\"\nfrom = \"1 mA\"\nto = \"10 A\"\nof_reading = \"0.1 %\"\n"
    )
}

#[test]
fn a_reading_beyond_its_instrument_is_not_used() {
    let read = |most: &str| compiled(RECORD, &instrument(most));
    let (inside, beyond) = (read("2 V"), read("1 V"));
    let codes = |one: &Compiled| {
        one.diagnostics
            .iter()
            .map(|told| told.code)
            .collect::<Vec<_>>()
    };
    assert!(
        !codes(&inside).contains(&Code::ReadingRange),
        "{:?}",
        codes(&inside)
    );
    assert!(
        codes(&beyond).contains(&Code::ReadingRange),
        "{:?}",
        codes(&beyond)
    );
    // A thousand times beyond it is a unit.
    let label = |most: &str| {
        read(most)
            .diagnostics
            .iter()
            .map(|told| told.label.clone())
            .collect::<String>()
    };
    assert!(label("20 mV").contains("unit?") && !label("1 V").contains("unit?"));
    let resistance = |one: &Compiled| {
        let mut found = one
            .findings()
            .filter(|finding| finding.rule.id == "winding-resistance");
        found.any(|finding| finding.value().is_some())
    };
    assert!(resistance(&inside));
    assert!(!resistance(&beyond));
}

#[test]
fn of_a_curve_and_a_resistance_that_cannot_both_be_neither_is_used_unless_one_is_a_windings() {
    let curve = "[excitation S1-S2]\nvoltage/V  current/A\n100  0.0031\n200  0.0043\n300  0.0061\n320  0.512\n";
    let ohms = "[resistance S1-S2]\ntemperature: 20.0 C\nresistance/ohm\n2870\n";
    let without = RECORD.replace("ratio: 600/1 A\n", "");
    let (head, _) = without.split_once("resistance: 3.60").unwrap();
    let one = compiled(&format!("{head}[visit 2026-03-14]\n{curve}{ohms}"), "");
    let told = one.diagnostics.iter();
    let mut told = told.filter(|told| told.code == Code::ReadingImplausible);
    assert!(told.next().unwrap().title.contains("would take 1469 V"));
    assert!(told.next().is_none());
    assert_eq!(used(&one), []);
}

#[test]
fn a_resistance_beyond_all_numbers_shows_nothing_of_a_curve() {
    let curve = "[excitation S1-S2]\nvoltage/V  current/A\n100  0.0031\n200  0.0043\n300  0.0061\n";
    for (amps, volts) in [("1e-300", "1e300"), ("1e-3", "1e306")] {
        let row = RECORD.replace("0.5        1.435", &format!("{amps}  {volts}"));
        let one = compiled(&format!("{row}{curve}"), "");
        for told in &one.diagnostics {
            assert!(!told.title.contains("inf V"), "{}", told.title);
        }
    }
}
