//! What a sheet asks for is what the list of requirements has due at a visit of that purpose.

use super::{of_text, sheet_for, sheets, subject};
use kneemark::compile;
use kneemark::ground::date;
use kneemark::ground::seam::Memory;
use kneemark::job::Compiled;
use kneemark::judge::requirement::{Required, required};
use kneemark::record::due::Due;
use kneemark::record::kinds::TestKind;
use kneemark::report::worksheet::new_visit;

/// The records that show all that their kind promises, and the demo's, each with a new visit alone.
fn fresh(purpose: &str) -> Vec<Compiled> {
    let day = date::read("2026-12-01").unwrap();
    let of = |name: &str| {
        let unit = of_text(&std::fs::read_to_string(format!("{WHOLE}/{name}.ctr")).unwrap());
        let plate = unit.source.text.split("\n[visit").next().unwrap();
        let visit = new_visit(&subject(&unit), purpose, day, None);
        of_text(&format!("{plate}\n{visit}"))
    };
    let names = [
        "p",
        "pr",
        "px",
        "pxr",
        "tpx",
        "tpy",
        "tpz",
        "measuring",
        "special",
        "extended",
        "ieee-c",
        "ieee-metering",
    ];
    let demo = super::command::fresh(purpose, str::to_owned).records;
    demo.into_iter().chain(names.map(of)).collect()
}

const WHOLE: &str = "tests/claims/whole";

/// What is due at the first visit of a record.
fn due(unit: &Compiled) -> Vec<Required> {
    let visit = &unit.record.visits[0];
    let mut list = required(
        &unit.record,
        &[visit],
        visit.purpose().into(),
        &Due::default(),
    );
    list.retain(|one| one.due);
    list
}

/// A record beside the instruments that the whole records were read with.
fn whole(text: &str) -> Compiled {
    let files = Memory::default();
    let instruments = std::fs::read_to_string(format!("{WHOLE}/instruments.toml"));
    files.put("instruments.toml", instruments.unwrap());
    files.put("a.ctr", text);
    compile(&files, &["a.ctr".into()]).records.remove(0)
}

#[test]
fn a_new_visit_holds_what_is_due_and_no_more() {
    let mut seen = 0;
    for purpose in [
        "factory",
        "receiving",
        "commissioning",
        "before energising",
        "after energising",
        "maintenance",
    ] {
        for fresh in fresh(purpose) {
            let tests = &fresh.record.visits[0].tests;
            let due = due(&fresh);
            let name = format!("{} {purpose}", fresh.record.plate.id_text());
            for one in &due {
                let (kind, core) = (one.requirement.kind, one.core);
                let mut tests = tests.iter().filter(|test| test.kind == kind);
                // Tables of the unit name their cores themselves.
                let held = match core.filter(|_| kind != TestKind::Restored) {
                    Some(core) => tests.any(|test| test.touches(core)),
                    None => tests.next().is_some(),
                };
                assert!(held, "{name}: {} {core:?}", one.requirement.id);
            }
            let on_every_sheet = [TestKind::State, TestKind::SelfCheck, TestKind::Restored];
            for test in tests
                .iter()
                .filter(|test| !on_every_sheet.contains(&test.kind))
            {
                for core in (0..fresh.record.cores.len()).filter(|core| test.touches(*core)) {
                    // The phase of a ratio test answers for the polarity.
                    let asks = |one: &Required| {
                        let polarity = one.requirement.kind == TestKind::Polarity
                            && test.kind == TestKind::Ratio;
                        let own = one.requirement.kind == test.kind || polarity;
                        own && one.core == Some(core)
                    };
                    // Due or not: direct current does not stand last on a core.
                    if test.kind == TestKind::Demagnetisation {
                        continue;
                    }
                    // Nor is a curve held against a limit without the resistance of its winding.
                    let rests = |one: &Required| {
                        one.core == Some(core) && one.requirement.rests_on_resistance()
                    };
                    if test.kind == TestKind::Resistance && due.iter().any(rests) {
                        continue;
                    }
                    assert!(
                        due.iter().any(asks),
                        "{name}: {} on {core}",
                        test.kind.name()
                    );
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 1000, "{seen}");
}

const STEPS: &[&str] = &[
    "Insulation resistance",
    "Withstand voltage",
    "Winding resistance",
    "Demagnetisation",
    "Excitation",
    "Remanence",
    "Ratio and polarity by voltage",
    "Ratio by current",
    "Connected burden",
    "Continuity of the circuit",
    "Single earth",
    "Test links",
    "Ratio setting",
    "Secondary injection",
    "Current on load",
    "Stability",
];

fn steps(unit: &Compiled, purpose: &str) -> Vec<&'static str> {
    let text = sheet_for(unit, purpose).markdown;
    // The heading of a setup names its steps, the first with a capital letter.
    let headings = text.lines().filter_map(|line| line.strip_prefix("## "));
    let named: Vec<String> = headings
        .flat_map(|heading| heading.split(", "))
        .map(str::to_lowercase)
        .collect();
    let stands = |step: &&&str| named.contains(&step.to_lowercase());
    STEPS.iter().filter(stands).copied().collect()
}

#[test]
fn each_purpose_has_its_own_steps() {
    let text = std::fs::read_to_string(format!("{WHOLE}/tpy.ctr")).unwrap();
    let unit = of_text(&text);
    for (purpose, left_out) in [
        ("factory", vec![0, 8, 9, 10, 11, 12, 13, 14, 15]),
        (
            "receiving",
            vec![1, 2, 4, 5, 7, 8, 9, 10, 11, 12, 13, 14, 15],
        ),
        ("commissioning", vec![1, 5, 7, 9, 10, 11, 12, 13, 14, 15]),
        ("before energising", (0..9).chain([14, 15]).collect()),
        ("after energising", (0..14).chain([15]).collect()),
        ("maintenance", vec![1, 5, 7, 8, 9, 10, 11, 12, 13, 14, 15]),
    ] {
        let all = STEPS.iter().enumerate();
        let left = all.filter(|(at, _)| !left_out.contains(at));
        let left: Vec<&str> = left.map(|(_, step)| *step).collect();
        assert_eq!(steps(&unit, purpose), left, "{purpose}");
    }
    let maintenance = sheet_for(&unit, "maintenance").markdown;
    assert!(
        !maintenance.contains("kick"),
        "polarity is not asked for again"
    );
}

/// What is worked out with a winding resistance has it on the sheet, where no plate states it.
#[test]
fn a_resistance_that_a_verdict_needs_is_laid_out() {
    let day = date::read("2026-12-01").unwrap();
    let text = std::fs::read_to_string(format!("{WHOLE}/measuring.ctr")).unwrap();
    let plate = text.split("\n[visit").next().unwrap().to_owned();
    let laid = |plate: &str, class: &str| {
        let unit = of_text(&plate.replace("0.5 FS10", class));
        let visit = new_visit(&subject(&unit), "factory", day, None);
        (
            steps(&unit, "factory").contains(&"Winding resistance"),
            visit.contains("\n[resistance]"),
        )
    };
    let stated = format!("{plate}\nresistance: 2.9 ohm at 75 C\n");
    for (class, needs) in [("0.5 FS10", true), ("5P10", true), ("0.5", false)] {
        assert_eq!(laid(&plate, class), (needs, needs), "{class}");
        assert_eq!(laid(&stated, class), (false, false), "{class}");
    }
    // At a retest the reading of the visit that answers with it serves.
    let read = "[visit 2026-03-17]\npurpose: factory\n[resistance]\ntemperature: 20 C\npair current/A voltage/V\nS1-S2 0.5 1.25\n";
    let unread = "[visit 2026-03-17]\npurpose: factory\n[self-check]\nratio of 1: 1.0000\n";
    for (visit, needs) in [(read, false), (unread, true)] {
        let unit = of_text(&format!("{plate}\n{visit}"));
        let found = steps(&unit, "retest");
        assert!(found.contains(&"Excitation"), "{found:?}");
        assert_eq!(found.contains(&"Winding resistance"), needs, "{found:?}");
    }
}

/// A unit of a set with nothing to test again stands in no table beside one that has; alone, the choice is free.
#[test]
fn a_retest_of_a_set_leaves_out_who_is_done() {
    let text = std::fs::read_to_string(format!("{WHOLE}/px.ctr")).unwrap();
    let id = whole(&text).record.plate.id_text().to_owned();
    let from = text.find("[excitation").unwrap();
    let until = from + text[from..].find("\n[ratio").unwrap();
    let less = format!("{}{}", &text[..from], &text[until..]).replace(&id, "BRW-26-7999");
    let set = [whole(&text), whole(&less)];
    let both = sheets(&set, "retest").markdown;
    let line =
        format!("Not on this sheet: {id}. No visit on record left anything to test again there.");
    assert!(both.contains(&line), "{both}");
    assert_eq!(both.matches(id.as_str()).count(), 1, "{both}");
    assert!(
        both.contains("knee point e.m.f. of S: not shown")
            && !both.contains("tests of a commissioning")
    );
    let done = [whole(&text), whole(&text.replace(&id, "BRW-26-7998"))];
    let free = sheets(&done, "retest").markdown;
    assert!(
        free.contains("tests of a commissioning to choose from")
            && !free.contains("Not on this sheet")
    );
    let all = sheets(&set, "commissioning").markdown;
    assert!(all.contains(&id) && !all.contains("Not on this sheet"));
}

/// A retest asks for what the last visit left open; where nothing is asked, the sheet says so.
#[test]
fn a_retest_asks_for_what_was_left() {
    let text = std::fs::read_to_string(format!("{WHOLE}/px.ctr")).unwrap();
    let free = sheet_for(&whole(&text), "retest").markdown;
    assert!(
        free.contains("No visit on record left anything to test again"),
        "{free}"
    );
    // Without its excitation test, and with a resistance above the plate's.
    let from = text.find("[excitation").unwrap();
    let until = from + text[from..].find("\n[ratio").unwrap();
    let less = format!("{}{}", &text[..from], &text[until..]);
    let less = whole(&less.replace("0.50002    1.3467", "0.50002    1.6467"));
    assert_eq!(
        steps(&less, "retest"),
        ["Winding resistance", "Demagnetisation", "Excitation"]
    );
    let told = sheet_for(&less, "retest").markdown;
    assert!(told.contains("What the last visit left open, and no more:"));
    // A test that magnetises brings what takes it away again: where to start, and room to write.
    for words in [
        "start where the core is saturated",
        "Demagnetisation, before excitation: write down",
    ] {
        assert!(told.contains(words), "{words}");
    }
    // What is open stands there with its reason, and nothing that holds.
    for open in [
        "winding resistance at 75 °C of S: not met",
        "knee point e.m.f. of S: not shown (no excitation on record)",
    ] {
        assert!(told.contains(open), "{open}\n{told}");
    }
    assert!(!told.contains("insulation resistance of"));
    let looked = sheet_for(&less, "investigation").markdown;
    assert!(looked.contains("An investigation asks for no certain test"));
}
