//! `records/` is what the generator writes, and the generator hangs together.
#![allow(
    clippy::disallowed_methods,
    reason = "the test reads the folder itself"
)]

use std::collections::BTreeMap;
use std::path::Path;

fn walk(folder: &Path, root: &Path, found: &mut BTreeMap<String, String>) {
    for entry in std::fs::read_dir(folder).expect("records/ can be listed") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            walk(&path, root, found);
        } else {
            let name = path
                .strip_prefix(root)
                .expect("below root")
                .to_string_lossy()
                .replace('\\', "/");
            found.insert(name, std::fs::read_to_string(&path).expect("text"));
        }
    }
}

#[test]
fn records_are_what_the_generator_writes() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("records");
    let mut found = BTreeMap::new();
    walk(&root, &root, &mut found);
    let wanted = super::files();
    assert_eq!(
        found.keys().collect::<Vec<_>>(),
        wanted.keys().collect::<Vec<_>>()
    );
    for (name, text) in &wanted {
        assert_eq!(
            found.get(name),
            Some(text),
            "{name}: run `cargo run --example demo`"
        );
    }
}

#[test]
fn every_fault_is_planted_once_and_most_are_sound() {
    let planted = super::planted();
    for fault in [
        "shorted-turn",
        "residual-magnetism",
        "reversed-polarity",
        "wrong-tap",
        "wet-insulation",
        "burden-over-rating",
        "closed-primary-loop",
        "class-not-met",
        "falling-insulation",
    ] {
        assert_eq!(
            planted.iter().filter(|one| one.fault == fault).count(),
            1,
            "{fault}"
        );
    }
    assert!(planted.len() >= 24);
    let ids: std::collections::BTreeSet<_> = planted.iter().map(|one| &one.ct).collect();
    assert_eq!(ids.len(), planted.len(), "ids are unique");
}
