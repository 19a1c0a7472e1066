//! What is written on a sheet is typed under the sheet's own headings, and read.

use super::sheet_for;
use kneemark::compile;
use kneemark::ground::seam::Memory;
use kneemark::record::kinds::TestKind;
use kneemark::record::schema::Section;

const VISIT: &str = "format: 1
[ct]
id: A1
frequency: 50 Hz
[core 1S]
class: 5P20
burden: 15 VA
ratio: 600/1 A
[visit 2026-03-14]
purpose: commissioning
";

fn codes(section: &str) -> Vec<String> {
    let files = Memory::default();
    files.put("a.ctr", format!("{VISIT}{section}\n"));
    let record = compile(&files, &["a.ctr".into()]).records.remove(0);
    let told = record.diagnostics.into_iter();
    let told = told.filter(|told| told.code.name() != "tests-missing");
    told.map(|told| format!("{}: {}", told.code.name(), told.title))
        .collect()
}

#[test]
fn tables_of_a_sheet_are_read_under_their_own_headings() {
    for section in [
        "[state]\ncore | tap in service | earth at | star point | links | secondary | remark\n1S | 1S1-1S2 | kiosk | 1S2 | closed | connected | -",
        "[restored]\ncore | tap in service | links | secondary | earth at | earths counted | terminals tight\n\
         1S | 1S1-1S2 | closed | connected | kiosk | 1 | tight\nchecked by: B. Other",
        "[inspection]\nitem | state | remark\nterminal box | dry | -",
        "[demagnetisation]\npair  start/V  end/V  frequency/Hz  time/s\n1S1-1S2  450  0  25  60",
        "[polarity]\nmethod: kick\nplus on: P1\npair | deflection on make | remark\n1S1-1S2 | up on make | small",
        "[burden 1S1-1S2]\nloop  phases  current/A  voltage/V  angle/deg\nphase-neutral  -  1.0  4.2  10\n\
         phase-phase  L1-L2  1.0  8.0  10\nphase-phase  L3-L1  1.0  8.1  10",
        "[inter-turn]\npair | rated/% | peak/kV | time/s | held or broke-down\n1S1-1S2 | 100 | 1.2 | 60 | held",
    ] {
        assert_eq!(codes(section), [""; 0], "{section}");
    }
}

/// The sheet prints these headings, so that the test above is of the sheet as it is.
#[test]
fn the_columns_that_a_sheet_names_are_columns_of_the_record() {
    let text = sheet_for(&super::unit("h07-l1.ctr"), "commissioning").markdown;
    let column = |kind: TestKind, word: &str| {
        let section: &Section = kind.schema();
        section.column(word).is_some()
    };
    let mut seen = 0;
    for (kind, caption) in [
        (TestKind::State, "State as found"),
        (TestKind::Restored, "State as left"),
        (TestKind::Inspection, "Inspection"),
        (TestKind::Demagnetisation, "Demagnetisation, "),
        (TestKind::Polarity, "Polarity: write down"),
        (TestKind::Burden, "Connected burden: write down"),
    ] {
        let lines: Vec<&str> = text.lines().collect();
        for (at, line) in lines.iter().enumerate() {
            if !line
                .strip_prefix("**")
                .is_some_and(|line| line.starts_with(caption))
            {
                continue;
            }
            let near = lines[at..].iter().find(|line| line.starts_with('|'));
            let Some(head) = near else { continue };
            seen += 1;
            for cell in head
                .split('|')
                .map(str::trim)
                .filter(|cell| !matches!(*cell, "" | "core" | "unit"))
            {
                let word = cell.split('/').next().unwrap_or(cell);
                assert!(column(kind, word), "{caption}: `{word}` in {head}");
            }
        }
    }
    assert!(seen >= 4, "{seen} tables found in\n{text}");
}
