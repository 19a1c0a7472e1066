//! A record is read again with a few others only; what comes out is what reading the whole job gives.

use kneemark::editor::{Desk, Reach, Told, told};
use kneemark::ground::seam::Memory;
use kneemark::job::Survey;
use proptest::prelude::*;
use std::path::PathBuf;

/// What a fresh look over the whole job tells.
fn afresh(files: &Memory, path: &PathBuf) -> Vec<Told> {
    let job = Survey::among(files, std::slice::from_ref(path)).job();
    job.records.iter().flat_map(told).collect()
}

const EDITS: &[(&str, &str)] = &[
    ("phase: L1", "phase: L2"),
    ("bay: H07", "bay: H08"),
    ("bay: H07", "bay: H0"),
    ("id: BRW-25-41301", "id: BRW-25-41302"),
    ("id: BRW-25-41301", "id: X"),
    ("class: PX", "like: BRW-25-41302"),
    ("class: PX", "like: nobody"),
    ("knee emf: 300 V", "knee emf: 30 V"),
    ("set: ", "set: A"),
    ("[visit ", "[visitt "),
    ("1S1-1S2", "1S1-1S9"),
    ("A", "B"),
];

#[test]
fn the_few_give_what_the_whole_job_gives() {
    let files = Memory::default();
    let demo = crate::demo::files();
    for (name, text) in &demo {
        files.put(name.as_str(), text.as_bytes());
    }
    let path = PathBuf::from(super::client::L1);
    let runner = |edits: &[usize]| {
        let mut desk = Desk::new(&files);
        let mut text = demo[super::client::L1].clone();
        desk.put(&path, &text);
        let mut again = 0;
        for edit in edits {
            let (from, to) = EDITS[edit % EDITS.len()];
            text = match edit / EDITS.len() % 2 {
                0 => text.replacen(from, to, 1),
                _ => text.replacen(to, from, 1),
            };
            desk.put(&path, &text);
            let looked = desk.look(&path);
            again += usize::from(looked.reach == Reach::Company);
            let own: Vec<Told> = looked.ct.iter().flat_map(told).collect();
            files.put(path.clone(), text.as_bytes());
            let whole = afresh(&files, &path);
            files.put(path.clone(), demo[super::client::L1].as_bytes());
            assert_eq!(own, whole, "{from} to {to}");
        }
        again
    };
    // Twice the same needs the whole job once; so does each edit that binds it to others.
    assert_eq!(runner(&[7, 7, 10, 11]), 3);
    assert_eq!(runner(&[7, 1, 1, 4, 10]), 2);
    proptest!(ProptestConfig::with_cases(24), |(edits in prop::collection::vec(0usize..24, 1..8))| {
        runner(&edits);
    });
}

/// A sister that was never saved is one all the same.
#[test]
fn what_is_in_hand_lies_in_its_folder() {
    let files = Memory::default();
    let demo = crate::demo::files();
    files.put("a/one.ctr", demo["skerrow/h07/h07-l1.ctr"].as_bytes());
    let mut desk = Desk::new(&files);
    let one = PathBuf::from("a/one.ctr");
    let two = PathBuf::from("a/two.ctr");
    desk.look(&one);
    assert!(!desk.is_company(&one, &two));
    desk.put(&two, &demo["skerrow/h07/h07-l2.ctr"]);
    desk.forget();
    desk.look(&one);
    assert!(desk.is_company(&one, &two));
    desk.let_go(&two);
    desk.forget();
    desk.look(&one);
    assert!(!desk.is_company(&one, &two));
}
