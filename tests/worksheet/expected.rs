//! Numbers on the sheet, worked by hand from the plate.

use super::{demo, of_text, sheet, sheet_for, unit};
use kneemark::derive::expected::Winding;

/// Ratios of the pairs: IEEE C57.13, multi-ratio table (sections of 40, 20, 100 and 80 turns; seen in a reprint); the multiplier is the
/// full winding's turns over the pair's.
#[test]
fn multipliers_of_the_standard_multi_ratio_winding() {
    let turns = [0.0, 40.0, 60.0, 160.0, 240.0];
    let winding = Winding::from_turns(turns.map(Some).to_vec());
    let published = [
        ((0, 4), 1.0),
        ((1, 4), 1.2),
        ((2, 4), 4.0 / 3.0),
        ((0, 3), 1.5),
        ((1, 3), 2.0),
        ((2, 3), 2.4),
        ((3, 4), 3.0),
        ((0, 2), 4.0),
        ((0, 1), 6.0),
        ((1, 2), 12.0),
    ];
    assert_eq!(winding.pairs().len(), published.len());
    for ((from, to), multiplier) in published {
        let found = winding.multiplier(from, to).unwrap();
        assert!(
            (found - multiplier).abs() < 1e-12,
            "X{}-X{}: {found}",
            from + 1,
            to + 1
        );
        assert_eq!(
            winding.turns(from, to),
            Some(turns[usize::from(to)] - turns[usize::from(from)]),
            "X{}-X{}",
            from + 1,
            to + 1
        );
    }
}

#[test]
fn two_three_and_four_terminals() {
    let of = |turns: &[f64]| Winding::from_turns(turns.iter().copied().map(Some).collect());
    assert_eq!(of(&[0.0, 600.0]).multiplier(0, 1), Some(1.0));
    // Sections a = 200, b = 400: X1-X2 (a+b)/a = 3, X2-X3 (a+b)/b = 1.5
    let three = of(&[0.0, 200.0, 600.0]);
    assert_eq!(
        (three.multiplier(0, 1), three.multiplier(1, 2)),
        (Some(3.0), Some(1.5))
    );
    // a, b, c = 100, 300, 400; T = 800: T/(a+b), T/(b+c), T/a, T/b, T/c
    let four = of(&[0.0, 100.0, 400.0, 800.0]);
    let found = [(0, 2), (1, 3), (0, 1), (1, 2), (2, 3)]
        .map(|(from, to)| four.multiplier(from, to).unwrap());
    let by_hand = [2.0, 800.0 / 700.0, 8.0, 800.0 / 300.0, 2.0];
    assert!(
        found
            .iter()
            .zip(by_hand)
            .all(|(found, hand)| (found - hand).abs() < 1e-12),
        "{found:?}"
    );
}

#[test]
fn the_sheet_of_a_c800_core_by_hand() {
    let text = sheet(&unit("e1-l1.ctr")).markdown;
    // 100 A x |0.62 + 4.0 + j6.928| ohm = 832.7 V; 1.1 times that: 916 V; 10 A: 9160 VA
    assert!(text.contains("at most 10.0 A at 833 V"));
    // 0.62 x (k + 20)/(k + 75) with k = 234.5: 0.5098 ohm
    assert!(text.contains("plate: 0.510 ohm at 20 °C (0.620 ohm at 75 °C)"));
    assert!(!text.contains("at most 0.510 ohm"), "no limit of a C class");
    assert!(text.contains("at another temperature t the plate's figure is x (234.5 + t) / 254.5"));
    // 20 of 240 turns driven with 120 V: 1440 V; 2000 V across all of them stand at 167 V
    assert!(text.contains("| X2-X3 | 20 | 12.0 | 1440 V | 167 V |"));
    // 250 V on 240 turns: 1.0417 V at the primary, 0.5 % by the job: 1.036 to 1.047 V
    assert!(text.contains("1.04 V (1.036 to 1.047 V)"));
    // X2 stands at 200/240 of what X1-X5 gets: 763 V of 916 V
    assert!(text.contains("at 916 V driven: X2 763 V against X5"));
    // A tenth of 5 A; 8 ohm at 5 A
    assert!(
        text.contains("0.500 A: a tenth of rated")
            && text.contains("at most 200 VA, 40.0 V at 5.00 A")
    );
}

#[test]
fn the_sheet_of_a_measuring_core_by_hand() {
    let text = sheet(&unit("k04-l1.ctr")).markdown;
    // 15 VA at 5 A is 0.6 ohm; no winding resistance on the plate: FS10 gives at least 10 x 5 A x 0.6 = 30 V
    assert!(text.contains(
        "at least 30.0 V (limiting e.m.f. at FS by the burden alone; the plate gives no winding resistance)"
    ));
    // 1.2 x 5 A x 0.6 ohm = 3.6 V, 70 % of it 2.52: 2.5 V on 60 turns: 41.67 mV
    assert!(
        text.contains("2.50 V: within 70 % of 3.60 V") && text.contains("41.7 mV at the primary")
    );
    // A quarter of 15 VA (IEC 61869-2:2012, as the limit rows cite it)
    assert!(text.contains("at most 15.0 VA, 3.00 V at 5.00 A; not below 3.75 VA"));
    // No resistance on the plate: nothing invented
    assert!(text.contains("| expect |  | the current falls with the voltage"));
    // Ratio by current at the currents of class 0.5 (IEC 61869-2:2012, as the limit rows cite it)
    let text = sheet_for(&unit("k04-l1.ctr"), "factory").markdown;
    assert!(text.contains("| 5 | 15.0 A | ±1.5 %, ±90 min |"), "{text}");
}

#[test]
fn a_cable_that_passes_twice_by_hand() {
    let text = sheet(&unit("q4-l3.ctr")).markdown;
    // 200/5 for one pass: 40 turns. Two passes: 100 A of primary current, and twice the voltage induced.
    // 5 VA at 5 A is 0.2 ohm; 1.2 x 5 A x 0.2 ohm = 1.2 V; 70 % is 0.84: 0.8 V x 2/40 = 40 mV
    assert!(text.contains("40.0 mV at the primary"), "{text}");
    assert!(
        text.contains("The cable passes the window 2 times")
            && sheet_for(&unit("q4-l3.ctr"), "factory")
                .markdown
                .contains("| 100 | 100 A |")
    );
}

#[test]
fn a_bare_plate_gives_a_sheet_of_blanks() {
    let unit = of_text("format: 1\n[ct]\nid: A\n[core 1S]\n");
    let text = sheet(&unit).markdown;
    assert!(text.contains("Prove dead") || text.contains("prove dead"));
    for invented in [
        "mV at the primary",
        "Needs",
        "a tenth of rated",
        " V across",
    ] {
        assert!(!text.contains(invented), "{invented}");
    }
    let number = |rest: &str| rest.starts_with(|c: char| c.is_ascii_digit());
    assert!(
        !text
            .match_indices("at most ")
            .any(|(at, words)| number(&text[at + words.len()..]))
    );
}

#[test]
fn cautions_come_first_and_in_their_order() {
    for unit in demo() {
        let text = sheet(&unit).markdown;
        let order = [
            "disconnect; secure",
            "Earth the instrument first",
            "closed loop",
            "Never open a secondary",
            "## Rating plate",
            "## Winding resistance, demagnetisation, excitation",
        ];
        let places: Vec<usize> = order.iter().filter_map(|words| text.find(words)).collect();
        assert!(
            places.len() >= 5 && places.is_sorted(),
            "{}: {places:?}",
            unit.source.name
        );
    }
    let text = sheet(&unit("h07-l1.ctr")).markdown;
    let line = text
        .lines()
        .find(|line| line.contains("prove dead"))
        .unwrap();
    let steps = [
        "disconnect",
        "secure against",
        "prove dead",
        "earth",
        "guard",
    ]
    .map(|step| line.find(step).unwrap());
    assert!(steps.is_sorted());
}

/// What hurts people when it is left out: each sentence on the sheet of a core that has the step.
#[test]
fn what_can_hurt_is_said_where_it_is_done() {
    let text = sheet(&unit("h07-l1.ctr")).markdown;
    for sentence in [
        // A battery kick with the primary off earth leaves a high-voltage primary floating.
        "P2: the primary stays earthed at this end, and the battery's minus with it",
        "by a switch and never by hand at a clip",
        "nobody touches P1 or another winding on make or break",
        // Current in the circuit flows through relays.
        "before current flows: trips of every relay in the circuit and in its summations blocked, control room told",
        "block the trips of every relay that its circuit feeds, or that a summation it belongs to feeds",
        "| trips blocked (relays, summations), control room told |",
        "links stay open, shorts on and trips blocked until all is restored",
        "source off before a load is changed or a lead is moved",
        // Which earth of the core is the first.
        "each shorted core at one point only, its circuit's earth off or the short on the one it has",
        "the core under test at one point only, the minus lead of the source",
        "its own earth comes off for the test and goes back on after it",
        "zero current first, move the sense clips, then the same current again",
    ] {
        assert!(text.contains(sentence), "{sentence}");
    }
    let maker = sheet_for(&unit("h07-l1.ctr"), "factory").markdown;
    assert!(maker.contains("leads of high current tied down: they get hot and jump"));
    assert!(!text.contains("stays off earth"));
}

/// Direct current before the tests it spoils; no link closed, short taken off or trip unblocked before the
/// core is demagnetised.
#[test]
fn the_order_of_the_work_leaves_no_core_magnetised_and_no_relay_live() {
    for (file, purpose) in [
        ("h07-l1.ctr", "commissioning"),
        ("e1-l1.ctr", "commissioning"),
        ("q4-l3.ctr", "commissioning"),
        ("h07-l1.ctr", "factory"),
    ] {
        let text = sheet_for(&unit(file), purpose).markdown;
        let from = text.find("## Order of work").unwrap();
        let order = text[from..].split("\n## ").next().unwrap();
        let places = |text: &str, words: &[&str]| -> Vec<usize> {
            let at = |word: &&str| text.find(*word).unwrap_or_else(|| panic!("{file}: {word}"));
            words.iter().map(at).collect()
        };
        let mut steps = vec![
            "The instrument",
            "Trips blocked of every relay",
            "Rating plate compared",
            "Polarity by d.c. kick",
            "Winding resistance, demagnetisation",
            "Demagnetise, as left, while the links are open still",
            "Connected burden",
            "Restore, and only now: leads off, earths counted, shorts off and links closed, trips unblocked last",
        ];
        let mut parts = vec![
            "\n## Polarity by d.c. kick",
            "\n## Winding resistance, demagnetisation",
            "\n## Demagnetisation, as left",
            "\n## Connected burden",
            "\n## As left",
            "test leads off every secondary",
            "one earth on each circuit, counted",
            "links closed; shorts on the CT side taken off",
            "trips restored, control room told: behind everything above",
        ];
        if purpose == "factory" {
            // The maker has no circuits, and no trips.
            steps.retain(|words| {
                !["Connected burden", "Trips blocked of every relay"].contains(words)
            });
            steps.pop();
            steps.push("And only now: leads off, every secondary shorted");
            parts.retain(|words| !words.contains("Connected burden"));
            parts.truncate(4);
            parts.extend([
                "test leads off every terminal",
                "secondaries shorted for the way, or",
                "links of the primary as ordered; terminals",
                "earths of the tests off; the instrument",
            ]);
        }
        assert!(places(order, &steps).is_sorted(), "{file}: {order}");
        assert!(places(&text, &parts).is_sorted(), "{file}");
        let before = text.split("\n## As left").next().unwrap();
        for early in ["close the links", "take the short off", "unblock the trips"] {
            assert!(!before.contains(early), "{file}: {early}");
        }
    }
}

/// Somebody else's conductor: nothing is put to it, and the drawing shows a lead of one's own.
#[test]
fn a_foreign_primary_has_no_battery_and_no_tester_on_it() {
    let made = sheet(&unit("q4-l3.ctr"));
    assert!(
        made.markdown
            .contains("isolated, earthed at one side at most; no battery on it")
    );
    assert!(!made.markdown.contains(" as found; no battery"));
    let drawings: Vec<&str> = made.html.split("<svg ").skip(1).collect();
    let marked = |svg: &&str| svg.contains(">P1</text>");
    assert!(!drawings.iter().any(marked));
    let own = |svg: &&&str| svg.contains(">own lead through the window</text>");
    // Ratio and kick.
    assert_eq!(drawings.iter().filter(own).count(), 2);
    let own = sheet(&unit("h07-l1.ctr")).html;
    assert!(own.contains(">P1</text>") && !own.contains("own lead"));
}

/// Which end is earthed is the site's: said before anything else, and where it turns the answer round.
#[test]
fn the_earthed_end_may_be_the_other() {
    let text = sheet(&unit("h07-l1.ctr")).markdown;
    let told = "if P1 is the earthed end here, exchange P1 and P2 in every row and drawing";
    assert!(text.find(told).unwrap() < text.find("## The instrument first").unwrap());
    assert!(text.contains(
        "if P1 is the earthed end here, + on P2 and - on P1, and down on make, up on break is right"
    ));
    assert!(!sheet(&unit("q4-l3.ctr")).markdown.contains("exchange P1"));
}

/// A ring without a word of its primary: no tester on what may be somebody else's, and how to say what it is.
#[test]
fn a_primary_that_nobody_told_of_is_not_tested() {
    let ring = |told: &str| {
        let text = format!(
            "format: 1\n[ct]\nid: A\n{told}[core S]\nmarks: S1 S2\nclass: 5P20\nburden: 15 VA\nratio: 300/5 A\n"
        );
        sheet(&of_text(&text)).markdown
    };
    let (why, test) = (
        "No insulation test of the primary",
        "primary against all cores and earth",
    );
    for told in [
        "",
        "highest voltage: 0.72 kV\n",
        "highest voltage: 1.2 kV\n",
    ] {
        let text = ring(told);
        assert!(text.contains(why) && !text.contains(test), "{told}{text}");
        assert!(text.contains("\"passes: 1\""));
    }
    for told in [
        "highest voltage: 0.72 kV\nprimary turns: 1\n",
        "highest voltage: 24 kV\n",
    ] {
        let text = ring(told);
        assert!(!text.contains(why) && text.contains(test), "{told}{text}");
    }
    // What it asks for is understood.
    let text = ring("highest voltage: 0.72 kV\npasses: 1\n");
    assert!(!text.contains(why) && !text.contains(test));
}

/// Where the volts are worked out by hand the ceiling holds as well.
#[test]
fn what_is_worked_by_hand_stays_under_the_ceiling() {
    let text = sheet(&unit("k04-l1.ctr")).markdown;
    let line = text.lines().find(|line| line.contains("By hand:")).unwrap();
    assert!(
        line.contains("where that is above 2000 V, never drive it at 50 Hz"),
        "{line}"
    );
}

/// The band of a turns ratio is what the ratio by voltage is judged by: of a 5P core nothing but the client's
/// tolerance, of a PX core that of its class, whatever the client has; that of IEC is none of an IEEE plate.
#[test]
fn a_band_of_the_ratio_is_the_one_that_is_judged() {
    let of = |standard: &str, class: &str, criteria: &str| {
        let text = format!(
            "format: 1\n[ct]\nid: A\nstandard: {standard}\nfrequency: 50 Hz\nprimary turns: 1\n[core 1S]\nclass: {class}\nratio: 600/1 A\n\
             [visit 2026-03-14]\npurpose: commissioning\n[ratio]\nmethod: voltage\npair applied/V induced/mV\n1S1-1S2 200 333.8\n"
        );
        let unit = super::of_job(&text, criteria);
        let findings = &unit.assessment.visits[0].findings;
        let turns = findings
            .iter()
            .find(|one| one.rule.id == "turns-ratio")
            .unwrap();
        let limit = turns
            .against
            .as_ref()
            .and_then(|against| against.requirement.upper);
        (sheet(&unit).markdown, limit)
    };
    let own = "[ratio]\nturns = \"0.5 %\"\n";
    let (iec, ieee) = ("IEC 61869-2:2012", "IEEE C57.13-2008");
    for (standard, class, criteria, judged, band) in [
        (iec, "5P20\nburden: 15 VA", "", None, None),
        (
            iec,
            "5P20\nburden: 15 VA",
            own,
            Some(0.5),
            Some("(331.7 to 335.0 mV)"),
        ),
        (
            iec,
            "PX\nknee emf: 300 V",
            "",
            Some(0.25),
            Some("(332.5 to 334.2 mV)"),
        ),
        (
            iec,
            "PX\nknee emf: 300 V",
            own,
            Some(0.25),
            Some("(332.5 to 334.2 mV)"),
        ),
        (iec, "0.5\nburden: 10 VA", own, None, None),
        (ieee, "PX\nknee emf: 300 V", "", None, None),
        (ieee, "PX\nknee emf: 300 V", own, None, None),
    ] {
        let (text, limit) = of(standard, class, criteria);
        assert_eq!(limit, judged, "{standard} {class} {criteria}");
        let part = text.split("## Ratio and polarity").nth(1).unwrap();
        match band {
            Some(band) => assert!(part.contains(band), "{standard} {class} {criteria}{part}"),
            None => assert!(
                !part.contains(" mV (") && !part.contains(" %: "),
                "{standard} {class} {criteria}{part}"
            ),
        }
    }
}
