//! Readings that entered the ledger without a function of their instrument: nothing is known of how far off they are.

use crate::derive::workings::{Unserved, Workings};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::span::Span;
use crate::record::instruments::{Instrument, Instruments};
use std::collections::BTreeSet;

/// Tells of each once: by test and quantity, and of an instrument without any function where it is named.
pub(super) fn missing(
    workings: &Workings,
    instruments: Option<&Instruments>,
    found: &mut Vec<Diagnostic>,
) {
    // What is faulty in the file was left out, and told there.
    let Some(instruments) = instruments.filter(|known| !known.broken) else {
        return;
    };
    let mut bare: BTreeSet<Span> = BTreeSet::new();
    for one in workings.unserved() {
        let Some(instrument) = instruments.find(&one.instrument) else {
            continue;
        };
        let at = format!("{}:{}", instruments.file, instrument.line);
        if !instrument.functions.is_empty() {
            found.push(of_quantity(one, instrument, &at));
        } else if bare.insert(one.named) {
            found.push(of_none(one, &at));
        }
    }
}

/// `at` is the instrument as `file:line`, here and below.
fn of_quantity(one: &Unserved, instrument: &Instrument, at: &str) -> Diagnostic {
    let (kind, of, id) = (one.kind, one.measure.word(), &one.instrument);
    let functions = instrument.functions.iter();
    let same = functions.filter(|function| function.measures == one.measure);
    let mut others: Vec<&str> = Vec::new();
    for test in same.flat_map(|function| &function.tests) {
        if !others.contains(&test.as_str()) {
            others.push(test);
        }
    }
    let (none, enter) = match others.as_slice() {
        [] => (
            format!("states no function for {of}"),
            format!("enter it from the data sheet, with `measures = \"{of}\"`"),
        ),
        others => (
            format!("states {of} for other tests only: {}", others.join(", ")),
            format!("name {kind} in the `tests` of the function that serves here, or enter that"),
        ),
    };
    Code::InstrumentFunction
        .at(
            one.test,
            format!("[{kind}] reads {of} with {id}, which has no function for it"),
        )
        .label(format!("{id}, at {at}, {none}"))
        .other(one.named, "named here")
        .help(format!(
            "{enter}; or name the instrument that took the readings: `instrument: …` in this section; until then no uncertainty \
             of them is known"
        ))
}

fn of_none(one: &Unserved, at: &str) -> Diagnostic {
    let (kind, id) = (one.kind, &one.instrument);
    Code::InstrumentFunction
        .at(
            one.named,
            format!("[{kind}] reads with {id}, which has no function at all"),
        )
        .label(format!("{id} is at {at}"))
        .other(one.test, "the first that reads with it")
        .help(
            "enter an [[instrument.function]] for each quantity that it reads, with its range and limits of error; until then no \
             uncertainty of its readings is known",
        )
}

#[cfg(test)]
mod tests {
    use crate::ground::diagnostic::Code;
    use crate::ground::seam::Memory;

    const RECORD: &str = "format: 1\n[ct]\nid: T1\nstandard: IEC 61869-2:2012\n[core S]\nclass: 5P20\nburden: 15 VA\n\
        ratio: 600/1 A\n[visit 2026-03-14]\ninstrument: B1\n[burden]\non  current/A  voltage/V  angle/deg\n\
        S1-S2  1.000  4.21  12.0\nS1-S2  0.500  2.11  12.0\n";
    const VOLTAGE: &str =
        "[[instrument.function]]\nmeasures = \"voltage\"\nto = \"9 V\"\nof_reading = \"1 %\"\n";
    const CURRENT: &str =
        "[[instrument.function]]\nmeasures = \"current\"\nto = \"9 A\"\nof_reading = \"1 %\"\n";
    const ANGLE: &str = "[[instrument.function]]\nmeasures = \"angle\"\nto = \"90 deg\"\n";

    /// What is told of an instrument with these lines.
    fn told(lines: &[&str]) -> Vec<String> {
        let files = Memory::default();
        files.put("a.ctr", RECORD);
        let one = format!("[[instrument]]\nid = \"B1\"\n{}", lines.concat());
        files.put("instruments.toml", one);
        let job = crate::compile(&files, &["a.ctr".into()]);
        let all = job.diagnostics().flat_map(|(_, told)| told);
        let own = all.filter(|told| told.code == Code::InstrumentFunction);
        own.map(|told| told.title.clone()).collect()
    }

    #[test]
    fn each_quantity_is_told_once() {
        let only = |of: &str| format!("[burden] reads {of} with B1, which has no function for it");
        assert_eq!(told(&[CURRENT, ANGLE]), [only("voltage")]);
        assert_eq!(told(&[VOLTAGE]), [only("current"), only("angle")]);
        let other = format!("{ANGLE}tests = [\"ratio\"]\n");
        assert_eq!(told(&[VOLTAGE, CURRENT, &other]), [only("angle")]);
        let none = "[burden] reads with B1, which has no function at all";
        assert_eq!(told(&[]), [none]);
    }

    /// A function that states no limit of error is one, and what is faulty was told in its file; without a valid
    /// calibration no function counts.
    #[test]
    fn what_is_stated_is_not_missed() {
        let lapsed = "due = 2026-01-01\n";
        let faulty = format!("{VOLTAGE}floor = \"5\"\n");
        for lines in [
            vec![VOLTAGE, CURRENT, ANGLE],
            vec![faulty.as_str(), CURRENT, ANGLE],
            vec![lapsed, CURRENT, ANGLE],
        ] {
            assert!(told(&lines).is_empty(), "{lines:?}");
        }
    }
}
