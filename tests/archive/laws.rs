//! What holds for the rows of every record of the demo job, and of the records that the format was designed on.

use kneemark::archive::Entry;
use kneemark::archive::columns::{Kind, Row, tables};
use kneemark::archive::long::Quantity;
use kneemark::compile;
use kneemark::derive::workings::Origin;
use kneemark::ground::seam::Disk;
use kneemark::job::Job;
use kneemark::record::visit::Visit;
use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;

fn jobs() -> Vec<Job> {
    ["records", "tests/design_records"]
        .map(|folder| compile(&Disk, &[PathBuf::from(folder)]))
        .into()
}

fn readings(entry: &Entry) -> impl Iterator<Item = &Quantity> {
    let all = entry.quantities.iter();
    all.filter(|row| row.kind.as_deref() == Some("reading"))
}

#[test]
fn every_reading_has_one_row_at_its_line() {
    let mut seen = 0;
    for job in jobs() {
        for one in &job.records {
            let entry = Entry::of(one, &one.claims());
            let mut rows: BTreeMap<(i64, u64), usize> = BTreeMap::new();
            for row in readings(&entry) {
                if let Some(value) = row.value {
                    let line = row.line.expect("a line");
                    *rows.entry((line, value.to_bits())).or_default() += 1;
                }
            }
            // What serves both parts of a day stands in both.
            let tests = one.record.visits.iter().flat_map(Visit::own_tests);
            let mut typed: BTreeMap<(i64, u64), usize> = BTreeMap::new();
            for (_, reading) in tests.flat_map(|test| &test.readings) {
                let line = one.source.line(reading.span.start) as i64;
                *typed.entry((line, reading.value.si.to_bits())).or_default() += 1;
                seen += 1;
            }
            for (place, count) in typed {
                // A value beside it in its row that is not read may be the same number.
                let found = rows.get(&place).copied().unwrap_or_default();
                assert!(
                    found >= count,
                    "{} {place:?}: {found} of {count}",
                    one.source.name
                );
            }
            let mut names = BTreeSet::new();
            for row in readings(&entry) {
                let name = (row.line, row.quantity.clone());
                assert!(names.insert(name), "{} twice: {row:?}", one.source.name);
            }
        }
    }
    assert!(seen > 4000, "{seen} readings");
}

/// The ledger's readings are rows with their uncertainty, and a reading that states none has none.
#[test]
fn readings_bear_the_uncertainty_of_the_ledger() {
    let (mut with, mut without) = (0, 0);
    for job in jobs() {
        for one in &job.records {
            let w = &one.assessment.workings;
            let entry = Entry::of(one, &one.claims());
            for (span, value) in w.entered() {
                let step = w.step_at(value.step).expect("a step");
                if !matches!(step.origin, Origin::Reading { .. }) {
                    continue;
                }
                let line = one.source.line(span.start) as i64;
                let mut rows = readings(&entry);
                let row = rows.find(|row| row.line == Some(line) && row.value == Some(value.si));
                let u = w.uncertainty(value);
                match row {
                    Some(row) if u.known => {
                        let k = row.coverage.expect("k");
                        let stated = row.uncertainty.expect("U");
                        assert!((stated - k * u.u).abs() <= 1e-12 * stated, "{row:?}");
                        with += 1;
                    }
                    Some(row) => {
                        assert_eq!(row.uncertainty, None, "{row:?}");
                        without += 1;
                    }
                    None => {}
                }
            }
        }
    }
    assert!(with > 3000 && without > 0, "{with} with, {without} without");
}

#[test]
fn every_finding_has_one_row_with_its_limit_and_verdict() {
    for job in jobs() {
        for one in &job.records {
            let entry = Entry::of(one, &one.claims());
            let rows: Vec<&Quantity> = entry
                .quantities
                .iter()
                .filter(|row| row.kind.as_deref() != Some("reading"))
                .collect();
            assert_eq!(rows.len(), one.findings().count());
            for (row, finding) in rows.iter().zip(one.findings()) {
                assert_eq!(row.quantity.as_deref(), Some(finding.rule.id));
                assert_eq!(row.value, finding.value().map(|value| value.si));
                let limits = finding.against.as_ref().map(|against| against.requirement);
                assert_eq!(row.limit_low, limits.and_then(|limits| limits.lower));
                assert_eq!(row.limit_high, limits.and_then(|limits| limits.upper));
                assert_eq!(row.grade.as_deref(), Some(finding.grade().word()));
                let is_derived = row.kind.as_deref() == Some("derived");
                assert!(!is_derived || limits.is_none(), "{row:?}");
            }
        }
    }
}

#[test]
fn every_core_has_one_row_with_the_verdict_of_check() {
    use kneemark::judge::rules::Whose;
    for job in jobs() {
        for one in &job.records {
            let claims = one.claims();
            let entry = Entry::of(one, &claims);
            assert_eq!(entry.cores.len(), one.record.cores.len());
            for (index, row) in entry.cores.iter().enumerate() {
                let word = |whose| {
                    claims
                        .tally(whose, Some(index))
                        .map(|tally| tally.overall.word())
                };
                assert_eq!(row.transformer.as_deref(), word(Whose::Transformer));
                assert_eq!(row.circuit.as_deref(), word(Whose::Circuit));
            }
        }
    }
}

#[test]
fn columns_are_named_once_and_each_holds_something_of_its_kind() {
    use kneemark::archive::columns::Cell;
    /// Tables and columns that have said something.
    type Filled = BTreeSet<(&'static str, &'static str)>;
    fn filled<R: Row>(rows: impl Iterator<Item = R>, full: &mut Filled) {
        for row in rows {
            for (column, cell) in R::TABLE.columns.iter().zip(row.cells()) {
                let (kind, is_some) = match cell {
                    Cell::Text(text) => (Kind::Text, text.is_some_and(|text| !text.is_empty())),
                    Cell::Number(number) => (Kind::Number, number.is_some()),
                    Cell::Whole(whole) => (Kind::Whole, whole.is_some()),
                    Cell::Flag(flag) => (Kind::Flag, flag.is_some()),
                    Cell::Day(day) => (Kind::Day, day.is_some()),
                };
                assert_eq!(kind, column.kind, "{}", column.name);
                if is_some {
                    full.insert((R::TABLE.name, column.name));
                }
            }
        }
    }
    let mut full = Filled::new();
    for job in jobs() {
        for one in &job.records {
            let entry = Entry::of(one, &one.claims());
            filled(entry.quantities.into_iter(), &mut full);
            filled(entry.cores.into_iter(), &mut full);
        }
    }
    let text = "format: 1\n[ct]\nid: A\nasset: 4711\nmRID: 6f1c7a52-8d0b-4a53-9a63-0c1f4be0a001\nstandard: IEC 61869-2:2012\ntype: R1\n\
        [core S]\nratio: 600/1\n[visit 2026-01-01]\naction: A1 dry it out; N. N.; 2026-06-01\n[resistance S1-S2]\nstage: as found\ncurrent/A  voltage/V\n1  -2\n";
    let files = kneemark::ground::seam::Memory::default();
    files.put("a.ctr", text);
    for one in &compile(&files, &["a.ctr".into()]).records {
        let entry = Entry::of(one, &one.claims());
        let first = entry.quantities.first().expect("a row");
        assert_eq!(first.asset.as_deref(), Some("4711"));
        assert_eq!(
            first.mrid.as_deref(),
            Some("6f1c7a52-8d0b-4a53-9a63-0c1f4be0a001")
        );
        let points = entry
            .cores
            .first()
            .and_then(|core| core.open_points.as_deref());
        assert_eq!(points, Some("A1; dry it out; N. N.; 2026-06-01"));
        filled(entry.quantities.into_iter(), &mut full);
        filled(entry.cores.into_iter(), &mut full);
    }
    for table in tables() {
        let names: Vec<&str> = table.columns.iter().map(|column| column.name).collect();
        let once: BTreeSet<&str> = names.iter().copied().collect();
        assert_eq!(names.len(), once.len(), "{}", table.name);
        let empty: Vec<&&str> = names
            .iter()
            .filter(|name| !full.contains(&(table.name, **name)))
            .collect();
        assert!(empty.is_empty(), "{}: never filled: {empty:?}", table.name);
    }
}
