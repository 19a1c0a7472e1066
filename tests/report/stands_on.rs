//! What a report stands on: where its limits come from, and of which files it was made.

use super::{alone, demo, report, text_of};
use kneemark::compile;
use kneemark::emit::json;
use kneemark::ground::seam::Memory;
use kneemark::job::{Basis, Job};
use std::path::PathBuf;

const ANNEX: &str = "## Where the limits come from";

/// A record of the demo under criteria of its own.
fn under(criteria: &str) -> Job {
    let files = Memory::default();
    let all = crate::demo::files();
    files.put("job/instruments.toml", all["instruments.toml"].as_str());
    files.put("job/criteria.toml", criteria);
    files.put("job/one.ctr", text_of("h08-l1.ctr"));
    compile(&files, &[PathBuf::from("job")])
}

fn page(job: &Job) -> String {
    report(job, job.records.first().unwrap()).markdown
}

/// The annex, and what stands around it.
fn parted(page: &str) -> (String, String) {
    let (before, rest) = page.split_once(ANNEX).expect("an annex");
    let (annex, after) = rest.split_once("\n## ").expect("an end");
    (annex.to_owned(), format!("{before}{after}"))
}

#[test]
fn how_a_limit_is_known_is_told_in_the_annex_and_each_row_once() {
    let job = demo();
    for unit in &job.records {
        let (annex, body) = parted(&report(job, unit).markdown);
        for word in ["from memory", "reprint", "own arithmetic", "seen in"] {
            assert!(!body.contains(word), "{}: {word}", unit.source.name);
        }
        let rows = annex.lines().filter(|line| line.starts_with("| "));
        let mut names: Vec<&str> = rows
            .filter_map(|row| row.split(" | ").nth(1))
            .flat_map(|names| names.split(", "))
            .filter(|name| name.contains('-') && !name.contains("---"))
            .collect();
        names.sort_unstable();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count, "{names:?}");
        assert!(count > 0, "{annex}");
    }
}

#[test]
fn a_limit_that_was_checked_is_said_to_be() {
    let row = "iec-px |";
    let (annex, _) = parted(&page(&under("")));
    assert!(annex.contains(&format!("{row} from memory")), "{annex}");
    let by_row = "[[checked]]\nlimits = [\"iec-px\"]\nby = \"S. Hollen\"\non = 2026-05-04\n";
    let by_source = by_row.replace(
        "limits = [\"iec-px\"]",
        "sources = [\"IEC 61869-2:2012, 5.6.202.4 and 7.3.203\"]",
    );
    for criteria in [by_row, &by_source] {
        let job = under(criteria);
        assert!(job.others.is_empty(), "{:?}", job.others);
        let (annex, _) = parted(&page(&job));
        let checked = format!("{row} checked against own copy, S. Hollen, 2026-05-04");
        assert!(annex.contains(&checked), "{annex}");
        assert!(
            json::document(&job)
                .contains("\"provenance\": \"checked against own copy, S. Hollen, 2026-05-04\"")
        );
    }
}

/// What says too little is told, and counts for nothing.
#[test]
fn a_check_without_its_day_or_of_nothing_known_is_told() {
    let limit = "limits = [\"iec-px\"]\n";
    let (by, on) = ("by = \"S. Hollen\"\n", "on = 2026-05-04\n");
    for (entry, told) in [
        (format!("{limit}{by}"), "does not state `on`"),
        (format!("{limit}{on}"), "does not state `by`"),
        (format!("{by}{on}"), "does not state `limits` or `sources`"),
        (
            format!("{limit}{by}on = 12:00:00\n"),
            "`12:00:00` is not a date",
        ),
        (
            format!("sources = [\"no such book\"]\n{by}{on}"),
            "there is no source of limits `no such book`",
        ),
        (
            format!("limits = [\"self-check\"]\n{by}{on}"),
            "`self-check` is no figure of a standard",
        ),
    ] {
        let job = under(&format!("[[checked]]\n{entry}"));
        let found = job.others.iter().flat_map(|told| &told.diagnostics);
        let titles: Vec<&str> = found.map(|one| one.title.as_str()).collect();
        assert!(titles.len() == 1 && titles[0].contains(told), "{titles:?}");
        let (annex, _) = parted(&page(&job));
        assert!(annex.contains("iec-px | from memory"), "{entry}: {annex}");
    }
}

#[test]
fn a_report_names_the_bytes_of_everything_it_was_made_of() {
    let (one, other) = (
        under("[decision]\nguard = 1.0\n"),
        under("[decision]\nguard = 2.0\n"),
    );
    let (one, other) = (page(&one), page(&other));
    let bases = [&one, &other].map(|page| Basis::all_in(page));
    let [[a], [b]] = bases.each_ref().map(Vec::as_slice) else {
        panic!("one list each: {bases:?}")
    };
    assert_eq!(a.part("record"), b.part("record"));
    assert_ne!(a.part("criteria"), b.part("criteria"));
    let whats: Vec<&str> = a.parts.iter().map(|part| part.what.as_str()).collect();
    for what in ["record", "criteria", "instruments", "limits", "program"] {
        assert!(whats.contains(&what), "{whats:?}");
    }
    for part in a.parts.iter().filter(|part| part.what != "limits") {
        let row = format!("| {} | {} | {} |", part.what, part.name, part.sum);
        assert!(one.contains(&row), "{row}");
    }
    // Both forms of a report carry the same.
    let job = demo();
    for unit in &job.records {
        let made = report(job, unit);
        let html = Basis::all_in(&format!("\n{}", made.html));
        assert_eq!(html, Basis::all_in(&made.markdown));
        assert_eq!(html.len(), 1);
    }
}

#[test]
fn a_lender_of_a_plate_and_sisters_belong_to_it() {
    let plate = "format: 1\n[ct]\nid: ID\nsite: X\nbay: B\n[core S]\nCORE\n";
    let files = Memory::default();
    let put = |name: &str, core: &str| {
        let text = plate.replace("ID", name).replace("CORE", core);
        files.put(format!("job/{name}.ctr"), text);
    };
    put("A", "ratio: 600/1");
    put("B", "like: A");
    put("C", "like: B");
    let job = compile(&files, &[PathBuf::from("job/C.ctr"), PathBuf::from("job")]);
    let unit = job
        .records
        .iter()
        .find(|one| one.record.plate.id_text() == "C")
        .unwrap();
    let sisters = job.sisters(unit);
    let sisters = sisters.iter();
    let sisters = sisters.map(|one| (one.id.as_str(), one.record.written.sha256.as_str()));
    let basis = Basis::of(unit, sisters);
    let names = |what: &str| {
        let parts = basis.parts.iter().filter(|part| part.what == what);
        parts.map(|part| part.name.clone()).collect::<Vec<_>>()
    };
    assert_eq!(names("shared plate"), ["A", "B"]);
    assert_eq!(names("sister"), ["A", "B"]);
    assert_eq!(names("criteria"), ["criteria.toml"]);
    assert_eq!(basis.part("criteria").unwrap().sum, "");
}

#[test]
fn criteria_that_cannot_be_read_are_told_on_the_page() {
    let made = page(&under("[decision\n"));
    assert!(made.contains("criteria.toml could not be read: nothing of it was used"));
    let made = page(&under(""));
    assert!(!made.contains("could not be read"));
}

#[test]
fn a_visit_without_its_day_is_told() {
    let text = text_of("h07-l1.ctr");
    let day = text.lines().rfind(|line| line.starts_with("[visit "));
    let day = day.unwrap();
    let job = alone(&text.replacen(day, "[visit 16.9.2026]", 1));
    let made = page(&job);
    assert!(
        made.contains("is not shown: its date could not be read"),
        "{made}"
    );
    let told = job.records[0].errors().next().unwrap();
    let help = told.help.as_deref().unwrap_or_default();
    assert!(
        help.ends_with("until then nothing of this visit is judged"),
        "{help}"
    );
    assert!(!page(&alone(&text)).contains("is not shown"));
}

/// No column of a table is empty from top to bottom.
#[test]
fn no_column_is_empty() {
    let job = demo();
    for unit in &job.records {
        let made = report(job, unit).markdown;
        let (results, _) = made.split_once("## Readings as written").expect("readings");
        let lines: Vec<&str> = results.lines().collect();
        for rows in lines.split(|line| !line.starts_with("| ")) {
            let cells: Vec<Vec<&str>> = rows.iter().map(|row| row.split(" | ").collect()).collect();
            let Some(columns) = cells.first().map(Vec::len).filter(|_| cells.len() > 2) else {
                continue;
            };
            for column in 1..columns {
                let empty = |row: &Vec<&str>| {
                    row.get(column)
                        .is_none_or(|cell| matches!(cell.trim_matches(['|', ' ']), "" | "–"))
                };
                assert!(
                    !cells[2..].iter().all(empty),
                    "{}: {:?}",
                    unit.source.name,
                    cells[0]
                );
            }
        }
    }
}

/// A number of JSON ends where its digits mean something.
#[test]
fn json_has_no_dust_of_arithmetic() {
    let text = json::document(demo());
    let words = text.split([' ', ',', '\n', ':']);
    let numbers = words.filter(|word| word.starts_with(|c: char| c.is_ascii_digit() || c == '-'));
    let mut count = 0;
    for number in numbers.filter(|word| word.parse::<f64>().is_ok()) {
        let mantissa = number.split('e').next().unwrap();
        let digits: String = mantissa.chars().filter(char::is_ascii_digit).collect();
        assert!(digits.trim_matches('0').len() <= 12, "{number}");
        count += 1;
    }
    assert!(count > 10_000, "{count}");
}
