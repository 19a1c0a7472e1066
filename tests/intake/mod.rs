//! Tables of others: what becomes of them in a record, what is refused, and that a visit made a table and brought back is
//! the same visit.

mod command;
mod workbook;

use kneemark::ground::seam::Memory;
use kneemark::intake::{
    Asked, Grid, How, Put, Sheet, Wanted, Written, new_records, readings, table,
};
use kneemark::job::{Compiled, Job, Survey};
use kneemark::judge::finding::Finding;
use kneemark::record::kinds::TestKind;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn grid(text: &str) -> Grid {
    Grid::read(text.as_bytes(), How::default()).expect("a table")
}

fn compiled(text: &str) -> Job {
    let files = Memory::default();
    files.put("a.ctr", text);
    kneemark::compile(&files, &[PathBuf::from("a.ctr")])
}

/// What the visits from one on were judged, without the lines that they stand on.
fn judged(one: &Compiled, from: usize) -> Vec<BTreeSet<String>> {
    let visits = one.assessment.visits.iter().skip(from);
    let of = |finding: &Finding| format!("{:?} {}", finding.grade(), one.sentence(finding));
    visits
        .map(|visit| visit.findings.iter().map(of).collect())
        .collect()
}

/// Each visit of a demo record, taken out as a table and brought into the record as it was before it, is judged as it
/// was, unless the table told that it cannot hold a test of it.
#[test]
fn a_visit_made_a_table_comes_back_as_it_was() {
    let (mut same, mut told, mut stages) = (0, 0, 0);
    for (name, text) in crate::demo::files() {
        if !name.ends_with(".ctr") || text.contains("\nlike:") {
            continue;
        }
        let all = compiled(&text);
        let mut starts: Vec<usize> = all.records[0]
            .record
            .visits
            .iter()
            .map(|visit| visit.span.range().start)
            .collect();
        starts.dedup();
        let ends = starts.iter().skip(1).copied().chain([text.len()]);
        for (start, end) in starts.iter().zip(ends) {
            let (before, whole) = (&text[..*start], &text[..end]);
            let job = compiled(whole);
            let one = &job.records[0];
            let visits = &one.record.visits;
            let last = visits.len() - 1;
            // A visit with tests as found that were made again is two.
            let first = visits
                .iter()
                .position(|visit| visit.span.range().start == *start)
                .expect("it is there");
            let made = table(&[(&one.record, &one.source, last)], Wanted::default());
            assert!(made.refused.is_empty(), "{name}: {:?}", made.refused);
            let quoted = |cell: &String| format!("\"{cell}\"");
            let line = |row: &Vec<String>| row.iter().map(quoted).collect::<Vec<_>>().join(",");
            let lines: Vec<String> = std::iter::once(&made.heads)
                .chain(&made.rows)
                .map(line)
                .collect();
            let files = Memory::default();
            files.put("a.ctr", before);
            let grid = grid(&lines.join("\n"));
            let put = Sheet::of(&grid).and_then(|sheet| {
                let day = visits[last].name();
                let lines = sheet
                    .visit(&sheet.units()[0], &day, None)?
                    .expect("a visit");
                let path = Path::new("a.ctr");
                let survey = Survey::among(&files, &[path.to_owned()]);
                let written = Written::of(&files, &survey, path)?;
                match written.put(&lines, written.end())? {
                    Put::More(more) => Ok(more),
                    Put::Already => panic!("{name} has no such visit yet"),
                }
            });
            let put = put.unwrap_or_else(|faults| panic!("{name}: {faults:?}"));
            assert!(put.text.starts_with(before), "{name}");
            let again = compiled(&put.text);
            match made.left.iter().any(|told| told.contains("left out")) {
                true => told += 1,
                false => {
                    let again = judged(&again.records[0], first);
                    assert_eq!(judged(one, first), again, "{name}");
                    let is_staged = made.heads.iter().any(|head| head.contains(" as left "));
                    stages += usize::from(is_staged);
                    same += 1;
                }
            }
        }
    }
    assert!(
        same >= 40 && told <= 12 && stages >= 2,
        "{same} {told} {stages}"
    );
}

fn section(
    text: &str,
    on: Option<&str>,
    columns: Option<&[&str]>,
    comma: bool,
) -> Result<String, Vec<String>> {
    let how = How {
        decimal_comma: comma,
        ..How::default()
    };
    let grid = Grid::read(text.as_bytes(), how).expect("a table");
    let columns: Option<Vec<String>> =
        columns.map(|all| all.iter().map(|&one| one.to_owned()).collect());
    let asked = Asked {
        section: TestKind::Excitation.schema(),
        on,
        columns: columns.as_deref(),
        keys: &[],
    };
    readings(&grid, &asked).map(|(lines, _)| lines.text)
}

#[test]
fn digits_stand_as_they_were_written() {
    let text = section(
        "voltage/V,current/mA\n100.30,2.840\n>200,4.5e1\n",
        Some("1S1-1S2"),
        None,
        false,
    );
    let text = text.expect("a section");
    assert_eq!(
        text,
        "\n[excitation 1S1-1S2]\nvoltage/V  current/mA\n100.30  2.840\n>200  4.5e1\n"
    );
    let text = section(
        "U;I\n100,30;2,84\n",
        None,
        Some(&["voltage/V", "current/mA"]),
        true,
    );
    assert!(text.expect("a section").ends_with("\n100.30  2.84\n"));
    let text = section(
        "n\tU\tI\n1\t100\t2\n",
        None,
        Some(&["-", "voltage/V", "current/mA"]),
        false,
    );
    assert!(text.expect("a section").ends_with("\n100  2\n"));
}

#[test]
fn nothing_is_guessed() {
    for (text, columns, comma, told) in [
        (
            "voltage,current\n1,2\n",
            None,
            false,
            "has no unit; write `voltage/UNIT`",
        ),
        (
            "voltage/V,current/MA\n1,2\n",
            None,
            false,
            "capital and small letters count: `MA` may be mA",
        ),
        ("voltage/V,voltage/mV\n1,2\n", None, false, "say the same"),
        ("a,b\n1,2\n", None, false, "no row is a heading with units"),
        (
            "voltage/V,current/mA\n\"1,5\",2\n",
            None,
            false,
            "say --decimal-comma",
        ),
        ("voltage/V;current/mA\n1.5;2\n", None, true, "has a point"),
        (
            "voltage/V;current/mA\n1,000,5;2\n",
            None,
            true,
            "more than one comma",
        ),
        (
            "1,2,3\n",
            Some(&["voltage/V", "current/mA"][..]),
            false,
            "names 2",
        ),
        (
            "1,2\n",
            Some(&["voltage/V", "watt/W"][..]),
            false,
            "number 2: [excitation] has no `watt`",
        ),
        (
            "1,2\n",
            Some(&["voltage/V", "voltage/kV"][..]),
            false,
            "say the same",
        ),
        ("voltage/V,current/mA\n", None, false, "no readings below"),
        (
            "voltage/V,current/mA\n1 # x,2\n",
            None,
            false,
            "is no number",
        ),
        ("voltage/V,current/mA\n1|3,2\n", None, false, "is no number"),
        (
            "voltage/V,current/mA\n[visit,2\n",
            None,
            false,
            "is no number",
        ),
        (
            "voltage/V,current/mA\nnote: x,2\n",
            None,
            false,
            "is no number",
        ),
        (
            "voltage/V,current/mA\n\"1\n2\",2\n",
            None,
            false,
            "is no number",
        ),
        ("voltage/V,current/mA\n5%,2\n", None, false, "is a per cent"),
    ] {
        match section(text, None, columns, comma) {
            Ok(made) => panic!("{text:?} became {made}"),
            Err(faults) => assert!(
                faults.iter().any(|fault| fault.contains(told)),
                "{text:?}: {faults:?}"
            ),
        }
    }
}

/// Cells beyond the heading are readings that nobody named: "10,5" in a table that is parted by commas.
#[test]
fn no_cell_is_dropped() {
    for text in [
        "voltage/V,current/mA\n10,5,1,2\n20,5,2,4\n",
        "voltage/V,current/mA,\n10,1,99\n",
    ] {
        for comma in [false, true] {
            let faults = section(text, None, None, comma).expect_err("a fault");
            assert!(
                faults
                    .iter()
                    .any(|told| told.contains("column C: it has no heading, and row 2")),
                "{faults:?}"
            );
        }
    }
}

fn visit(text: &str) -> Result<String, Vec<String>> {
    let grid = grid(text);
    let sheet = Sheet::of(&grid)?;
    sheet
        .visit(&sheet.units()[0], "2026-01-01", None)
        .map(|lines| lines.map_or(String::new(), |lines| lines.text))
}

#[test]
fn a_curve_stays_whole() {
    let head = "id,on,excitation voltage/V,excitation current/mA\n";
    let whole = visit(&format!("{head}X,1S1-1S2,10,1\nX,1S1-1S2,20,2\n")).expect("a visit");
    assert!(
        whole.ends_with("[excitation 1S1-1S2]\nvoltage/V  current/mA\n10  1\n20  2\n"),
        "{whole}"
    );
    let faults = visit(&format!("{head}X,1S1-1S2,10,1\nX,,20,2\n")).expect_err("a fault");
    assert!(
        faults[0].contains("row 3: other rows of [excitation] name a pair"),
        "{faults:?}"
    );
    visit("id,excitation voltage/V,excitation current/mA\nX,10,1\n").expect("a visit");
}

#[test]
fn a_row_that_writes_a_key_alone_is_no_reading() {
    let text = visit(
        "id,on,resistance resistance/ohm,resistance temperature/C\nX,,,14.5\nX,1S1-1S2,2.8,\n",
    );
    let text = text.expect("a visit");
    assert!(
        text.ends_with("[resistance]\ntemperature: 14.5 C\non  resistance/ohm\n1S1-1S2  2.8\n"),
        "{text}"
    );
}

#[test]
fn what_may_be_no_reading_is_asked_about() {
    let head = "No,voltage (V),current (mA),Remark\n1,10,1,\n2,20,2,\n";
    for (rows, told) in [
        (
            "\nKnee point,316.8,8.9,V\n",
            "row 5: rows are left empty before it",
        ),
        ("Max,max,2,\n", "row 4, column B: `max` is no number"),
        ("3,25 V,2,\n", "row 4, column B: `25 V` is no number"),
        ("3,NaN,2,\n", "row 4, column B: `NaN` is no number"),
        (
            "3,30,2.84 (noisy),\n",
            "row 4, column C: `2.84 (noisy)` is no number",
        ),
    ] {
        let faults = section(&format!("{head}{rows}"), None, None, false).expect_err("a fault");
        assert!(
            faults.iter().any(|fault| fault.contains(told)),
            "{rows:?}: {faults:?}"
        );
    }
    // What has nothing in any of its columns is told and left out.
    let text = section(&format!("{head}\nEnd of report\n"), None, None, false).expect("a section");
    assert!(text.ends_with("\n20  2\n"), "{text}");
    // A heading that says something else than the option.
    let against = section(
        "voltage/V,current/mA\n25,7\n",
        None,
        Some(&["current/mA", "voltage/V"]),
        false,
    );
    let faults = against.expect_err("a fault");
    assert!(
        faults[0].contains("it is headed `voltage/V`, and --columns says `current/mA`"),
        "{faults:?}"
    );
    // A logger's time is left out.
    let text =
        section("time/s,voltage/V,current/mA\n1,10,1\n", None, None, false).expect("a section");
    assert!(text.ends_with("voltage/V  current/mA\n10  1\n"), "{text}");
}

#[test]
fn words_are_parted_by_a_mark() {
    let text = visit("id,core,restored links,restored secondary\nX,1S,closed,connected\n")
        .expect("a visit");
    assert!(
        text.ends_with("[restored]\ncore | links | secondary\n1S | closed | connected\n"),
        "{text}"
    );
}

#[test]
fn a_sheet_that_waits_has_no_readings_yet() {
    let head = "id,core,on,inspection item,insulation between,insulation time/s,insulation resistance/Gohm,resistance resistance/ohm\n";
    let wait = "X,1S,1S1-1S2,rating plate,\"1S to primary, cores and earth\",60,,\n";
    assert_eq!(visit(&format!("{head}{wait}")).expect("no visit"), "");
    let read = "X,2S,2S1-2S2,,\"2S to primary, cores and earth\",60,,2.81\n";
    let text = visit(&format!("{head}{wait}{read}")).expect("a visit");
    assert!(
        text.contains("2.81") && !text.contains("insulation") && !text.contains("inspection"),
        "{text}"
    );
}

#[test]
fn a_row_that_says_something_else_than_its_record_is_refused() {
    let job = compiled(
        "format: 1\n[ct]\nid: X\nsite: S\nbay: H07\nphase: L1\n[core 1S]\nratio: 600/1 A\n[core 2S]\nratio: 600/1 A\n",
    );
    let record = &job.records[0].record;
    for (row, told) in [
        ("X,H07,L1,1S,1S1-1S2,,2.8", None),
        ("X,,,,1S1-1S2,,2.8", None),
        (
            "X,H07,L2,1S,1S1-1S2,,2.8",
            Some("column C: X is recorded at phase L1, not L2"),
        ),
        (
            "X,H08,L1,1S,1S1-1S2,,2.8",
            Some("column B: X is recorded at bay H07, not H08"),
        ),
        (
            "X,,,2S,1S1-1S2,,2.8",
            Some("column E: 1S1-1S2 is a pair of core 1S, and the row is of core 2S"),
        ),
        (
            "X,,,1S,1S1-1S2,2S to primary,2.8",
            Some("column F: 2S was measured, and the row is of core 1S"),
        ),
        ("X,,,1S,1S1-1S2,primary to earth,2.8", None),
    ] {
        let grid = grid(&format!(
            "id,bay,phase,core,on,insulation between,resistance resistance/ohm\n{row}\n"
        ));
        let sheet = Sheet::of(&grid).expect("a sheet");
        assert!(!sheet.has_plate());
        let faults = sheet.contradictions(&sheet.units()[0], record);
        match told {
            None => assert_eq!(faults, Vec::<String>::new(), "{row}"),
            Some(told) => assert!(
                faults.iter().any(|fault| fault.contains(told)),
                "{row}: {faults:?}"
            ),
        }
    }
}

#[test]
fn plates_become_records_that_read_without_error() {
    let list = "id,maker,serial,year,standard,highest voltage/kV,site,bay,phase,core,core use,core class,core burden,core ratio,core resistance,tap,tap ratio/A\n\
                BRW-1,Brandal,1,2025,IEC 61869-2:2012,145,Skerrow,H07,L1,1S,protection,5P20,15 VA,600/1 A,3.40 ohm at 75 C,,\n\
                BRW-1,,,,,,,,,2S,metering,0.5 FS10,10 VA,,,2S1-2S2,300/1\n\
                BRW-1,,,,,,,,,2S,,,,,,2S1-2S3,600/1\n\
                BRW-2,Brandal,2,2025,IEC 61869-2:2012,145,Skerrow,H07,L2,1S,protection,5P20,15 VA,600/1 A,3.40 ohm at 75 C,,\n";
    let grid = grid(list);
    let sheet = Sheet::of(&grid).expect("a sheet");
    let records = new_records(&sheet).expect("records");
    assert_eq!(records.len(), 2);
    let job = compiled(&records[0].text);
    let record = &job.records[0].record;
    assert!(job.records[0].is_complete(), "{}", records[0].text);
    assert_eq!(record.plate.id_text(), "BRW-1");
    assert_eq!(record.cores.len(), 2);
    assert_eq!(record.cores[1].taps.len(), 2);
    assert!(
        records[0].text.contains("\nhighest voltage: 145 kV\n"),
        "{}",
        records[0].text
    );
    for (old, new, told) in [
        ("15 VA", "15 WA", "row 2: "),
        ("BRW-1,Brandal", "BRW-1,", ""),
        (
            "BRW-1,,,,,,,,,2S,,",
            "BRW-1,Other,,,,,,,,2S,,",
            "rows 2 and 4 disagree about `maker`",
        ),
        ("\nBRW-2", "\n", "row 5: its `id` is empty"),
        ("core class", "class", "`core class`"),
        ("highest voltage/kV", "highest voltage/kv", "kV"),
        ("2S1-2S3,600/1", ",600/1", "row 4: its `tap` is empty"),
        (",2S,metering", ",,metering", "row 3: its `core` is empty"),
        ("year", "age", "[ct] has no `age`"),
        (",core,", ",nucleus,", "has no `nucleus`"),
    ] {
        assert!(list.contains(old), "{old}");
        let grid = crate::intake::grid(&list.replacen(old, new, 1));
        let made = Sheet::of(&grid).and_then(|sheet| new_records(&sheet));
        match made {
            Ok(_) => assert_eq!(told, "", "{old} became {new}"),
            Err(faults) => assert!(
                !told.is_empty() && faults.iter().any(|fault| fault.contains(told)),
                "{old}: {faults:?}"
            ),
        }
    }
}
