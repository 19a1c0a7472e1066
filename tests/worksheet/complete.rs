//! Nothing is left out that one works from, or that keeps people and circuits whole.

use super::{demo, of_text, of_text_at, sheet, sheet_for, sheets, subject, unit};
use kneemark::ground::date;
use kneemark::judge::requirement::required;
use kneemark::record::due::Due;
use kneemark::report::worksheet::new_visit;
use kneemark::trade::Purpose;

/// What every sheet has, of one unit or of a set.
const ALWAYS: &[&str] = &[
    "## Before anything else",
    "## The instrument first",
    "its earth on, before any other lead",
    "leads: clips shorted together, zeroed or noted",
    "## Rating plate",
    "manufacturer",
    "| type |",
    "| serial |",
    "| year |",
    "| standard |",
    "plate agrees",
    "## Order of work",
    "## Inspection, state as found",
    "| terminal box |",
    "Primary while testing: one earth at most",
    "Polarity by d.c. kick (battery) test",
    "P2: the primary stays earthed at this end",
    "if another pair must be driven",
    "## As left",
    "unused taps of a core in service: open and insulated, never shorted",
    "unused cores: full winding shorted and earthed at one point",
    "links closed; shorts on the CT side taken off",
    "one earth on each circuit, counted",
    "trips restored, control room told",
    "oil level read, no leak",
    "test tap of the insulation earthed again",
    "seals put back",
    "the instrument's earth off last",
];

#[test]
fn a_set_sheet_has_all_that_a_single_sheet_has() {
    let bay = || ["h07-l1.ctr", "h07-l2.ctr", "h07-l3.ctr"].map(unit);
    let single = sheet(&unit("h07-l1.ctr")).markdown;
    let set = sheets(&bay(), "commissioning").markdown;
    for words in ALWAYS {
        assert!(single.contains(words), "single: {words}");
        assert!(set.contains(words), "set: {words}\n{set}");
    }
    let headings = |text: &str| -> Vec<String> {
        let heads = text.lines().filter(|line| line.starts_with("## "));
        heads.map(str::to_owned).collect()
    };
    assert_eq!(headings(&single), headings(&set));
}

#[test]
fn the_instrument_comes_before_the_unit() {
    for unit in demo() {
        let text = sheet(&unit).markdown;
        let at = |words: &str| text.find(words).unwrap_or_else(|| panic!("{words}"));
        let order = [
            "disconnect; secure against",
            "## The instrument first",
            "## Rating plate",
            "## Order of work",
            "1. The instrument: its earth",
            "## Inspection, state as found",
            "## As left",
        ];
        assert!(order.map(at).is_sorted(), "{}", unit.source.name);
    }
}

/// Of a unit that holds no oil nothing is said of oil; of one whose insulation nobody wrote down, in doubt.
#[test]
fn oil_is_asked_of_what_holds_it() {
    let dry = sheet(&unit("k04-l1.ctr")).markdown;
    assert!(!dry.contains("oil level") && !dry.contains("test tap"));
    let bare = sheet(&of_text("format: 1\n[ct]\nid: A\n[core 1S]\n")).markdown;
    assert!(bare.contains("oil level read, no leak, where it holds oil"));
}

const FULL: &str = "format: 1\n[ct]\nid: A\nmaker: Invented Works\ntype: IW 145\nserial: 4711\nyear: 1998\n\
standard: IEC 60044-1\nhighest voltage: 145 kV\nBIL: 650 kV\nfrequency: 50 Hz\ninsulation: oil and paper\nprimary turns: 1\n\
Ith: 31.5 kA\nIdyn: 80 kA\n\
[core 1S]\nclass: PX\nknee emf: 300 V\nexciting current: 30 mA at 300 V\nexciting current: 12 mA at 150 V\nresistance: 3.60 ohm at 75 C\n\
tap  ratio/A\n1S1-1S2  150/1\n1S1-1S3  300/1\n1S1-1S4  600/1\n\
[core 2S]\nclass: 0.5 FS10\nburden: 10 VA\nratio: 600/1 A\n";

#[test]
fn the_plate_is_on_the_sheet_in_full() {
    let text = sheet(&of_text(FULL)).markdown;
    for row in [
        "| manufacturer | Invented Works |",
        "| type | IW 145 |",
        "| serial | 4711 |",
        "| year | 1998 |",
        "| standard | IEC 60044-1 |",
        "| highest voltage, BIL | 145 kV, BIL 650 kV |",
        "| insulation | oil and paper |",
        "| short-time currents | Ith 31.5 kA, Idyn 80 kA |",
        "| primary | P1, P2; turns 1 |",
        "| exciting current, at most | resistance | turns |",
        "| 1S: 1S1 1S2 1S3 1S4 | 600/1 | PX |  | 300 V | 30 mA at 300 V, 12 mA at 150 V | at most 3.60 ohm at 75 C | 600 |",
        "| 1S1-1S2 | 150/1 |",
        "| 1S1-1S3 | 300/1 |",
        "| 2S: 2S1 2S2 | 600/1 | 0.5 FS10 | 10 VA |",
    ] {
        assert!(text.contains(row), "{row}\n{text}");
    }
}

/// Whoever obeys the sheet leaves no pair unshown that a requirement names.
#[test]
fn every_pair_that_a_requirement_names_has_a_row() {
    let mut seen = 0;
    for unit in demo().into_iter().chain([of_text(FULL)]) {
        for purpose in ["factory", "commissioning"] {
            let text = sheet_for(&unit, purpose).markdown;
            let list = required(
                &unit.record,
                &[],
                Purpose::read(purpose).into(),
                &Due::default(),
            );
            for one in list
                .iter()
                .filter(|one| one.due || one.requirement.id == "ratio")
            {
                let Some(pair) = one.pair else { continue };
                let core = &unit.record.cores[pair.core];
                let is_asked = list.iter().any(|other| {
                    other.due
                        && other.core == one.core
                        && other.requirement.kind == one.requirement.kind
                });
                let by_rows = ["ratio", "turns-ratio", "winding-resistance-limit"];
                if is_asked && by_rows.contains(&one.requirement.id) && !core.is_full(pair) {
                    let name = core.pair_text(pair.from, pair.to);
                    let row = format!("| {name} | ");
                    assert!(
                        text.contains(&row),
                        "{} {purpose}: {name} for {}",
                        unit.source.name,
                        one.requirement.id
                    );
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 20, "{seen}");
    // 200 V x 300/600 between the outer taps that are no neighbours.
    let text = sheet(&of_text(FULL)).markdown;
    assert!(text.contains("| 1S1-1S3 | 100 V |  |  |  |"), "{text}");
}

/// Both ends of the burden of a measuring class, each with its rows and its figures.
#[test]
fn a_measuring_class_is_read_at_both_ends_of_its_burden() {
    let text = sheet_for(&unit("k04-l1.ctr"), "factory").markdown;
    // 15 VA at 5 A: 0.6 ohm, 0.8 (IEC 61869-2); a quarter of it, 3.75 VA: 0.15 ohm, below 5 VA at 1.0
    for burden in [
        "burden rated: 15.0 VA, 0.600 ohm, cos φ 0.8: write down",
        "burden lowest: 3.75 VA, 0.150 ohm, cos φ 1: write down",
    ] {
        assert!(text.contains(burden), "{burden}\n{text}");
    }
    assert_eq!(text.matches("| 120 | 360 A |").count(), 2);
    let protection = sheet_for(&unit("h07-l1.ctr"), "factory").markdown;
    assert!(protection.contains("burden rated: 15.0 VA, 15.0 ohm, cos φ 0.8: write down"));
}

/// The tester is never put on somebody's cable.
#[test]
fn a_ring_without_a_primary_of_its_own_gets_no_high_voltage_on_the_primary() {
    for (key, what) in [
        ("passes: 2", "the cable through the window"),
        ("primary: bushing H2 of T1", "bushing H2 of T1"),
    ] {
        let text = format!(
            "format: 1\n[ct]\nid: A\nstandard: IEC 61869-2:2012\nhighest voltage: 0.72 kV\n{key}\n[core S]\nclass: 1\nburden: 5 VA\nratio: 200/5 A\n"
        );
        let unit = of_text(&text);
        for purpose in ["factory", "receiving", "commissioning", "maintenance"] {
            let text = sheet_for(&unit, purpose).markdown;
            for high in [
                "primary against all",
                "Insulation, primary",
                "Withstand, primary",
                "P1 and P2 tied together",
                "partial discharge",
            ] {
                assert!(!text.contains(high), "{key} {purpose}: {high}");
            }
            assert!(text.contains(&format!("The primary is no part of the unit: {what}. No insulation tester and no high voltage on it")));
        }
        let text = sheet(&unit).markdown;
        assert!(text.contains("isolated and earthed; no lead of the tester on it"));
        assert!(text.contains("no battery on it") && text.contains("a lead of your own, passed"));
    }
    // A unit whose record does not say what its primary is: said at the row itself.
    let open =
        of_text("format: 1\n[ct]\nid: A\nhighest voltage: 24 kV\n[core S]\nratio: 200/5 A\n");
    let text = sheet(&open).markdown;
    assert!(text.contains(
        "a cable or busbar that passes a window is somebody else's, and is not tested from here"
    ));
}

/// Without a winding resistance the stop value is the burden's alone.
#[test]
fn a_missing_winding_resistance_is_added_by_hand() {
    let text = sheet(&unit("k04-l1.ctr")).markdown;
    // 15 VA at 5 A, 0.8: 0.48 ohm along, 0.36 across; 10 x 5 A; 234.5 + 75 = 309.5
    assert!(
        text.contains(
            "so 30.0 V is for the burden alone, and the winding's resistance R comes on top."
        ),
        "{text}"
    );
    assert!(
        text.contains("R at 75 °C = R measured x 309.5 / (234.5 + t) = \\_\\_\\_\\_\\_\\_ ohm")
    );
    assert!(text.contains("e.m.f. = 50.0 A x sqrt((R + 0.480 ohm)² + (0.360 ohm)²) ="));
    let known = sheet(&unit("h07-l1.ctr")).markdown;
    assert!(!known.contains("By hand"));
}

/// Words for what is there, and marks as they are stamped.
#[test]
fn other_cores_and_marks_are_those_of_the_unit() {
    let one = sheet(&unit("k04-l1.ctr")).markdown;
    let cautions = one.find("## The instrument first").unwrap();
    assert!(!one[cautions..].contains("other cores"), "{one}");
    assert!(one.contains("S against primary and earth"));
    let three = sheet(&unit("h07-l1.ctr")).markdown;
    assert!(three.contains("1S against primary, other cores and earth"));

    let marked = |key: &str, marks: &str| {
        of_text(&format!(
            "format: 1\n[ct]\nid: A\nprimary turns: 1\n{key}[core 1S]\nmarks: {marks}\nclass: 5P20\nburden: 15 VA\nratio: 300/5 A\n"
        ))
    };
    for (key, marks, ends, others) in [
        ("primary marks: K L\n", "1k 1l", ("K", "L"), ["P1", "H1"]),
        ("", "1k 1l", ("K", "L"), ["P1", "H1"]),
        (
            "primary marks: H1 H2\n",
            "X1 X2",
            ("H1", "H2"),
            ["P1", "K open"],
        ),
        (
            "standard: IEEE C57.13-2016\n",
            "X1 X2",
            ("H1", "H2"),
            ["P1", "K open"],
        ),
        ("", "S1 S2", ("P1", "P2"), ["H1", "K open"]),
    ] {
        let made = sheet(&marked(key, marks));
        let (first, second) = ends;
        let open = format!("{first} open");
        let kick = format!("battery + on {first}, - on {second}");
        assert!(
            made.markdown.contains(&open) && made.markdown.contains(&kick),
            "{key}{marks}"
        );
        assert!(made.html.contains(&format!(">{first}</text>")));
        for other in others {
            assert!(!made.markdown.contains(other), "{key}{marks}: {other}");
        }
    }
}

/// A sheet cites as the plate's standard has it, by the clause alone.
#[test]
fn sources_are_those_of_the_plate_without_provenance() {
    let old = sheet_for(&of_text(FULL), "factory").markdown;
    assert!(old.contains("IEC 60044-1:1996"), "{old}");
    assert!(!old.contains("IEC 61869-2"), "{old}");
    for unit in demo() {
        let text = sheet_for(&unit, "factory").markdown;
        for told in ["from memory", "seen in", "reprint"] {
            assert!(!text.contains(told), "{}: {told}", unit.source.name);
        }
    }
    // Of a standard of which nothing is known no limit is printed.
    let unknown = of_text(
        "format: 1\n[ct]\nid: A\nstandard: IEC 185:1987\n[core S]\nclass: 0.5\nburden: 10 VA\nratio: 300/5 A\n",
    );
    assert!(!sheet_for(&unknown, "factory").markdown.contains("±0.5 %"));
}

/// Drawing and table on one piece of paper: both stand in one card that print keeps whole.
#[test]
fn a_drawing_and_its_table_stand_in_one_card() {
    let html = sheet(&unit("h07-l1.ctr")).html;
    let css = html.split("</style>").next().unwrap();
    assert!(css.contains(".card { margin: 4pt 0 7pt; break-inside: avoid; }"));
    for part in html.split("class=\"card\"").skip(1) {
        let card = part.split("class=\"card\"").next().unwrap();
        if card.contains("<svg ") {
            assert!(card.contains("class=\"pen\""), "{card}");
        }
    }
    assert!(html.matches("<svg ").count() >= 9);
}

/// The two demagnetisations of a day are told apart, in every place that has room for one.
#[test]
fn demagnetisation_before_and_as_left_have_names_of_their_own() {
    for purpose in ["factory", "commissioning", "maintenance"] {
        let text = sheet_for(&unit("h07-l1.ctr"), purpose).markdown;
        let captions = text
            .lines()
            .filter(|line| line.starts_with("**Demagnetisation, "));
        let captions: Vec<&str> = captions
            .filter(|line| line.contains(": write down; "))
            .collect();
        let is_left = |line: &str| line.starts_with("**Demagnetisation, as left: write down; ");
        let (last, before) = captions.split_last().unwrap();
        assert!(is_left(last), "{purpose}");
        assert!(
            before.len() > 1 && !before.iter().any(|line| is_left(line)),
            "{purpose}: {captions:?}"
        );
    }
}

/// A set has one row for each pair, its units beside each other, so that drawing and tables fit on one page.
#[test]
fn a_tapped_core_of_a_set_has_its_phases_beside_each_other() {
    let bay = ["h07-l1.ctr", "h07-l2.ctr", "h07-l3.ctr"].map(unit);
    let text = sheets(&bay, "commissioning").markdown;
    let head = "| on | plate, at 20 °C | L1: current/A | L1: voltage/V | L2: current/A | L2: voltage/V | L3: current/A | L3: voltage/V |";
    let at = text.find(head).unwrap_or_else(|| panic!("{text}"));
    let rows = text[at..]
        .lines()
        .skip(2)
        .take_while(|line| line.starts_with('|'));
    let pairs: Vec<&str> = rows
        .map(|row| row.split('|').nth(1).unwrap().trim())
        .collect();
    assert_eq!(pairs, ["3S1-3S3", "3S1-3S2", "3S2-3S3"]);
}

/// The ratio is read at the primary as it is stamped, on the sheet and in the visit that is typed from it.
#[test]
fn the_ratio_blank_has_the_marks_of_the_primary() {
    for (key, marks, ends) in [
        ("primary marks: K L\n", "S1 S2 S3", "K-L"),
        ("", "k x l", "K-L"),
        ("standard: IEEE C57.13-2016\n", "X1 X2 X3", "H1-H2"),
    ] {
        let (first, rest) = marks.split_once(' ').unwrap();
        let last = rest.rsplit(' ').next().unwrap();
        let middle = rest.split(' ').next().unwrap();
        let plate = format!(
            "format: 1\n[ct]\nid: A\nprimary turns: 1\n{key}[core S]\nmarks: {marks}\nclass: 5P20\nburden: 15 VA\n\
             tap  ratio/A\n{first}-{middle}  300/1\n{first}-{last}  600/1\n"
        );
        let unit = of_text(&plate);
        let text = sheet(&unit).markdown;
        assert!(
            text.contains(&format!("| {ends} | ")) && !text.contains("P1"),
            "{text}"
        );
        let day = date::read("2026-12-01").unwrap();
        let visit = new_visit(&subject(&unit), "commissioning", day, None);
        assert!(
            visit.contains(&format!("\n{ends} ")) && !visit.contains("P1"),
            "{visit}"
        );
        let whole = of_text(&format!("{plate}{visit}"));
        let errors: Vec<&str> = whole.errors().map(|told| told.title.as_str()).collect();
        assert_eq!(errors, [""; 0]);
    }
}

/// In the test that opens a secondary under current, earths are those of its own circuit, and it is drawn.
#[test]
fn the_inter_turn_test_is_drawn_and_earthed_at_its_own_source() {
    let made = sheet_for(&unit("h07-l1.ctr"), "factory");
    let part = made
        .markdown
        .split("## Inter-turn overvoltage")
        .nth(1)
        .unwrap();
    let part = part.split("\n## ").next().unwrap();
    assert!(
        part.contains("P2, the source's minus; the core under test at one point only, 1S2"),
        "{part}"
    );
    assert!(!part.contains("the minus lead of the source"));
    let html = made
        .html
        .split("Inter-turn overvoltage</h2>")
        .nth(1)
        .unwrap();
    let card = html.split("<h2").next().unwrap();
    assert!(
        card.contains("<svg ") && card.contains(">peak<") && card.contains(">up to 600 A<"),
        "{card}"
    );
    for high in ["Withstand voltage, primary", "Partial discharge, primary"] {
        let row = made.markdown.split(&format!("**{high}**")).nth(1).unwrap();
        let row = row.split("\n\n**").next().unwrap();
        assert!(
            row.contains("no earth on the primary while the source is on"),
            "{row}"
        );
    }
}

/// A resistance that the class does not bind is no limit: not on the plate, and not where it is measured.
#[test]
fn only_a_resistance_that_is_a_limit_has_a_most() {
    let text = "format: 1\n[ct]\nid: A\nfrequency: 50 Hz\n[core 1S]\nclass: 5P20\nburden: 15 VA\nratio: 600/1 A\nresistance: 3.40 ohm at 75 C\n\
        [core 2S]\nclass: 0.5\nburden: 10 VA\nratio: 600/1 A\nresistance: 2.90 ohm at 75 C\n";
    let text = sheet(&of_text(text)).markdown;
    for row in [
        "| 15 VA |  |  | 3.40 ohm at 75 C |",
        "| 10 VA |  |  | 2.90 ohm at 75 C |",
    ] {
        assert!(text.contains(row), "{row}\n{text}");
    }
    assert!(
        !text.contains("resistance, at most") && !text.contains("at most 2."),
        "{text}"
    );
}

/// The direct current is told in the unit of the column that it is written into.
#[test]
fn a_direct_current_has_the_unit_of_its_column() {
    let made = sheet(&unit("h12-line-l1.ctr"));
    assert!(
        made.markdown.contains("| 0.100 A: a tenth of rated")
            && made.markdown.contains("| current/A | voltage/V |")
    );
    assert!(made.html.contains("direct current, 0.100 A."));
    assert!(!made.markdown.contains("100 mA: a tenth"));
}

/// Where the plate says how many primary turns there are they stand on the sheet; else it asks for them.
#[test]
fn the_primary_turns_are_asked_for_where_nothing_tells_them() {
    let told = sheet(&of_text(FULL)).markdown;
    assert!(told.contains("P1, P2; turns 1") && !told.contains("| primary turns |"));
    let bare = sheet(&of_text(&FULL.replace("primary turns: 1\n", ""))).markdown;
    assert!(bare.contains("| primary turns |  |"), "{bare}");
}

/// The cores that are demagnetised as left are those of the visit that is typed, in the same order.
#[test]
fn as_left_the_sheet_and_the_visit_demagnetise_the_same() {
    let day = date::read("2026-12-01").unwrap();
    let first = |line: &str| {
        line.split([' ', '|'])
            .find(|word| !word.is_empty())
            .map(str::to_owned)
    };
    let mut undriven = 0;
    for unit in demo() {
        for purpose in ["factory", "receiving", "commissioning", "maintenance"] {
            let sheet = sheet_for(&unit, purpose).markdown;
            let part = sheet
                .split("**Demagnetisation, as left")
                .nth(1)
                .unwrap_or("");
            let rows = part
                .lines()
                .skip_while(|line| !line.starts_with('|'))
                .skip(2);
            let rows = rows.take_while(|line| line.starts_with('|'));
            let on_sheet: Vec<String> = rows.filter_map(first).collect();
            let visit = new_visit(&subject(&unit), purpose, day, None);
            let part = visit.split("# as left: nothing").nth(1).unwrap_or("");
            let rows = part.lines().skip(2).take_while(|line| !line.is_empty());
            let in_visit: Vec<String> = rows.filter_map(first).collect();
            assert_eq!(on_sheet, in_visit, "{} {purpose}", unit.source.name);
            let is_driven = |pair: &&String| visit.contains(&format!("[excitation {pair}]"));
            undriven += on_sheet.iter().filter(|pair| !is_driven(pair)).count();
        }
    }
    assert!(undriven > 0);
}

/// A sheet of circuits that carry current says what can hurt there, and that those before it are for a dead primary.
#[test]
fn work_on_circuits_in_service_has_its_own_cautions() {
    let unit = unit("h07-l1.ctr");
    for (purpose, has, lacks) in [
        (
            "before energising",
            [
                "Block every trip that the circuit or its summation can give",
                "a test plug shorts before it opens",
                "Two persons",
                "typed as \\[injection\\]",
            ],
            "The primary is live",
        ),
        (
            "after energising",
            [
                "The primary is live. Nobody touches it",
                "Never open a live secondary",
                "this sheet is no clearance",
                "typed as \\[load\\]",
            ],
            "typed as \\[injection\\]",
        ),
    ] {
        let text = sheet_for(&unit, purpose).markdown;
        for words in has {
            assert!(text.contains(words), "{purpose}: {words}\n{text}");
        }
        assert!(!text.contains(lacks), "{purpose}: {lacks}");
    }
    assert!(!sheet(&unit).markdown.contains("The primary is live"));
}

/// A day under a permit has room for its end and its hand-back, a reading on load for its time; at the maker's there is no permit.
#[test]
fn a_day_has_the_blanks_that_it_needs() {
    let until = "| permit until (day, time) |";
    let back =
        "| permit handed back, before the primary is energised; day, time: ________________ |";
    let before = "| permit on the dead primary handed back (day, time) |";
    let (taken, serves) = (
        "taken: ________________",
        "item | state | may serve | remark",
    );
    let all = [until, back, before, taken, serves];
    let day = date::read("2026-12-01").unwrap();
    let unit = unit("h13-l1.ctr");
    for (purpose, has) in [
        ("factory", vec![serves]),
        ("commissioning", vec![until, back, serves]),
        ("before energising", vec![until, back]),
        ("after energising", vec![before, taken]),
    ] {
        let sheet = sheet_for(&unit, purpose).markdown.replace('\\', "");
        let found: Vec<&str> = all
            .into_iter()
            .filter(|words| sheet.contains(words))
            .collect();
        assert_eq!(found, has, "{purpose}\n{sheet}");
        let is_under_permit = sheet.contains("below it purpose:, tested by:, permit:");
        assert_eq!(is_under_permit, purpose != "factory", "{sheet}");
        let visit = new_visit(&subject(&unit), purpose, day, None);
        assert_eq!(visit.contains("# permit:"), purpose != "factory", "{visit}");
        let times = |text: &str, end: &str, words: &str| {
            ["[load]", "[stability]"].map(|name| {
                let own = text.split(name).nth(1)?.split(end).next()?;
                Some(own.contains(words))
            })
        };
        let due = (purpose == "after energising").then_some(true);
        assert_eq!(times(&sheet, "\n", taken), [due, due], "{sheet}");
        assert_eq!(times(&visit, "\n[", "# taken:"), [due, due], "{visit}");
    }
    let bay = ["h07-l1.ctr", "h07-l2.ctr", "h07-l3.ctr"].map(super::unit);
    let set = sheets(&bay, "commissioning").markdown.replace('\\', "");
    assert!(
        set.contains(back.trim_end_matches(" |")) && set.contains("beside it may serve: yes or no"),
        "{set}"
    );
}

/// Sections, dissipation factor and primary resistance are on the sheet of a unit whose plate asks for them, and of no
/// other one.
#[test]
fn a_wound_primary_with_links_has_its_own_tests() {
    let links =
        "primary links: series 300/1, parallel 600/1\nprimary resistance: 0.020 ohm at 75 C";
    let wound = FULL
        .replace("IEC 60044-1", "IEC 61869-2:2012")
        .replace("primary turns: 1", &format!("primary turns: 2\n{links}"));
    let own = [
        "| P1-C1 to C2-P2 |",
        "links back as the plate has them",
        "typed as \\[dissipation-factor\\]",
        "| stop at | 10 kV, then 83.7 kV |",
        "typed as \\[primary-resistance\\]",
        "| series |",
        "| parallel |",
        "at most 0.020 ohm at 75 C",
    ];
    // The dissipation factor is a special test: it is due where the client asks for it.
    let asks = "[due]\nfactory = [\"withstand-sections\", \"dissipation-factor\", \"primary-resistance\"]\n";
    let asked = of_text_at(&wound, asks);
    let text = sheet_for(&asked, "factory").markdown;
    for words in own {
        assert!(text.contains(words), "{words}\n{text}");
    }
    let day = date::read("2026-12-01").unwrap();
    let visit = new_visit(&subject(&asked), "factory", day, None);
    let whole = of_text(&format!("{wound}{visit}"));
    let errors: Vec<&str> = whole.errors().map(|told| told.title.as_str()).collect();
    assert!(errors.is_empty(), "{errors:?}\n{visit}");
    // A client asks for it of the units of any standard.
    let ieee = wound.replace("IEC 61869-2:2012", "IEEE C57.13-2016");
    let factor = "typed as \\[dissipation-factor\\]";
    let has = |asks: &str| {
        sheet_for(&of_text_at(&ieee, asks), "factory")
            .markdown
            .contains(factor)
    };
    assert!(has(asks) && !has(""));
    let plain = sheet_for(&unit("k04-l1.ctr"), "factory").markdown;
    for words in own {
        assert!(!plain.contains(words), "{words}");
    }
}

/// What feeds the primary of an interposing CT may be live: its sheet names it before anything else is done, and no
/// other sheet speaks of it.
#[test]
fn an_interposing_ct_is_parted_from_a_main_ct_that_is_dead_or_shorted() {
    let sheet = sheet_for(&unit("h13-interposing-l1.ctr"), "commissioning").markdown;
    let (front, work) = sheet.split_once("## Order of work").unwrap();
    for told in [
        "2S of BRW-26-41501",
        "the main CT BRW-26-41501 is dead",
        "shorted on its own side",
        "the short proven by measurement",
        "comes off before P2 is earthed: one earth at a time",
        "the right way round",
        "Local rules and licensed practice decide",
    ] {
        assert!(front.contains(told), "{told}\n{front}");
    }
    assert!(!work.contains("An interposing CT"));
    let main = sheet_for(&unit("h13-l1.ctr"), "commissioning").markdown;
    assert!(!main.contains("An interposing CT"));
}

/// Relays behind an interposing CT see the ratio from the main CT's primary: 600/5 times 5/1 is 600/1 (own arithmetic).
#[test]
fn behind_a_main_ct_the_overall_ratio_is_expected() {
    for (file, purpose, ratio) in [
        (
            "h13-interposing-l1.ctr",
            "before energising",
            "600/1 overall",
        ),
        (
            "h13-interposing-l1.ctr",
            "after energising",
            "primary current by 600/1 overall",
        ),
        (
            "h13-l1.ctr",
            "before energising",
            "600/1, by the tap on record",
        ),
    ] {
        let text = sheet_for(&unit(file), purpose).markdown;
        assert!(text.contains(ratio), "{file}, {purpose}: {ratio}\n{text}");
    }
}
