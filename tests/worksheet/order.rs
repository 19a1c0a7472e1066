//! What is opened for a test is restored before the network's current is read.

use super::{demo, of_text, sheet_for, sheets, subject};
use kneemark::ground::date;
use kneemark::job::Compiled;
use kneemark::report::worksheet::new_visit;
use kneemark::trade::Purpose;

/// Every purpose, and every two of them.
fn purposes() -> Vec<String> {
    let all = || Purpose::WORDS.iter();
    let pairs = all().flat_map(|first| all().map(move |second| format!("{first} and {second}")));
    let single = all().map(|word| (*word).to_owned());
    single.chain(pairs).collect()
}

/// Whether the current of the network is read, with every other work of its sheet restored before.
fn is_in_order(purpose: &str, sheet: &str) -> Option<bool> {
    let order = sheet.split("\n## Order of work\n").nth(1).unwrap();
    let order = order.split("\n## ").next().unwrap();
    let steps = order.lines().filter(|line| {
        let number = line.split(". ").next().unwrap_or_default();
        number.parse::<usize>().is_ok()
    });
    let steps: Vec<&str> = steps.collect();
    let at = |words: &str| steps.iter().position(|step| step.contains(words));
    let load = at(". Current on load").or(at(". Stability"))?;
    let heading = |words: &str| sheet.find(&format!("\n## {words}"));
    let card = heading("Current on load").or(heading("Stability")).unwrap();
    let Some(restored) = at("nd only now: leads off") else {
        // Nothing but the load, and what comes before and behind it.
        assert_eq!((steps.len(), load), (4, 2), "{purpose}\n{order}");
        assert!(heading("As left").unwrap() > card, "{purpose}");
        return Some(false);
    };
    let back = at("Permit on the dead primary handed back").unwrap();
    let energised = at("the primary energised").unwrap();
    // Between them stands what is settled for the reading, and behind it that plugs and clamps are off.
    assert_eq!(
        (back, energised, load, steps.len()),
        (restored + 1, restored + 4, restored + 5, restored + 7),
        "{purpose}\n{order}"
    );
    let places = [
        heading("As left\n").unwrap(),
        sheet.find("**Restoration list**").unwrap(),
        sheet.find("primary energised by").unwrap(),
        card,
        heading("As left behind the load").unwrap(),
        sheet.find("**Signatures").unwrap(),
    ];
    assert!(places.is_sorted(), "{purpose}: {places:?}");
    Some(true)
}

/// A bay whose circuits and whose load were left open alike.
const OPEN: &str = "format: 1\n[ct]\nid: BRW-26-7301\nstandard: IEC 61869-2:2012\nhighest voltage: 145 kV\nprimary turns: 1\n\
    [place since 2026-01-01]\nsite: Skerrow\nbay: H20\nphase: L1\n\
    [core S]\nuse: protection\nclass: 5P20\nburden: 15 VA\nratio: 800/1 A\n\
    [duty S since 2026-01-01]\nzone: BZ9\n\
    [visit 2026-02-01]\npurpose: before energising and after energising\n\
    [test-links]\nstage: as left\ncore | item | position\nS | X1 | shorted\n";

#[test]
fn no_reading_on_load_stands_before_what_is_restored() {
    let day = date::read("2026-12-01").unwrap();
    let open = of_text(OPEN);
    let (mut both, mut alone) = (0, 0);
    let mut count = |purpose: &str, sheet: &str| match is_in_order(purpose, sheet) {
        Some(true) => both += 1,
        Some(false) => alone += 1,
        None => {}
    };
    let bay: Vec<Compiled> = demo()
        .into_iter()
        .filter(|unit| {
            ["h13-l1.ctr", "h13-l2.ctr", "q4-l3.ctr"]
                .iter()
                .any(|file| unit.path.ends_with(file))
        })
        .collect();
    assert_eq!(bay.len(), 3);
    for purpose in purposes() {
        count(&purpose, &sheets(&bay, &purpose).markdown);
        for unit in bay.iter().chain([&open]) {
            count(&purpose, &sheet_for(unit, &purpose).markdown);
            let visit = new_visit(&subject(unit), &purpose, day, None);
            let places = ["\n[restored]", "\n[load]"].map(|name| visit.find(name));
            if let [Some(restored), Some(load)] = places {
                assert!(restored < load, "{purpose}\n{visit}");
            }
        }
    }
    assert!(
        both > 50 && alone >= 5,
        "{both} with both, {alone} of a load alone"
    );
    // What a retest finds left of both.
    assert_eq!(
        is_in_order("retest", &sheet_for(&open, "retest").markdown),
        Some(true)
    );
}

/// A visit that is at the maker's and on site as well has the cautions of the site.
#[test]
fn cautions_of_the_maker_stand_for_a_visit_there_alone() {
    let unit = super::unit("h13-l1.ctr");
    let barrier = "The barrier is closed before a source is switched on";
    let trips = "Before a secondary is shorted, earthed or parted: block the trips";
    for (purpose, at_maker) in [("factory", true), ("factory and commissioning", false)] {
        let text = sheet_for(&unit, purpose).markdown;
        assert_eq!(
            (text.contains(barrier), text.contains(trips)),
            (at_maker, !at_maker),
            "{purpose}"
        );
    }
}
