//! Every CT of the demo job: what was written is there, and the page is sound.

use super::{alone, demo, report, report_with, short, text_of};
use kneemark::document::{Block, Pictures, Templates, is_ours, plain, print};
use kneemark::report::{Annexes, Options, Subject, page};
use std::path::Path;

/// A text as Markdown shows it.
fn written(text: &str) -> String {
    let printed = print(&[Block::paragraph(text)], &mut Pictures::new());
    plain(&printed).trim_end().to_owned()
}

#[test]
fn every_reading_and_note_is_in_the_report() {
    let gathered = demo();
    for unit in &gathered.records {
        let made = report(gathered, unit);
        let source = &unit.source;
        let mut cells = 0;
        for line in source
            .text
            .lines()
            .map(|line| line.split(" # ").next().unwrap().trim())
        {
            let row = line.starts_with(|c: char| c.is_ascii_digit())
                || (line.contains('|') && !line.starts_with("core"));
            let note = line.strip_prefix("note: ");
            if let Some(note) = note {
                assert!(
                    made.markdown.contains(&written(note)),
                    "{}: {note}",
                    source.name
                );
            } else if row {
                for cell in line
                    .split(['|', ' '])
                    .filter(|cell| !matches!(*cell, "" | "-"))
                {
                    assert!(
                        made.markdown.contains(&written(cell)),
                        "{}: {cell}",
                        source.name
                    );
                    cells += 1;
                }
            }
        }
        assert!(cells > 0, "{}: no row was looked at", source.name);
        assert!(made.markdown.contains(&source.sha256) && made.html.contains(&source.sha256));
    }
    assert_eq!(gathered.records.len(), 38);
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let gathered = demo();
    for unit in &gathered.records {
        let (a, b) = (report(gathered, unit), report(gathered, unit));
        assert!(a.markdown == b.markdown && a.html == b.html);
    }
}

/// Tags open and close in pairs, ids are unique, heading levels never jump, nothing is fetched.
#[test]
fn pages_are_sound_and_fetch_nothing() {
    let (gathered, templates) = (demo(), Templates::built_in());
    for unit in &gathered.records {
        let options = Options {
            report_number: Some("T-1".to_owned()),
            ..Options::default()
        };
        let made = report_with(gathered, unit, &options, &templates);
        let text = page(&made.title, &made.html, &options, &templates).unwrap();
        assert!(is_ours(text.as_bytes()) && is_ours(made.markdown.as_bytes()));
        // A picture that is attached lies beside the page.
        let fetched = text.replace("src=\"attached/", "");
        for bad in [
            "<script",
            "src=",
            "@import",
            "url(",
            "<link",
            "http-equiv",
            "/work",
            "/tmp",
        ] {
            assert!(!fetched.contains(bad), "{}: {bad}", made.id);
        }
        sound(&text, &made.id);
    }
}

/// Without annexes, and with each alone, no link leads nowhere.
#[test]
fn leaving_out_annexes_leaves_no_dead_link() {
    let (gathered, templates) = (demo(), Templates::built_in());
    let none = Annexes::default();
    let all = [
        none,
        Annexes {
            values: true,
            ..none
        },
        Annexes {
            readings: true,
            ..none
        },
        Annexes {
            earlier: true,
            ..none
        },
        Annexes {
            workings: true,
            ..none
        },
        Annexes {
            sources: true,
            ..none
        },
    ];
    let mut links = 0;
    for unit in gathered.records.iter().step_by(4) {
        for annexes in all {
            let options = Options {
                annexes,
                ..Options::default()
            };
            let made = report_with(gathered, unit, &options, &templates);
            let text = page(&made.title, &made.html, &options, &templates).unwrap();
            sound(&text, &made.id);
            let found = text.matches("href=\"#").count();
            assert!(annexes.workings || found == 0, "{annexes:?}");
            links += found;
            assert!(made.markdown.contains("— end of the report on "));
            assert!(made.markdown.contains("## Instruments"));
        }
    }
    assert!(links > 100, "{links}");
}

/// The body of a healthy CT says each requirement once: due or tested in a row of its own under its core,
/// the others among those that no visit asked for, a tap's ratio among the taps.
#[test]
fn a_healthy_ct_says_each_requirement_once() {
    let gathered = demo();
    let unit = gathered
        .records
        .iter()
        .find(|unit| unit.source.name.ends_with("h07-l1.ctr"))
        .unwrap();
    let made = short(gathered, unit).markdown;
    let lines: Vec<&str> = made.lines().filter(|line| line.starts_with("| ")).collect();
    let group = |head: &str| {
        let behind = lines
            .iter()
            .skip_while(|line| !line.starts_with(&format!("| **{head}")));
        let rows = behind.skip(1).take_while(|line| !line.starts_with("| **"));
        rows.copied().collect::<Vec<&str>>()
    };
    let mut told = 0;
    for row in Subject::of(unit, gathered.sisters(unit)).rows() {
        let title = row.title.to_string();
        let named = |line: &&&str| {
            let name = line.trim_start_matches("| ");
            let name = name.trim_start_matches("*circuit:* ");
            let ends = [" |", ", ", " at ", " of "];
            let rest = name.strip_prefix(title.as_str());
            rest.is_some_and(|rest| ends.iter().any(|end| rest.starts_with(end)))
        };
        let tap = format!("| {} |", row.subject);
        let taps = lines.iter().filter(|line| line.starts_with(&tap)).count();
        let own = match (&row.key.core, row.due || row.is_tested) {
            (_, false) => group("Not asked for at this visit"),
            (None, true) => group("The unit as a whole"),
            (Some(core), true) => group(&format!("{core}**: ")),
        };
        let count = own.iter().filter(named).count();
        assert_eq!(count.max(taps), 1, "{title} of {}", row.subject);
        told += 1;
    }
    assert!(told > 20);
}

fn sound(text: &str, name: &str) {
    let void = ["meta", "br", "hr", "img", "path", "!DOCTYPE"];
    let (mut open, mut ids, mut level) = (Vec::new(), std::collections::BTreeSet::new(), 0);
    for tag in text.split('<').skip(1) {
        let tag = tag.split('>').next().unwrap();
        let word = tag
            .split([' ', '/'])
            .find(|word| !word.is_empty())
            .unwrap_or("");
        if let Some(id) = tag
            .split(" id=\"")
            .nth(1)
            .and_then(|rest| rest.split('"').next())
        {
            assert!(ids.insert(id.to_owned()), "{name}: twice id {id}");
        }
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(word), "{name}: </{word}>");
        } else if !tag.ends_with('/') && !void.contains(&word) {
            open.push(word);
            if let Some(next) = word.strip_prefix('h').and_then(|n| n.parse::<u8>().ok()) {
                assert!(next <= level + 1, "{name}: h{next} behind h{level}");
                level = next;
            }
        }
    }
    assert_eq!(open, Vec::<&str>::new(), "{name}");
    for target in text
        .split("href=\"#")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
    {
        assert!(ids.contains(target), "{name}: no target #{target}");
    }
}

#[test]
fn transformer_and_circuit_have_a_line_each() {
    let gathered = demo();
    for unit in &gathered.records {
        let made = report(gathered, unit);
        let front = made.markdown.split("\n| ").next().unwrap();
        for owner in ["Transformer: ", "Circuit: ", "Measurement"] {
            assert!(front.contains(owner), "{owner} {}", made.title);
        }
        assert!(made.markdown.contains("never a clearance to energise"));
    }
}

#[test]
fn a_decimal_comma_changes_values_and_no_clause() {
    let gathered = demo();
    let unit = gathered
        .records
        .iter()
        .find(|unit| unit.source.name.ends_with("h07-l1.ctr"))
        .unwrap();
    let options = Options {
        decimal_comma: true,
        ..Options::default()
    };
    let made = report_with(gathered, unit, &options, &Templates::built_in());
    let text = text_of("h07-l1.ctr");
    let ambient = text
        .lines()
        .find_map(|line| line.strip_prefix("ambient: "))
        .and_then(|rest| rest.strip_suffix(" C"))
        .unwrap();
    assert!(ambient.contains('.'));
    assert!(
        made.markdown
            .contains(&format!("{} °C", ambient.replace('.', ",")))
            && !made.markdown.contains(&format!("{ambient} °C"))
    );
    assert!(made.markdown.contains("ILAC-G8:09/2019, 4.2.3"));
    assert!(!made.markdown.contains("61869,2"));
}

#[test]
fn sisters_of_a_bay_stand_beside_each_other() {
    let gathered = demo();
    let unit = gathered
        .records
        .iter()
        .find(|unit| Path::new(&unit.source.name).ends_with("h08-l1.ctr"))
        .unwrap();
    let made = report(gathered, unit);
    assert!(made.markdown.contains(", of 2 |") && made.html.contains("sisters, 2"));
    assert!(
        short(gathered, unit)
            .markdown
            .contains("the median of 2 sisters")
    );
}

#[test]
fn a_row_of_another_tap_names_its_terminals() {
    let gathered = demo();
    let unit = gathered
        .records
        .iter()
        .find(|unit| unit.source.name.ends_with("e1-l1.ctr"))
        .unwrap();
    let made = report(gathered, unit);
    let (_, behind) = made.markdown.split_once("#### Other taps").unwrap();
    let chapter = behind
        .split("\n### ")
        .next()
        .unwrap()
        .split("\n## ")
        .next()
        .unwrap();
    let rows: Vec<&str> = chapter
        .lines()
        .filter(|line| {
            line.starts_with("| ") && !line.contains("---") && !line.contains("Quantity")
        })
        .collect();
    assert!(
        rows.len() > 9 && rows.iter().all(|row| row.starts_with("| X")),
        "{rows:?}"
    );
}

/// A core that was left in service is a row, with all that its reason left out; nothing of it is lost.
#[test]
fn one_reason_is_said_once_for_each_core() {
    let record = "a-transmission-5-cores-5-terminals.ctr";
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/design_records");
    let job = alone(&std::fs::read_to_string(folder.join(record)).unwrap());
    let ct = job.records.first().unwrap();
    let made = short(&job, ct).markdown;
    let (_, table) = made.split_once("## Required and shown").unwrap();
    let (table, _) = table.split_once("\n## ").unwrap();
    let reason = "other cores stayed in service on the second diameter";
    let said: Vec<&str> = table.lines().filter(|line| line.contains(reason)).collect();
    assert_eq!(said.len(), 5, "2S to 5S, and the primary: {said:#?}");
    let subject = Subject::of(ct, Vec::new());
    let left = subject
        .rows()
        .iter()
        .filter(|row| row.due && row.word == "not tested" && row.earlier.is_none());
    let mut count = 0;
    for row in left {
        let title = row.title.to_string().replace("at 75 °C", "");
        assert!(
            said.iter().any(|line| line.contains(title.trim())),
            "{title}"
        );
        count += 1;
    }
    assert!(
        count > 20 && !said.iter().any(|line| line.contains("needs ")),
        "{count}"
    );
}

/// The row of a table that begins so.
fn row_of<'t>(page: &'t str, start: &str) -> &'t str {
    let mut lines = page.lines();
    let found = lines.find(|line| line.starts_with(&format!("| {start}")));
    found.unwrap_or_else(|| panic!("no row of {start}: {page}"))
}

#[test]
fn the_page_of_a_maker_tells_what_it_was_made_for() {
    let text = text_of("h13-l1.ctr");
    let (maker, _) = text.split_once("[visit 2026-10-05]").unwrap();
    let job = alone(maker);
    let page = short(&job, job.records.first().unwrap()).markdown;
    let page = page.replace('\u{a0}', " ");
    let rise = row_of(&page, "temperature rise of the unit");
    assert!(rise.contains("passed by type test, certificate TC-118 of 2024-02-01, type BW 145"));
    assert!(!rise.contains("TC-121"), "{rise}");
    let turns = row_of(&page, "inter-turn overvoltage");
    assert!(turns.contains("at 2700 V peak for 60 s | "), "{turns}");
    let discharge = row_of(&page, "partial discharge of the primary at 145 kV");
    assert!(discharge.contains("6.0 ± 2.0 pC"), "{discharge}");
    assert!(
        discharge.contains("at 100.5 kV: 3.0 ± 1.8 pC, ≤ 5 pC"),
        "{discharge}"
    );
    let factor = row_of(&page, "dissipation factor of the primary at 83.7 kV");
    assert!(factor.contains("0.290 ± 0.021 %"), "{factor}");
    assert!(
        factor.contains("capacitance at 83.7 kV: 813.0 ± 6.4 pF"),
        "{factor}"
    );
    assert!(page.contains(", primary links series 300/1 A, parallel 600/1 A, "));
}

#[test]
fn a_ratio_behind_another_ct_tells_what_the_two_are_together() {
    let gathered = demo();
    let mut all = gathered.records.iter();
    let unit = all.find(|one| one.source.name.ends_with("h13-interposing-l1.ctr"));
    let page = short(gathered, unit.unwrap()).markdown;
    let page = page.replace('\u{a0}', " ");
    let ratio = row_of(&page, "ratio |");
    assert!(
        ratio.contains("overall ratio: 600/1 by 2S1-2S2 of"),
        "{ratio}"
    );
    assert!(
        ratio.contains("burden on the CT that feeds it: "),
        "{ratio}"
    );
}
