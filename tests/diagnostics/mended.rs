//! Slips of somebody who types his first record: each gives one message that names its cause, and the
//! change that it offers, once made, leaves the record as sound as it was.

use kneemark::compile;
use kneemark::document::Grade;
use kneemark::ground::diagnostic::Diagnostic;
use kneemark::ground::seam::Memory;
use kneemark::job::Compiled;

const SOUND: &str = "format: 1
[ct]
id: BRW-1
maker: Invented Works
standard: IEC 61869-2:2012
highest voltage: 145 kV
frequency: 50 Hz
insulation: oil and paper
primary turns: 1
[core 1S]
use: protection
class: 5P20
burden: 15 VA
resistance: 3.40 ohm at 75 C
tap  ratio/A
1S1-1S2  300/1
1S1-1S3  600/1
[duty 1S since 2026-01-31]
tap in service: 1S1-1S3
[visit 2026-03-14]
purpose: commissioning
tested by: A. Nother
ambient: 18.0 C
[insulation]
between  voltage/V  time/s  resistance/Gohm
1S to primary, cores and earth  1000  60  12.5
[resistance 1S1-1S3]
current/A  voltage/V
0.100  0.2795
[demagnetisation 1S1-1S3]
start: 450 V
end: 0 V
[excitation 1S1-1S3]
voltage/V  current/mA
20  1.1
50  1.9
100  3.0
200  5.2
300  8.5
350  12.0
385  22.0
420  60.0
[ratio 1S1-1S3]
method: voltage
on  applied/V  read/mV  phase/arcmin
P1-P2  120.0  200.1  1.0
[burden 1S1-1S3]
loop  current/A  voltage/V
phase-neutral  1.00  4.20
";

fn of(text: &str) -> Compiled {
    let files = Memory::default();
    files.put("a.ctr", text);
    compile(&files, &["a.ctr".into()]).records.remove(0)
}

/// What is told of a record, beside the tests that it does not have.
fn told(text: &str) -> Vec<Diagnostic> {
    let mut told = of(text).diagnostics;
    told.retain(|told| told.code.name() != "tests-missing");
    told
}

fn with_mend(text: &str, told: &Diagnostic) -> String {
    let mut edits = told.mends[0].edits.clone();
    edits.sort_by_key(|(at, _)| *at);
    let mut text = text.to_owned();
    for (at, new) in edits.iter().rev() {
        text.replace_range(at.range(), new);
    }
    text
}

/// What takes the place of a text that stands once, the code of the message, and words of it.
const MENDED: &[(&str, &str, &str, &str)] = &[
    (
        "145 kV",
        "145,5 kV",
        "decimal-comma",
        "`145,5` has a decimal comma",
    ),
    (
        "145 kV",
        "145 kV kV",
        "unit-unknown",
        "the unit `kV` is written twice",
    ),
    ("145 kV", "145 kv", "unit-case", "`kv`"),
    (
        "145 kV",
        "145\u{a0}kV",
        "editor-character",
        "a no-break space",
    ),
    (
        "burden: 15",
        "burden:\u{a0}15",
        "colon-missing",
        "needs an ordinary space after the colon",
    ),
    (
        "use: prot",
        "\u{a0}use: prot",
        "editor-character",
        "this line begins with a no-break space",
    ),
    (
        "class: 5P20",
        "class:5P20",
        "colon-missing",
        "needs a space after the colon",
    ),
    (
        "class: 5P20",
        "class 5P20",
        "colon-missing",
        "its colon is missing",
    ),
    (
        "class: 5P20",
        "class; 5P20",
        "colon-missing",
        "`;` stands in place of its colon",
    ),
    (
        "class: 5P20",
        "class = 5P20",
        "colon-missing",
        "`=` stands in place of its colon",
    ),
    (
        "class: 5P20",
        "class\u{ff1a}5P20",
        "colon-missing",
        "stands in place of its colon",
    ),
    (
        "class: 5P20",
        "Class: 5P20",
        "key-unknown",
        "no key `Class`",
    ),
    (
        "class: 5P20",
        "class: 5p20",
        "class-unknown",
        "the class `5p20`",
    ),
    (
        "class: 5P20",
        "class: 5 P 20",
        "class-unknown",
        "the class `5 P 20`",
    ),
    (
        "class: 5P20",
        "class: 5P2O",
        "class-unknown",
        "the class `5P2O`",
    ),
    (
        "IEC 61869-2:2012",
        "61869-2:2012",
        "standard-unknown",
        "`61869-2:2012`",
    ),
    (
        "IEC 61869-2:2012",
        "IEC 61896-2:2012",
        "standard-unknown",
        "`IEC 61896-2:2012`",
    ),
    (
        "3.40 ohm at 75 C",
        "3.40 ohm @ 75 C",
        "unit-missing",
        "no `at` between",
    ),
    (
        "3.40 ohm at 75 C",
        "3.40 ohm (75 C)",
        "unit-missing",
        "no `at` between",
    ),
    (
        "450 V",
        "1 450 V",
        "number-unreadable",
        "marks between its thousands",
    ),
    (
        "450 V",
        "1'450 V",
        "number-unreadable",
        "marks between its thousands",
    ),
    (
        "450 V",
        "1.450,0 V",
        "number-unreadable",
        "marks between its thousands",
    ),
    (
        "450 V",
        "1,450 V",
        "decimal-comma",
        "can be read in two ways",
    ),
    (
        "20  1.1\n50  1.9",
        "20  1,1\n50  1,9",
        "decimal-comma",
        "and so has 1 more number of this table",
    ),
    (
        "20  1.1\n50  1.9\n100  3.0",
        "20  1,1\n50  1,9\n100  3,0",
        "decimal-comma",
        "and so have 2 more numbers",
    ),
    (
        "100  3.0",
        "100  3.0 mA",
        "cell-count",
        "this row has the unit `mA` behind the number",
    ),
    (
        "cores and earth  1000  60  12.5",
        "cores and earth  1000  60  12.5 Gohm",
        "cell-count",
        "this row has the unit `Gohm` behind the number",
    ),
    (
        "voltage/V  current/mA\n20  1.1",
        "voltage/V\tcurrent/mA\n20  1.1 mA",
        "cell-count",
        "this row has the unit `mA` behind the number",
    ),
    (
        "20  1.1\n50  1.9",
        "20 V  1.1 mA\n50 V  1.9 mA",
        "cell-count",
        "2 rows of this table have a unit",
    ),
    (
        "100  3.0",
        "100\u{a0}3.0",
        "editor-character",
        "a no-break space",
    ),
    (
        "100  3.0",
        "100  3.0 #leads",
        "cell-count",
        "this row has 3 cells",
    ),
    (
        "1000  60",
        "\u{2013}  60",
        "editor-character",
        "a dash (U+2013)",
    ),
    (
        "voltage/V  current/mA\n20",
        "U/V  I/mA\n20",
        "column-unknown",
        "has no column `U`; the table of [excitation] has no column `I`",
    ),
    (
        "voltage/V  current/mA\n20",
        "Voltage/V  Current/mA\n20",
        "column-unknown",
        "has no column `Voltage`; the table of [excitation] has no column `Current`",
    ),
    (
        "voltage/V  current/mA\n20",
        "voltage/v  current/ma\n20",
        "unit-case",
        "`v` has the wrong upper/lower case; `ma` has",
    ),
    (
        "voltage/V  current/mA\n20",
        "voltage/Volt  current/milliamps\n20",
        "unit-unknown",
        "`Volt` is not a unit of voltage; `milliamps` is not",
    ),
    (
        "ambient: 18.0 C",
        "ambient: 18.0 +/- 1 C",
        "number-unreadable",
        "the half-width",
    ),
    (
        "ambient: 18.0 C",
        "ambient: \u{2212}5.0 C",
        "editor-character",
        "a minus sign",
    ),
    (
        "[visit 2026-03-14]",
        "[visit 14.3.2026]",
        "date-unreadable",
        "`14.3.2026` is not a date",
    ),
    (
        "[visit 2026-03-14]",
        "[visit 14/03/2026]",
        "date-unreadable",
        "`14/03/2026` is not a date",
    ),
    (
        "[visit 2026-03-14]",
        "[visit 2026-3-14]",
        "date-unreadable",
        "`2026-3-14` is not a date",
    ),
    (
        "[visit 2026-03-14]",
        "<visit 2026-03-14>",
        "bracket-lost",
        "brackets of another kind",
    ),
    (
        "[visit 2026-03-14]",
        "{visit 2026-03-14}",
        "bracket-lost",
        "brackets of another kind",
    ),
    (
        "[visit 2026-03-14]",
        "(visit 2026-03-14)",
        "bracket-lost",
        "brackets of another kind",
    ),
    (
        "[excitation 1S1-1S3]",
        "[excitation 1s1-1s3]",
        "terminal-unknown",
        "`1s1`",
    ),
    (
        "[excitation 1S1-1S3]",
        "[excitation 1S1\u{2013}1S3]",
        "editor-character",
        "a dash",
    ),
    (
        "[excitation 1S1-1S3]",
        "[Excitation 1S1-1S3]",
        "section-unknown",
        "[Excitation]",
    ),
    ("P1-P2", "p1-p2", "terminal-unknown", "`p1`"),
    (
        "burden: 15 VA",
        "burden: 15 VA @ 0.8",
        "unit-missing",
        "no `at` between",
    ),
    (
        "200  5.2",
        "5.2  200",
        "cells-swapped",
        "5.2 and 200, fit the rows beside it only the other way round",
    ),
    (
        "350  12.0",
        "350  1200",
        "decimal-slip",
        "this current, 1200 mA, fits 8.5 mA and 22.0 mA only",
    ),
    (
        "applied/V  read/mV",
        "applied/V  read/V",
        "unit-implausible",
        "in read/V the read of these rows is about 1000 times",
    ),
    (
        "applied/V  read/mV",
        "applied/mV  read/mV",
        "unit-implausible",
        "in applied/mV the applied of these rows is about 0.001 times",
    ),
    (
        "phase-neutral  1.00",
        "L1-L2  1.00",
        "word-unknown",
        "`loop` cannot be `L1-L2`",
    ),
    (
        "purpose: comm",
        "purpose: Comm",
        "word-unknown",
        "`Commissioning`",
    ),
];

#[test]
fn a_slip_has_one_message_and_a_mend_that_works() {
    let sound: Vec<String> = told(SOUND).into_iter().map(|told| told.title).collect();
    assert_eq!(sound, [""; 0]);
    for (from, to, code, words) in MENDED {
        assert_eq!(SOUND.matches(from).count(), 1, "`{from}` must stand once");
        let slip = SOUND.replace(from, to);
        let found = told(&slip);
        let titles: Vec<&str> = found.iter().map(|told| told.title.as_str()).collect();
        assert_eq!(titles.len(), 1, "{to}: {titles:?}");
        assert!(titles[0].contains(words), "{to}: {titles:?}");
        assert_eq!(found[0].code.name(), *code, "{to}");
        assert!(!found[0].mends.is_empty(), "{to}: nothing is offered");
        let mended = with_mend(&slip, &found[0]);
        let left: Vec<String> = told(&mended).into_iter().map(|told| told.title).collect();
        assert!(left.is_empty(), "{to} mended: {left:?}\n{mended}");
    }
}

/// What only its writer can put right is named, once, and with what it is about.
#[test]
fn a_slip_that_nobody_can_mend_is_named_once() {
    for (from, to, code, words) in [
        (
            "frequency: 50 Hz",
            "frequency: 50",
            "unit-missing",
            "`50` has no unit",
        ),
        ("[core 1S]", "[core: 1S]", "section-unknown", "[core:]"),
        (
            "[core 1S]",
            "[core]",
            "argument-wrong",
            "[core] needs a name",
        ),
        ("tap  ratio/A", "tap  ratio", "heading-units", "no units"),
        (
            "12.5\n",
            "~12.5\n",
            "number-unreadable",
            "`~12.5` is not a number",
        ),
        (
            "12.5\n",
            "n/a\n",
            "number-unreadable",
            "`n/a` is not a number",
        ),
        (
            "3.40 ohm",
            "3.40 kohm",
            "reading-implausible",
            "3.40 kohm for 600 turns is far more than a winding has",
        ),
        (
            "3.40 ohm",
            "3.40 mohm",
            "reading-implausible",
            "3.40 mohm for 600 turns is far less than a winding has",
        ),
        (
            "300/1",
            "3000/1",
            "taps-disagree",
            "the tap 1S1-1S2 has 3000/1",
        ),
        (
            "300/1",
            "600/1",
            "taps-disagree",
            "of which it is a part, 600/1",
        ),
        (
            "voltage/V  current/mA\n20",
            "voltage/A  current/V\n20",
            "unit-dimension",
            "2 cells of this heading are not understood: `A` is a unit of current",
        ),
    ] {
        assert_eq!(SOUND.matches(from).count(), 1, "`{from}` must stand once");
        let found = told(&SOUND.replace(from, to));
        let titles: Vec<&str> = found.iter().map(|told| told.title.as_str()).collect();
        assert_eq!(titles.len(), 1, "{to}: {titles:?}");
        assert!(titles[0].contains(words), "{to}: {titles:?}");
        assert_eq!(found[0].code.name(), code, "{to}");
    }
    // One name that is wrong in many places: said at the first of them.
    let found = told(&SOUND.replace("[core 1S]", "[core S1]"));
    let codes: Vec<&str> = found.iter().map(|told| told.code.name()).collect();
    assert_eq!(codes, ["terminal-unknown", "core-unknown"]);
    assert!(
        found[0]
            .help
            .as_ref()
            .is_some_and(|help| help.ends_with("(and in 6 more places)"))
    );
    // Without a reading the plate alone says it, and exactly 1000 times is what it says.
    let plate = SOUND
        .split("[visit")
        .next()
        .unwrap()
        .replace("3.40 ohm", "3.40 kohm");
    let found = told(&plate);
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].label, "exactly 1000 times: unit?");
    assert!(
        found[0]
            .help
            .as_ref()
            .is_some_and(|help| help.contains("3.4 ohm, would be usual")
                && help.contains("common practice, no source"))
    );
}

/// A slip of a unit, or of a row, is not answered by findings on what was read well.
#[test]
fn a_slip_blames_nothing_else() {
    let findings = |text: &str| -> Vec<String> {
        let unit = of(text);
        let found = unit
            .findings()
            .filter(|found| matches!(found.grade(), Grade::Review | Grade::Fails));
        found.map(|found| unit.sentence(found)).collect()
    };
    assert_eq!(findings(SOUND), [""; 0]);
    for (from, to) in [
        ("applied/V  read/mV", "applied/V  read/V"),
        ("0.100  0.2795", "0.100  279.5"),
        ("200  5.2", "5.2  200"),
        ("350  12.0", "350  1200"),
    ] {
        let slip = SOUND.replace(from, to);
        assert_ne!(slip, SOUND);
        assert_eq!(told(&slip).len(), 1, "{to}");
        assert_eq!(findings(&slip), [""; 0], "{to}");
    }
}

/// A slip that has several cells is one slip, and a terminal of the wrong side is named.
#[test]
fn one_message_for_one_line() {
    for (from, to, code) in [
        ("20  1.1", "0  0", "reading-sign"),
        (
            "[ratio 1S1-1S3]",
            "[polarity 1S1-1S3]\nmethod: kick\nplus on: 1S1\ndeflection: up on make\n[demagnetisation 1S1-1S3]\nstart: 450 V\nend: 0 V\n[ratio 1S1-1S3]",
            "word-unknown",
        ),
    ] {
        let found = told(&SOUND.replace(from, to));
        let codes: Vec<&str> = found.iter().map(|told| told.code.name()).collect();
        assert_eq!(codes, [code], "{to}");
    }
}

/// What is no slip is not told: both signs of the ohm and of the millionth, marks of an editor about the file,
/// tabs and blanks mixed.
#[test]
fn what_means_the_same_is_read_the_same() {
    for (from, to) in [
        ("3.40 ohm", "3.40 \u{2126}"),
        ("3.40 ohm", "3.40 \u{3a9}"),
        ("resistance/Gohm", "resistance/G\u{2126}"),
        ("resistance/Gohm", "resistance/G\u{3a9}"),
        ("start: 450 V", "start: 450000000 \u{b5}V"),
        ("start: 450 V", "start: 450000000 \u{3bc}V"),
        ("voltage/V  current/mA\n20", "voltage/V\tcurrent/mA\n20"),
        ("50  1.9", "50\t1.9"),
        ("class: 5P20", "class : 5P20"),
        ("IEC 61869-2:2012", "IEC61869-2"),
        ("IEC 61869-2:2012", "IEC61869-2:2012"),
        ("ambient: 18.0 C", "ambient: 18.0 °C"),
        ("[demagnetisation 1S1-1S3]", "[demagnetization 1S1-1S3]"),
    ] {
        let same = SOUND.replace(from, to);
        assert_ne!(same, SOUND);
        let titles: Vec<String> = told(&same).into_iter().map(|told| told.title).collect();
        assert!(titles.is_empty(), "{to}: {titles:?}");
    }
    let curve = |text: &str| {
        let unit = of(text);
        let test = unit.record.visits[0]
            .tests
            .iter()
            .find(|test| test.excitation().is_some());
        test.unwrap().excitation().unwrap().rows.len()
    };
    let tabbed = SOUND.replace("voltage/V  current/mA\n20", "voltage/V\tcurrent/mA\n20");
    assert_eq!((curve(&tabbed), curve(SOUND)), (8, 8));
}

/// A winding of few turns on a wound primary, or of heavy wire, is plausible.
#[test]
fn resistances_that_there_are_raise_no_question() {
    for (resistance, ratio) in [
        ("0.62 ohm at 75 C", "1200/5 A"),
        ("0.035 ohm at 75 C", "50/5 A"),
        ("0.5 ohm at 75 C", "5/1 A"),
        ("28 ohm at 75 C", "4000/1 A"),
        ("0.9 ohm at 75 C", "100/1 A"),
    ] {
        let text =
            format!("format: 1\n[ct]\nid: A\n[core S]\nratio: {ratio}\nresistance: {resistance}\n");
        assert!(told(&text).is_empty(), "{resistance} {ratio}");
    }
}

/// A remark that only looks like a section or a row is told as the line that it is.
#[test]
fn a_remark_in_brackets_or_below_a_table_is_one_message() {
    for (from, to, code) in [
        (
            "420  60.0\n",
            "420  60.0\n(visit again tomorrow)\n",
            "stray-line",
        ),
        ("420  60.0\n", "420  60.0\n(restored)\n", "stray-line"),
        (
            "420  60.0\n",
            "420  60.0\nsource; tripped at 430 V\n",
            "cell-count",
        ),
        ("12.5\n", "12.5\nall was wet and dry\n", "stray-line"),
        (
            "12.5\n",
            "12.5\nall was wet and cable 3 dry\n",
            "cell-count",
        ),
    ] {
        assert_eq!(SOUND.matches(from).count(), 1);
        let found = told(&SOUND.replace(from, to));
        let codes: Vec<&str> = found.iter().map(|told| told.code.name()).collect();
        assert_eq!(codes, [code], "{to}");
    }
}

#[test]
fn a_first_cell_of_as_many_words_as_columns_is_a_row_that_waits() {
    let from = "between  voltage/V  time/s  resistance/Gohm\n1S to primary, cores and earth  1000  60  12.5";
    assert_eq!(SOUND.matches(from).count(), 1);
    let to = "between\tvoltage/V\tresistance/Gohm\n1S to earth";
    let found = told(&SOUND.replace(from, to));
    let codes: Vec<&str> = found.iter().map(|told| told.code.name()).collect();
    assert_eq!(codes, ["rows-waiting"]);
}

/// Under bars too a row of dashes waits; the rule of a Markdown table has more of them.
#[test]
fn a_row_of_dashes_between_bars_waits() {
    let record = |rows: &str| {
        let text = format!(
            "format: 1\n[ct]\nid: A1\nstandard: IEC 61869-2:2012\n[core 1S]\nclass: 5P20\nburden: 15 VA\nratio: 600/1 A\n[visit 2026-03-14]\npurpose: factory\n\
             [excitation 1S1-1S2]\nvoltmeter: mean\nvoltage/V | current/mA\n{rows}"
        );
        let (source, _) = kneemark::ground::source::Source::new("t.ctr", text.as_bytes());
        let (record, told) = kneemark::record::read_alone(&source);
        let rows = record
            .written
            .bodies
            .iter()
            .flatten()
            .flat_map(|body| &body.tables);
        (
            rows.map(|table| table.rows.len()).sum::<usize>(),
            told.iter().map(|one| one.code.name()).collect::<Vec<_>>(),
        )
    };
    assert_eq!(record("25.0 | 1.31\n- | -\n"), (2, vec!["rows-waiting"]));
    assert_eq!(record("--- | ---\n25.0 | 1.31\n"), (1, vec![]));
}
