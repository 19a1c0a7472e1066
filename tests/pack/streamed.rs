//! A pack is made a few CTs at a time: what the pages say of each other, and what changes on the way.

use super::{ONE_BAY, bay, built, job, text};
use crate::through::{Through, Way};
use kneemark::job::Outcome;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

#[test]
fn a_bay_stands_side_by_side() {
    let built = built(&job());
    let page = text(&built, "bay/skerrow-132-kv-h08.md");
    assert!(page.contains("| Required | Limit | [L1](../ct/brw-25-41304.md) | [L2]"));
    let exciting = page
        .lines()
        .find(|line| line.starts_with("| exciting current at 300 V"));
    let exciting = exciting.expect("a row");
    assert!(
        exciting.contains("69.06 ± 0.21 mA **■ not met**") && exciting.contains("4.58 ± 0.02 mA"),
        "{exciting}"
    );
    let html = text(&built, "bay/skerrow-132-kv-h08.html");
    assert_eq!(html.matches("<figure").count(), 3, "a chart for each core");
}

#[test]
fn every_page_leads_back_and_on() {
    let built = built(&job());
    assert!(text(&built, "index.md").contains("[side by side](bay/skerrow-132-kv-h08.md)"));
    let ct = text(&built, "ct/brw-25-41305.md");
    for way in [
        "[Contents](../index.md)",
        "(../bay/skerrow-132-kv-h08.md)",
        "[Before: Skerrow 132 kV, H08, L1](../ct/brw-25-41304.md)",
        "[Next: Skerrow 132 kV, H08, L3](../ct/brw-25-41306.md)",
    ] {
        assert!(ct.contains(way), "{way}");
    }
    let of_bay = text(&built, "bay/skerrow-132-kv-h08.md");
    assert!(
        of_bay.contains("[Next: Skerrow 132 kV, H08, L1]"),
        "{of_bay}"
    );
    for name in built.files.keys().filter(|name| name.ends_with(".md")) {
        let page = text(&built, name);
        let folder = Path::new(name).parent().expect("a folder");
        for link in page
            .split("](")
            .skip(1)
            .filter_map(|rest| rest.split(')').next())
        {
            if link.ends_with(".md") {
                let to = match link.strip_prefix("../") {
                    Some(link) => PathBuf::from(link),
                    None => folder.join(link),
                };
                let to = to.to_str().expect("a name");
                assert!(built.files.contains_key(to), "{name} leads to {link}");
            }
        }
    }
}

#[test]
fn the_cover_names_what_fails_and_why() {
    let built = built(&job());
    let index = text(&built, "index.md");
    let cover = index.split("## Contents").next().expect("a cover");
    let fails = built.matrix.blocks.iter().filter(|block| {
        [&block.ct, &block.circuit]
            .iter()
            .any(|cell| cell.word == "fails")
    });
    let mut count = 0;
    for block in fails {
        assert!(cover.contains(&block.spot.name), "{}", block.spot.name);
        count += 1;
    }
    assert!(
        count > 4 && cover.contains("2S shorted turn suspected"),
        "{cover}"
    );
}

/// Place and rule make the number of a defect: neither the order nor the other CTs.
#[test]
fn numbers_of_defects_stay() {
    let numbers = |pack: &str| -> Vec<String> {
        let built = built(&bay("h08", pack));
        let defects = built.cards.iter().flat_map(|card| &card.defects);
        let mut numbers: Vec<String> = defects.map(|one| one.number.clone()).collect();
        numbers.sort();
        numbers
    };
    let all = numbers(ONE_BAY);
    assert!(
        all.contains(&"H08 L1 2S shorted-turn-suspected".to_owned()),
        "{all:?}"
    );
    let backwards = ONE_BAY.replacen("[report]", "order = [\"id\"]\n[report]", 1);
    assert_eq!(numbers(&backwards), all);
    let one = ONE_BAY.replacen("**/*.ctr", "h08/h08-l1.ctr", 1);
    assert!(numbers(&one).iter().all(|number| all.contains(number)));
}

/// Files of which one reads otherwise the second time.
#[derive(Default)]
struct Restless(AtomicUsize);

impl Way for Restless {
    fn read(&self, path: &Path, read: io::Result<Vec<u8>>) -> io::Result<Vec<u8>> {
        let again = path.ends_with("h07-l2.ctr") && self.0.fetch_add(1, Ordering::SeqCst) > 0;
        read.map(|mut bytes| {
            bytes.extend(
                again
                    .then_some(b"# written meanwhile\n")
                    .into_iter()
                    .flatten(),
            );
            bytes
        })
    }
}

#[test]
fn a_record_that_changes_meanwhile_is_an_error() {
    let files = Through {
        files: bay("h07", ONE_BAY),
        way: Restless::default(),
    };
    let built = built(&files);
    assert_eq!(built.outcome(), Outcome::Broken);
    let mut told = built.told.iter().flat_map(|told| &told.diagnostics);
    assert!(told.any(|one| one.title.contains("was changed or taken away")));
    let page = text(&built, "ct/brw-25-41302.md");
    assert!(!page.contains("Transformer: pass"), "{page}");
}

/// Which of two records of one id is meant nobody can tell.
#[test]
fn both_records_of_one_id_are_told() {
    let files = bay("h07", ONE_BAY);
    let copy = super::demo_text("skerrow/h07/h07-l1.ctr");
    files.put("job/skerrow/h07/copy.ctr", copy);
    let job = kneemark::compile(&files, &["job".into()]);
    let twins = job.records.iter().filter(|one| {
        let mut told = one.diagnostics.iter();
        told.any(|one| one.code.name() == "id-duplicate")
    });
    assert_eq!(twins.count(), 2);
}

/// A page without a visit claims nothing, and is counted.
#[test]
fn a_ct_without_a_visit_is_not_tested() {
    let files = bay("h07", ONE_BAY);
    let whole = super::demo_text("skerrow/h07/h07-l1.ctr");
    let plate = whole.split("[visit ").next().expect("a plate");
    files.put("job/skerrow/h07/h07-l1.ctr", plate);
    let built = built(&files);
    let index = text(&built, "index.md");
    assert!(index.contains("1 not tested"), "{index}");
    let page = text(&built, "ct/brw-25-41301.md");
    assert!(page.contains("Transformer: not tested"), "{page}");
}
