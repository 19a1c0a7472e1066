//! Every CT of the demo job: what was written is there, and the page is sound.

use super::{demo, report, report_with, text_of};
use kneemark::document::{Block, Pictures, Templates, is_ours, plain, print};
use kneemark::report::{Options, page};
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
    assert_eq!(gathered.records.len(), 33);
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
            assert!(!text.contains(bad), "{}: {bad}", made.id);
        }
        sound(&text, &made.id);
    }
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
        assert!(
            made.markdown.contains("| Transformer |")
                && made.markdown.contains("| Circuit it serves |")
        );
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
    let (_, behind) = made.markdown.split_once("### Other taps").unwrap();
    let chapter = behind.split("\n## ").next().unwrap();
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
