//! What stands in a pack: order, matrix, defects, a broken record among good ones.

use super::{ONE_BAY, bay, built, demo_text, job, sick, text, unit};
use crate::demo;
use kneemark::document::Grade;
use kneemark::ground::seam::Memory;
use kneemark::job::{Compiled, Outcome};
use kneemark::pack::matrix::{Block, Cell, Matrix};
use kneemark::record::kinds::TestKind;

/// The words of a matrix, one line a core.
fn words(matrix: &Matrix) -> String {
    let word = |cell: &Cell| match cell.word.is_empty() {
        true => "-".to_owned(),
        false => cell.word.to_string(),
    };
    let mut out = format!(
        "{}\n",
        matrix
            .columns
            .iter()
            .map(|kind| kind.name())
            .collect::<Vec<_>>()
            .join(" | ")
    );
    for block in &matrix.blocks {
        let entry = &block.spot;
        out.push_str(&format!(
            "{}, {}: {}, CT {}, circuit {}\n",
            entry.group,
            entry.position,
            entry.name,
            word(&block.ct),
            word(&block.circuit)
        ));
        for (kind, cell) in &block.unit {
            out.push_str(&format!("    unit: {} {}\n", kind.name(), word(cell)));
        }
        for row in &block.rows {
            let none = Cell::default();
            let tests = matrix.columns.iter();
            let tests = tests.map(|kind| row.cell(*kind).unwrap_or(&none));
            let cells: Vec<String> = tests.chain([&row.circuit]).map(word).collect();
            out.push_str(&format!(
                "    {} ({}) {}: {}\n",
                row.core,
                row.plate,
                row.tap,
                cells.join(" | ")
            ));
        }
    }
    out
}

#[test]
fn matrix_of_the_demo() {
    let built = built(&job());
    insta::assert_snapshot!(words(&built.matrix));
}

/// The list holds exactly the CTs with a finding out of limits or worth a look, counted here anew.
#[test]
fn defects_list_names_every_ct_with_a_bad_finding() {
    let built = built(&job());
    let mut listed = sick(&built);
    listed.sort_unstable();
    let job = kneemark::compile(&job(), &["job".into()]);
    // What was found and made again on the day is cured.
    let is_sick = |one: &&Compiled| {
        let visits = one.assessment.visits.iter().zip(&one.record.visits);
        let mut left = visits.filter(|(_, visit)| !visit.as_found());
        left.any(|(of, _)| of.findings.iter().any(|one| one.grade() >= Grade::Review))
    };
    let expected = job.records.iter().filter(is_sick);
    let mut expected: Vec<String> = expected
        .map(|one| one.record.plate.id_text().to_owned())
        .collect();
    expected.sort_unstable();
    assert!(expected.len() >= 4, "the demo has sick CTs: {expected:?}");
    assert_eq!(listed, expected);
    let index = text(&built, "index.md");
    let list = &index[index.find("## Defects list").expect("a list")
        ..index.find("## Not tested").expect("an end")];
    for name in expected {
        assert!(list.contains(&name), "{name} is missing in\n{list}");
    }
}

/// The cover names every CT that it counts as failing or open, says of what fails only what fails, and
/// counts no circuit of which nothing is asked.
#[test]
fn the_cover_names_what_it_counts() {
    let built = built(&job());
    let index = text(&built, "index.md");
    let between = |from: &str, to: &str| {
        let rest = &index[index.find(from).expect("a heading")..];
        rest[..rest.find(to).expect("an end")].to_owned()
    };
    let fails = between("### What fails", "### What is open");
    let open = between("### What is open", "**Caution.**");
    let blocks = &built.matrix.blocks;
    for (part, grade, word) in [
        (&fails, Grade::Fails, "fails"),
        (&open, Grade::Open, "open"),
    ] {
        // What a CT lacks was not tested; a circuit that is incomplete is open.
        let lacks = |one: &Block| word == "open" && one.circuit.word == "incomplete";
        for one in blocks {
            let verdicts = [&one.ct, &one.circuit];
            let is = |cell: &Cell| cell.word == word;
            let measured = !one.measurement.word.is_empty() && one.measurement.grade == Some(grade);
            let expected = verdicts.into_iter().any(is) || measured || lacks(one);
            assert_eq!(
                part.contains(&one.spot.name),
                expected,
                "{}: {part}",
                one.spot.name
            );
        }
    }
    assert!(!fails.contains("against the duty's"), "{fails}");
    let result = between("## Result in short", "###");
    let measured = |grade| {
        blocks
            .iter()
            .filter(move |one| one.measurement.grade == Some(grade))
    };
    let (fail, review) = (measured(Grade::Fails), measured(Grade::Review));
    let fail = match fail.count() {
        1 => "1 fails".to_owned(),
        more => format!("{more} fail"),
    };
    let said = format!("**■ {fail}**, **▲ {} for review**", review.count());
    assert!(
        result.contains(&format!("Measurements: {said}")),
        "{result}"
    );
    let incomplete = blocks.iter().filter(|one| one.circuit.word == "incomplete");
    let said = format!("**○ {} incomplete**", incomplete.count());
    let circuits = result.lines().find(|line| line.contains("Circuits:"));
    assert!(
        circuits.is_some_and(|line| line.contains(&said)),
        "{result}"
    );
    assert!(blocks.iter().any(|one| one.circuit.word == "nothing asked"));
}

/// What fails a transformer, and puts nothing in doubt, is no cause of an open circuit.
#[test]
fn the_cover_gives_an_open_circuit_its_own_causes() {
    let files = bay("h07", ONE_BAY);
    let name = "skerrow/h07/h07-l1.ctr";
    let sick = demo_text(name)
        .replace(
            "resistance: 3.60 ohm at 75 C",
            "resistance: 2.90 ohm at 75 C",
        )
        .replace(
            "3S1-3S3  phase-neutral  1.001      4.211",
            "3S1-3S3  phase-neutral  1.001      1.211",
        );
    files.put(format!("job/{name}"), sick);
    // The sisters' plates say the same, so that no slip of one plate explains it.
    for phase in ["l2", "l3"] {
        let name = format!("skerrow/h07/h07-{phase}.ctr");
        let plate = demo_text(&name).replace("3.60 ohm at 75 C", "2.90 ohm at 75 C");
        files.put(format!("job/{name}"), plate);
    }
    let index = text(&built(&files), "index.md");
    let of = |heading: &str| {
        let rest = &index[index.find(heading).expect("a heading")..];
        let line = rest.lines().find(|line| line.starts_with("- ["));
        line.expect("a CT").to_owned()
    };
    let (fails, open) = (of("### What fails"), of("### What is open"));
    assert!(
        fails.contains("transformer fails") && fails.contains("2S winding resistance"),
        "{fails}"
    );
    assert!(
        open.contains("circuit open") && open.contains("3S circuit shorted on the way"),
        "{open}"
    );
    assert!(!open.contains("2S winding resistance"), "{open}");
}

/// What several windings are to have done is said once, and several steps are told apart.
#[test]
fn next_steps_are_told_once() {
    let built = built(&job());
    let index = text(&built, "index.md");
    let row = |number: &str| {
        index
            .lines()
            .find(|line| line.starts_with(number))
            .expect("a row")
    };
    let wet = row("| H10 L1 insulation-moisture ");
    assert_eq!(
        wet.matches("clean and dry terminal box").count(),
        1,
        "{wet}"
    );
    let tap = row("| H09 L3 3S taps-exchanged ");
    for number in ["(1) ", "(2) ", "(3) "] {
        assert_eq!(tap.matches(number).count(), 1, "{tap}");
    }
}

/// What the demo says is sound must not be called sick by the pack.
#[test]
fn sound_cts_are_not_in_the_list() {
    let built = built(&job());
    let listed = sick(&built);
    for planted in demo::planted()
        .iter()
        .filter(|planted| planted.fault == "none")
    {
        assert!(
            !listed.iter().any(|name| name.as_str() == planted.ct),
            "{} is sound",
            planted.ct
        );
    }
}

/// What the program calls its values inside is nobody's business: no page shows a word of it.
#[test]
fn no_page_shows_the_inside_of_the_program() {
    let built = built(&job());
    for (name, bytes) in &built.files {
        let text = String::from_utf8_lossy(bytes);
        // The rules of a style sheet have double colons of their own.
        let shown = text.split("</style>").last().unwrap_or_default();
        for inside in [
            "Pair {", "Some(", "None", "::", "Err(", "Ok(", "{}", "NaN", "\\u{",
        ] {
            let at = shown.find(inside);
            let around = at.map(|at| shown[..at].chars().rev().take(60).collect::<String>());
            assert!(at.is_none(), "{name}: {inside}: {around:?} (backwards)");
        }
    }
}

/// A body that is not named is told once.
#[test]
fn nobody_is_told_twice_to_be_missing() {
    let built = built(&bay("h07", ONE_BAY));
    let index = text(&built, "index.md");
    assert!(index.contains("| Testing body | *not stated* |"), "{index}");
    assert!(!index.contains("*not stated*, *not stated*"));
}

/// A visit that the pack cannot count is named on its cover.
#[test]
fn an_undated_visit_stands_on_the_cover() {
    let files = bay("h07", ONE_BAY);
    let text_of = demo_text("skerrow/h07/h07-l2.ctr");
    let day = text_of.lines().rfind(|line| line.starts_with("[visit "));
    let torn = text_of.replacen(day.expect("a visit"), "[visit 16.9.2026]", 1);
    files.put("job/skerrow/h07/h07-l2.ctr", torn);
    let index = text(&built(&files), "index.md");
    assert!(
        index.contains("this visit is not shown, its date could not be read"),
        "{index}"
    );
}

/// The cover says once for all where the limits come from, and what the pack was made of.
#[test]
fn the_cover_has_the_annexes() {
    let built = built(&job());
    for name in ["index.md", "index.html", "pack.html"] {
        let page = text(&built, name);
        for title in ["Where the limits come from", "What this report was made of"] {
            assert!(page.contains(title), "{name}: {title}");
        }
        for card in &built.cards {
            assert!(page.contains(&card.sha256), "{name}");
        }
    }
    let whole = text(&built, "pack.html");
    assert_eq!(whole.matches(">Where the limits come from</h").count(), 1);
}

#[test]
fn phases_stand_in_natural_order() {
    let files = bay("h07", ONE_BAY);
    for (file, id, phase) in [
        ("x", "BRW-25-41301-X", "L10"),
        ("y", "BRW-25-41301-Y", "L4"),
    ] {
        let text =
            demo_text("skerrow/h07/h07-l1.ctr").replace("id: BRW-25-41301", &format!("id: {id}"));
        files.put(
            format!("job/skerrow/h07/{file}.ctr"),
            text.replace("phase: L1", &format!("phase: {phase}")),
        );
    }
    let built = built(&files);
    let order: Vec<&str> = built
        .cards
        .iter()
        .map(|card| card.spot.position.as_str())
        .collect();
    assert_eq!(order, ["L1", "L2", "L3", "L4", "L10"]);
}

#[test]
fn two_cts_of_one_name_get_two_pages() {
    let files = bay("h07", ONE_BAY);
    files.put(
        "job/skerrow/h07/copy.ctr",
        demo_text("skerrow/h07/h07-l1.ctr"),
    );
    let built = built(&files);
    assert!(
        built.files.contains_key("ct/brw-25-41301.html")
            && built.files.contains_key("ct/brw-25-41301-2.html")
    );
    assert_eq!(
        built.outcome(),
        Outcome::Broken,
        "one id stands for one unit"
    );
}

/// The others are built as if the broken one were sound; it says itself that it is not readable.
#[test]
fn a_broken_record_among_good_ones() {
    let sound = built(&bay("h07", ONE_BAY));
    assert_eq!(sound.outcome(), Outcome::Clean);
    let files = bay("h07", ONE_BAY);
    let text_of = demo_text("skerrow/h07/h07-l2.ctr").replacen("[resistance]", "[resistence]", 1);
    files.put("job/skerrow/h07/h07-l2.ctr", text_of);
    let broken = built(&files);
    assert_eq!(broken.outcome(), Outcome::Broken);
    let index = text(&broken, "index.html");
    assert!(
        index.contains("Records that cannot be read whole")
            && index.contains("there is no section [resistence]")
    );
    assert!(!text(&sound, "index.html").contains("Records that cannot be read whole"));
    let blocks = &broken.matrix.blocks;
    let complete: Vec<bool> = blocks.iter().map(|block| block.complete).collect();
    assert_eq!(complete, [true, false, true]);
    assert_ne!(
        blocks[1].ct.word, "pass",
        "a record that cannot be read does not pass"
    );
    assert_eq!(broken.files.len(), sound.files.len());
}

/// A finding of the job that a retest has measured again is replaced by it.
#[test]
fn a_retest_replaces_what_it_measured_again() {
    let files = bay("k04", ONE_BAY);
    let failing = demo_text("skerrow/k04/k04-l2.ctr");
    let sound = demo_text("skerrow/k04/k04-l3.ctr");
    // Both runs: what failed at one burden is answered at that burden only.
    let from = sound.find("[ratio").expect("a ratio test");
    let test = &sound[from..sound.find("[burden").expect("a next section")];
    // Two tables never agree to the last digit.
    let finer = |word: &str| match word.contains('.') && word.parse::<f64>().is_ok() {
        true => format!("{word}1"),
        false => word.to_owned(),
    };
    let row = |line: &str| match line.starts_with([' ', '1']) {
        true => line
            .split_whitespace()
            .map(finer)
            .collect::<Vec<_>>()
            .join(" "),
        false => line.to_owned(),
    };
    let test: String = test.lines().map(|line| row(line) + "\n").collect();
    let instrument = sound
        .lines()
        .find(|line| line.starts_with("instrument:"))
        .expect("an instrument");
    let reference = sound
        .lines()
        .find(|line| line.starts_with("reference:"))
        .unwrap_or("");
    files.put(
        "job/skerrow/k04/k04-l2.ctr",
        format!("{failing}\n\n[visit 2026-11-10]\npurpose: retest\n{instrument}\n{reference}\nambient: 20 C\n\n{test}\n"),
    );
    let built = built(&files);
    let is = |block: &&Block| block.spot.name == "BRW-24-01215";
    let block = built.matrix.blocks.iter().find(is).expect("a CT");
    assert_eq!(block.visits.len(), 2, "the retest and what it retests");
    let one = unit(&files, "BRW-24-01215");
    assert!(one.is_complete(), "{:?}", one.diagnostics);
    assert!(
        one.findings().any(|one| one.grade() == Grade::Fails),
        "the first visit stays as it was"
    );
    assert!(sick(&built).is_empty());
}

/// A cell says a value together with the limit that it was held against; what no limit is known of is
/// measured and no more; what is not due and was not tested is quiet.
#[test]
fn a_cell_tells_its_value_with_its_limit() {
    let built = built(&bay("h07", ONE_BAY));
    let matrix = &built.matrix;
    let mut met = 0;
    for block in &matrix.blocks {
        let of_rows = block
            .rows
            .iter()
            .flat_map(|row| row.cells.iter().map(|(_, cell)| cell).chain([&row.circuit]));
        for cell in of_rows.chain(block.unit.iter().map(|(_, cell)| cell)) {
            // The count of what a circuit was asked is no value.
            let counted = cell.text.split_once("; ");
            let value = match counted.filter(|(count, _)| count.contains(" of ")) {
                Some((_, value)) => value,
                None => &cell.text,
            };
            let digits = value.contains(|c: char| c.is_ascii_digit());
            let limit = ["at most", "at least", "within", " to "];
            let limited = limit.iter().any(|words| cell.text.contains(words));
            assert_ne!(cell.word, "pass", "{}", cell.text);
            if cell.word == "met" && digits {
                assert!(limited, "{}: {}", block.spot.name, cell.text);
                met += 1;
            }
            assert_eq!(cell.grade.is_none(), cell.word.is_empty());
        }
    }
    assert!(met > 20, "{met}");
    let cell = |ct: &str, core: &str, kind: &str| {
        let is = |block: &&Block| block.spot.name == ct;
        let block = matrix.blocks.iter().find(is).unwrap();
        let row = block.rows.iter().find(|row| row.core == core).unwrap();
        row.cell(TestKind::of(kind).unwrap()).unwrap().clone()
    };
    // The knee of a 5P core has no limit: its composite error has.
    let protection = cell("BRW-25-41301", "1S", "excitation");
    assert_eq!(protection.word, "met");
    assert!(
        protection.text.ends_with("at most 5\u{a0}%"),
        "{}",
        protection.text
    );
    let knee = cell("BRW-25-41301", "2S", "excitation");
    assert!(knee.text.contains("at least 300\u{a0}V"), "{}", knee.text);
    // Remanence is not asked for, and nobody measured it.
    let mut columns = matrix.columns.iter();
    assert!(columns.all(|kind| kind.name() != "remanence"));
}

/// Where no CT of a bay is held against a limit, each value says why all the same.
#[test]
fn a_bay_tells_the_reason_beside_each_value() {
    let files = bay("h09", &ONE_BAY.replace("**/*.ctr", "h09/h09-l[12].ctr"));
    let page = text(&built(&files), "bay/skerrow-132-kv-h09.md");
    let ratio = |line: &&str| line.starts_with("| ratio |") && line.contains("turns only");
    let told = page.lines().find(ratio);
    let told = told.unwrap_or_else(|| panic!("{page}"));
    let reasons = told.matches("turns only, not the class").count();
    assert_eq!(reasons, 2, "{told}");
}

/// An overvoltage between turns and a discharge stand with the voltage that each CT was tested at.
#[test]
fn a_bay_tells_the_voltage_at_each_value() {
    let files = bay("h13", ONE_BAY);
    let name = "skerrow/h13/h13-l2.ctr";
    let own = demo_text(name);
    let (plate, visits) = own.split_once("\n[visit ").expect("a visit");
    let factory = "\n[visit 2026-06-11]\npurpose: factory\n\n[inter-turn]\non  rated/%  peak/kV  time/s  result\n\
                   1S1-1S2  100  3.1  60  held\n\n[partial-discharge]\nprestress: 220 kV\nvoltage/kV  charge/pC\n145  7\n100.5  2\n";
    files.put(
        format!("job/{name}"),
        format!("{plate}{factory}\n[visit {visits}"),
    );
    let page = text(&built(&files), "bay/skerrow-132-kv-h13.md");
    let row = |begins: &str| {
        let found = page.lines().find(|line| line.starts_with(begins));
        let found = found.unwrap_or_else(|| panic!("{page}"));
        let found = found.replace('\u{a0}', " ");
        found.split(" | ").map(str::to_owned).collect::<Vec<_>>()
    };
    let turns = row("| inter-turn overvoltage |");
    for peak in [2700, 3100] {
        let said = format!("held at 100 % of rated current at {peak} V peak for 60 s");
        assert!(turns.contains(&said), "{turns:?}");
    }
    let discharge = row("| partial discharge of the primary |");
    let has = |said: &str| discharge.iter().any(|cell| cell.starts_with(said));
    assert!(
        has("6.0 ± 2.0 pC at 145 kV") && has("7 pC at 145 kV"),
        "{discharge:?}"
    );
}

/// What a bound has to do with its U stands where U is explained.
#[test]
fn pages_tell_that_a_bound_allows_for_its_u() {
    let files = bay("h09", ONE_BAY);
    let built = built(&files);
    for page in ["bay/skerrow-132-kv-h09.md", "index.md"] {
        let page = text(&built, page);
        assert!(page.contains("already allows for its U"), "{page}");
    }
}

/// A pass that keeps less distance to its limit than the decision rule asks for is marked as such.
#[test]
fn a_conditional_pass_is_marked() {
    let files = bay("h07", ONE_BAY);
    let text = demo_text("skerrow/h07/h07-l1.ctr");
    let line = text
        .lines()
        .find(|line| line.starts_with("exciting current:"));
    let line = line.expect("a limit of the exciting current");
    let before = unit(&files, "BRW-25-41301");
    let claims = before.claims();
    let exciting = claims
        .shown
        .iter()
        .find(|one| one.required.requirement.id == "exciting-current");
    let exciting = exciting.expect("an exciting current");
    let value = exciting.evidence[0].value().expect("a value").si;
    let limit = format!(
        "exciting current: {:.6} mA at 300 V",
        value * 1e3 * 1.000_01
    );
    files.put("job/skerrow/h07/h07-l1.ctr", text.replace(line, &limit));
    let built = built(&files);
    let matrix = &built.matrix;
    let row = matrix.blocks[0]
        .rows
        .iter()
        .find(|row| row.core == "2S")
        .unwrap();
    let cell = row.cell(TestKind::Excitation).unwrap();
    assert_eq!(cell.word, "met conditionally", "{cell:?}");
    assert!(cell.text.starts_with("exciting current: "), "{cell:?}");
}

/// Of what no visit asks, the words of the report of one CT stand wherever a verdict would.
#[test]
fn of_what_nothing_is_asked_it_is_said() {
    let record = |id: &str, phase: &str, purpose: &str| {
        format!(
            "format: 1\n\n[ct]\nid: {id}\nstandard: IEC 61869-2:2012\n\n[place since 2026-01-01]\nsite: Skerrow\nbay: H20\nphase: {phase}\n\n\
             [core S]\nclass: 5P20\nburden: 10 VA\nratio: 600/1 A\n\n[visit 2026-03-14]\npurpose: {purpose}\n\n\
             [test-links]\nstage: as left\ncore | item | position\nS | X1 | through\n"
        )
    };
    let front = |purpose: &str| {
        let files = Memory::default();
        files.put("job/a.ctr", record("M-1", "L1", purpose));
        files.put("job/b.ctr", record("M-2", "L2", purpose));
        files.put("job/pack.toml", "records = [\"*.ctr\"]\n");
        let built = built(&files);
        (text(&built, "index.md"), text(&built, "bay/skerrow-h20.md"))
    };
    let (circuits, bay) = front("before energising");
    assert!(circuits.contains("- CTs: nothing asked\n"), "{circuits}");
    assert!(
        circuits.contains("before energising; CT: – nothing asked; circuit: **"),
        "{circuits}"
    );
    assert!(
        bay.contains("| Transformer | nothing asked | nothing asked |\n"),
        "{bay}"
    );
    let (tests, _) = front("commissioning");
    assert!(!tests.contains("CTs: nothing asked"), "{tests}");
}
