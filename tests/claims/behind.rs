//! What hangs behind a core is known from other records: in whatever order they lie, seen when they change, and each read
//! a few times only.

use crate::through::{RecordsRead, Through};
use kneemark::cli::check::{Format, text};
use kneemark::cli::draw::Style;
use kneemark::compile;
use kneemark::ground::seam::Memory;
use kneemark::job::{Survey, Terms};

const CASE: &str = "tests/claims/cases/feed-devices-behind";

/// The main CT and the one behind it, of the case.
fn case() -> (String, String) {
    let read = |name: &str| std::fs::read_to_string(format!("{CASE}/{name}.ctr")).expect("a case");
    (read("main"), read("aux"))
}

/// The closing line of the main CT's circuit, with the files by these names.
fn circuit(files: &[(&str, &str)]) -> String {
    let memory = Memory::default();
    for (name, text) in files {
        memory.put(format!("job/{name}"), text.as_bytes());
    }
    let all = text(
        &compile(&memory, &["job".into()]),
        Format::Human,
        false,
        Style::Plain,
    );
    let mut lines = all.lines();
    let own = lines.find(|line| line.starts_with("M-31 unit circuit"));
    own.expect("its line").to_owned()
}

#[test]
fn the_order_of_files_changes_nothing() {
    let (main, aux) = case();
    let other = aux.replace("A-31", "A-30");
    let first = circuit(&[("a.ctr", &main), ("b.ctr", &aux), ("c.ctr", &other)]);
    assert!(first.contains("A-30 and A-31"), "{first}");
    let orders = [
        ["b.ctr", "a.ctr", "c.ctr"],
        ["c.ctr", "b.ctr", "a.ctr"],
        ["b.ctr", "c.ctr", "a.ctr"],
    ];
    for [one, two, three] in orders {
        assert_eq!(
            circuit(&[(one, &main), (two, &aux), (three, &other)]),
            first
        );
    }
}

/// All that is behind must be asked: one that nobody asks opens the core again.
#[test]
fn each_that_hangs_there_is_to_be_asked() {
    let (main, aux) = case();
    let idle = aux
        .replace("A-31", "A-30")
        .replace("before energising", "receiving");
    let said = circuit(&[("a.ctr", &main), ("b.ctr", &aux), ("c.ctr", &idle)]);
    assert!(!said.contains("not asked for here"), "{said}");
}

/// What pack and preview take over from before goes by it.
#[test]
fn a_record_stands_on_what_hangs_behind_it() {
    let (main, aux) = case();
    let of = |aux: &str| {
        let memory = Memory::default();
        memory.put("job/main.ctr", main.as_bytes());
        memory.put("job/aux.ctr", aux.as_bytes());
        let survey = Survey::of(&memory, &["job".into()], Terms::default());
        let own = survey
            .found
            .iter()
            .position(|one| one.name.ends_with("main.ctr"));
        survey.stands_on(own.expect("there"))
    };
    assert_eq!(of(&aux), of(&aux));
    assert_ne!(of(&aux), of(&aux.replace("before energising", "receiving")));
    assert_ne!(of(&aux), of(&aux.replace("fed by: M-31 1S\n", "")));
}

/// Once looked over, once compiled, once by the other side of each `fed by`.
#[test]
fn many_behind_one_core_are_read_a_few_times_each() {
    let (main, aux) = case();
    let files: Through<Memory, RecordsRead> = Through::default();
    files.files.put("job/main.ctr", main.as_bytes());
    for at in 0..80 {
        let aux = aux.replace("A-31", &format!("B-{at:02}"));
        files.files.put(format!("job/{at}.ctr"), aux.as_bytes());
    }
    compile(&files, &["job".into()]);
    let read = files.way.count();
    assert!(read <= 4 * 81, "{read} records read");
}
