//! What is written on a sheet is typed under the sheet's own headings, and read.

use super::command::with_visits;
use super::{demo, of_text, sheet_for, sheets, subject};
use kneemark::compile;
use kneemark::ground::date;
use kneemark::ground::seam::Memory;
use kneemark::job::Compiled;
use kneemark::report::worksheet::new_visit;
use std::collections::BTreeSet;

const VISIT: &str = "format: 1
[ct]
id: A1
frequency: 50 Hz
[core 1S]
class: 5P20
burden: 15 VA
ratio: 600/1 A
[visit 2026-03-14]
purpose: commissioning
";

fn codes(section: &str) -> Vec<String> {
    let files = Memory::default();
    files.put("a.ctr", format!("{VISIT}{section}\n"));
    let record = compile(&files, &["a.ctr".into()]).records.remove(0);
    let told = record.diagnostics.into_iter();
    let told = told.filter(|told| told.code.name() != "tests-missing");
    told.map(|told| format!("{}: {}", told.code.name(), told.title))
        .collect()
}

/// A unit between a neutral and earth has rows of N, and of no other phase, on sheet and new visit; any other the three, as
/// its place names them.
#[test]
fn a_unit_is_read_in_the_phases_of_its_place() {
    let both = |phase: &str, purpose: &str| {
        let unit =
            super::of_text(&VISIT.replace("frequency", &format!("phase: {phase}\nfrequency")));
        let day = date::read("2026-12-01").expect("a day");
        let visit = new_visit(&subject(&unit), purpose, day, None);
        let sheet = sheet_for(&unit, purpose).markdown;
        [visit, sheet]
    };
    let of = |phase: &str, purpose: &str| {
        let has = |text: &str, phase: &str| {
            let is_row = |line: &str| {
                let mut cells = line.split('|').map(str::trim);
                cells.any(|cell| cell == "1S") && cells.any(|cell| cell == phase)
            };
            text.lines().any(is_row)
        };
        both(phase, purpose).map(|text| ["L1", "L2", "N", "A", "C"].map(|one| has(&text, one)))
    };
    for purpose in ["before energising", "after energising"] {
        let neutral = [false, false, true, false, false];
        assert_eq!(of("N", purpose), [neutral; 2], "{purpose}");
    }
    for (purpose, n) in [("before energising", false), ("after energising", true)] {
        assert_eq!(of("L1", purpose), [[true, true, n, false, false]; 2]);
        for letter in ["B", "A (L1)"] {
            assert_eq!(of(letter, purpose), [[false, false, n, true, true]; 2]);
        }
    }
    for text in both("B", "after energising") {
        assert!(
            text.contains("rotation: A B C") && text.contains("or A C B"),
            "{text}"
        );
        assert!(!text.contains("L1"), "{text}");
    }
}

/// Each input of a summation CT has its row on sheet and new visit, and the others are told to stay open.
#[test]
fn a_summation_ct_is_tested_input_by_input() {
    let plate = "format: 1\n\n[ct]\nid: A1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nprimary turns: 20\n\n[core S]\nmarks: S1 S2\nuse: metering\n\
                 class: 1\nburden: 10 VA\nratio: 5+5/1 A\n";
    let unit = super::of_text(plate);
    let sheet = sheet_for(&unit, "factory").markdown;
    for words in [
        "1P1-1P2",
        "2P1-2P2",
        "all in series",
        "every other one OPEN",
        "shorted on its own side",
    ] {
        assert!(sheet.contains(words), "{words}\n{sheet}");
    }
    let tables = printed(&sheet);
    let of_inputs = |table: &&Printed| table.heading.first().is_some_and(|word| word == "input");
    let tables: Vec<&Printed> = tables.iter().filter(of_inputs).collect();
    assert!(tables.iter().any(|table| table.section == "polarity"));
    assert!(tables.len() >= 3, "{}", tables.len());
    let mut reading = 0;
    for table in tables {
        let (head, rows) = table.typed(&unit, &mut reading);
        let typed = format!("{plate}\n[visit 2026-12-01]\npurpose: factory\n{head}{rows}");
        let read = super::of_text(&typed);
        let mut errors = read.diagnostics.iter().filter(|told| told.is_error());
        assert!(errors.next().is_none(), "{typed}");
    }
}

#[test]
fn tables_of_a_sheet_are_read_under_their_own_headings() {
    for section in [
        "[state]\ncore | tap in service | earth at | star point | links | secondary | remark\n1S | 1S1-1S2 | kiosk | 1S2 | closed | connected | -",
        "[restored]\ncore | tap in service | links | secondary | earth at | earths counted | terminals tight\n\
         1S | 1S1-1S2 | closed | connected | kiosk | 1 | tight\nchecked by: B. Other",
        "[inspection]\nitem | state | may serve | remark\nterminal box | wet | no | -",
        "[demagnetisation]\npair  start/V  end/V  frequency/Hz  time/s\n1S1-1S2  450  0  25  60",
        "[polarity]\nmethod: kick\nplus on: P1\npair | deflection on make | remark\n1S1-1S2 | up on make | small",
        "[burden 1S1-1S2]\nloop  phases  current/A  voltage/V  angle/deg\nphase-neutral  -  1.0  4.2  10\n\
         phase-phase  L1-L2  1.0  8.0  10\nphase-phase  L3-L1  1.0  8.1  10",
        "[ratio-setting]\ncore | at | ratio | remark\n1S | F21 | 600/1 | seen",
        "[injection]\nlimit: 1 %\ncore | at | phase | current/A | reading/A | ratio | remark\n1S | F21 | L1 | 1 | 600 | 600/1 | seen",
        "[load]\nmethod: load\nprimary current: 300 A\nprimary angle: -8 deg\nangles against: busbar VT\nangles: leading\n\
         core | at | phase | current/A | angle/deg | remark\n1S | F21 | L1 | 0.5 | -8 | seen\n1S | F21 | N | 0.0 | - | seen",
        "[stability]\nzone: T1\nmethod: load\nfault: through\nlimit: 5 %\ncore | at | phase | operate/A | restrain/A | remark\n1S | F87 | L1 | 0 | 0.5 | seen",
        "[inter-turn]\npair | rated/% | peak/kV | time/s | held or broke-down\n1S1-1S2 | 100 | 1.2 | 60 | held",
    ] {
        assert_eq!(codes(section), [""; 0], "{section}");
    }
}

/// The purposes that a sheet is made for.
const PURPOSES: [&str; 6] = [
    "factory",
    "receiving",
    "commissioning",
    "before energising",
    "after energising",
    "maintenance",
];

/// A table of a sheet with what its caption says the record takes of it.
struct Printed {
    section: String,
    keys: Vec<String>,
    /// Words of the heading; none of a section that has keys alone.
    heading: Vec<String>,
    is_piped: bool,
    heads: Vec<String>,
    rows: Vec<Vec<String>>,
}

fn cells(line: &str) -> Vec<String> {
    let line = line.trim_matches('|');
    line.split(" |")
        .map(|cell| cell.trim_matches([' ', '|']).to_owned())
        .collect()
}

/// Every table of a sheet that is written on and typed, a folded one unfolded.
fn printed(markdown: &str) -> Vec<Printed> {
    let text = markdown.replace('\\', "");
    let lines: Vec<&str> = text.lines().collect();
    let mut found = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let Some((_, typed)) = line.split_once("; typed as [") else {
            continue;
        };
        let (section, rest) = typed.trim_matches('*').split_once("] ").unwrap();
        let parts: Vec<&str> = rest.split("; ").collect();
        let (keys, heading): (Vec<&str>, Vec<&str>) =
            parts.into_iter().partition(|part| part.contains(": "));
        let heading = heading.concat();
        let mark = if heading.contains('|') { '|' } else { ' ' };
        let words = heading
            .split(mark)
            .map(|word| word.trim_matches(' ').to_owned());
        let table = lines[at + 1..].iter().skip_while(|line| line.is_empty());
        let mut table = table.take_while(|line| line.starts_with('|'));
        let mut heads = cells(table.next().unwrap());
        let mut rows: Vec<Vec<String>> = table.skip(1).map(|line| cells(line)).collect();
        let half = heads.len() / 2;
        if heads[..half] == heads[half..] {
            let (left, right): (Vec<_>, Vec<_>) = rows
                .iter()
                .map(|row| (row[..half].to_vec(), row[half..].to_vec()))
                .unzip();
            rows = left.into_iter().chain(right).collect();
            // The last one of the second half may have nothing beside it.
            let is_named = !rows[0][0].is_empty();
            rows.retain(|row| !is_named || !row[0].is_empty());
            heads.truncate(half);
        }
        found.push(Printed {
            section: section.to_owned(),
            keys: keys.into_iter().map(str::to_owned).collect(),
            heading: words.filter(|word| !word.is_empty()).collect(),
            is_piped: mark == '|',
            heads,
            rows,
        });
    }
    found
}

impl Printed {
    /// What somebody types of it who wrote something into every field: section, keys and heading, and the rows.
    fn typed(&self, unit: &Compiled, reading: &mut u32) -> (String, String) {
        let key = |key: &String| match key.as_str() {
            "method: ______" => "method: dc\n".to_owned(),
            "wires: ______" => "wires: 4\n".to_owned(),
            "voltmeter: ______" => "voltmeter: mean\n".to_owned(),
            "ended: ______" => "ended: zero\n".to_owned(),
            "temperature by: ______" => "temperature by: contact\n".to_owned(),
            "angles: ______" => "angles: leading\n".to_owned(),
            "rotation: ______" => "rotation: L1 L2 L3\n".to_owned(),
            "taken: ________________" => "taken: 2026-12-01 17:05\n".to_owned(),
            "primary links: ______" => "primary links: parallel\n".to_owned(),
            key => format!("{}\n", key.replace("______", "20")),
        };
        let mut text = format!("[{}]\n", self.section);
        text.extend(self.keys.iter().map(key));
        let mut rows = String::new();
        if self.heading.is_empty() {
            return (text, rows);
        }
        let between = if self.is_piped { " | " } else { "  " };
        text += &format!("{}\n", self.heading.join(between));
        for row in &self.rows {
            let of = |word: &str| {
                self.heads
                    .iter()
                    .position(|head| head == word)
                    .map(|at| row[at].as_str())
            };
            let mut cell = |word: &String| {
                let told =
                    of(word).unwrap_or_else(|| panic!("no head `{word}` in {:?}", self.heads));
                if told.contains("______") {
                    let name = told.split(':').next().unwrap();
                    let core = unit
                        .record
                        .cores
                        .iter()
                        .find(|core| core.name == name)
                        .unwrap();
                    return core.pair_text(0, core.last_mark());
                }
                match (told, word.as_str()) {
                    ("", "links") => "closed",
                    ("", "secondary") => "connected",
                    ("", "earth") => "kiosk",
                    ("", "result") if self.section == "continuity" => "closed",
                    ("", "put back" | "may serve") => "yes",
                    ("", "position") => "through",
                    ("", "result") => "held",
                    ("", "ratio") => "600/1",
                    ("", "deflection") => "up on make",
                    ("", "phases") if of("loop") == Some("phase-phase") => "L1-L2",
                    ("", "phases") => "-",
                    ("", word) if word.contains('/') || word == "earths counted" => {
                        *reading += 1;
                        return reading.to_string();
                    }
                    ("", _) => "seen",
                    (told, _) => told,
                }
                .to_owned()
            };
            let cells: Vec<String> = self.heading.iter().map(&mut cell).collect();
            // Room for readings that were not asked for.
            if !self.heading[0].contains("voltage") || of("why") != Some("spare") {
                rows += &format!("{}\n", cells.join(between));
            }
        }
        (text, rows)
    }
}

/// Every table of every sheet is typed back as it stands there, and no error is told of it.
#[test]
fn every_table_of_a_sheet_is_read_as_it_is_typed() {
    let mut seen = 0;
    for purpose in PURPOSES {
        let job = with_visits(|unit| {
            let mut reading = 0;
            let sheet = sheet_for(unit, purpose).markdown;
            let tables = printed(&sheet);
            seen += tables.len();
            let mut typed: Vec<(String, String)> = Vec::new();
            for table in &tables {
                let (head, rows) = table.typed(unit, &mut reading);
                // Of the primary and of the cores.
                let one = ["insulation", "withstand"].contains(&table.section.as_str());
                match typed.iter_mut().find(|(known, _)| one && *known == head) {
                    Some((_, known)) => *known += &rows,
                    None => typed.push((head, rows)),
                }
            }
            let typed: String = typed.into_iter().map(|(head, rows)| head + &rows).collect();
            // What is left for the pen without a name in the record would be lost.
            let others = [
                "To fill in on site",
                "Primary while testing",
                "Restoration list",
                "Signatures",
                "Cores, as recorded",
                "The unit; compare",
            ];
            for line in sheet
                .lines()
                .filter(|line| line.starts_with("**") && line.ends_with("**"))
            {
                let is_other = others
                    .iter()
                    .any(|other| line.starts_with(&format!("**{other}")));
                assert!(
                    !line.contains("write down") || is_other || line.contains("; typed as "),
                    "{line}"
                );
            }
            format!("[visit 2026-12-01]\npurpose: {purpose}\n{typed}")
        });
        let errors = job.records.iter().flat_map(|unit| {
            let errors = unit.diagnostics.iter().filter(|told| told.is_error());
            errors.map(|told| {
                format!(
                    "{} {purpose}: {}: {}",
                    unit.source.name,
                    told.title,
                    unit.source.slice(told.span)
                )
            })
        });
        let errors: Vec<String> = errors.collect();
        assert_eq!(errors, [""; 0], "{}", job.records[0].source.text);
    }
    assert!(seen > 1000, "{seen}");
}

/// A sheet of a set has the heads of a single one, with the unit before them or beside them.
#[test]
fn a_set_sheet_has_the_headings_of_the_record() {
    let bay = ["h07-l1.ctr", "h07-l2.ctr", "h07-l3.ctr"].map(super::unit);
    for purpose in ["factory", "commissioning"] {
        let tables = printed(&sheets(&bay, purpose).markdown);
        assert!(tables.len() > 10);
        for table in tables.iter().filter(|table| table.section != "inspection") {
            for word in &table.heading {
                let is_it = |head: &String| {
                    head == word
                        || ["L1", "L2", "L3"]
                            .iter()
                            .any(|unit| *head == format!("{unit}: {word}"))
                        || *head == format!("unit, {word}")
                };
                assert!(table.heads.iter().any(is_it), "{word} in {:?}", table.heads);
            }
        }
    }
}

/// One wrong heading is one message, whatever stands below it.
#[test]
fn a_wrong_heading_is_told_once() {
    for (section, named) in [
        (
            "[ratio 1S1-1S2]\nmethod: voltage\nread on applied/V read/V or mV phase/arcmin\nP1-P2 200 0.333 2\n1S1-1S2 200 200 2",
            "heading",
        ),
        (
            "[withstand]\nagainst voltage/kV time/s held or broke-down\nall else and earth 3 60 held\n1S to earth 3 60 held",
            "heading",
        ),
        (
            "[resistance]\npair  plate, at 20 C  current/A  voltage/V\n1S1-1S2  2.88 ohm  0.1  0.285\n1S1-1S2  2.88  0.1  0.285",
            "heading",
        ),
        (
            "[ratio 1S1-1S2]\nmethod: current\nrated/%  primary, aim  limit of the class  error/%  phase/min\n100 600 A 1 0.1 3\n20 120 A 1 0.1 3",
            "heading",
        ),
        (
            "[demagnetisation]\ncore  pair  start/V  end/V  time/s\n1S  450  0  60\n1S  450  0  60",
            "`core`",
        ),
        (
            "[burden]\nloop angel/deg current/A voltage/V\nphase-neutral 3 1 2\nphase-neutral 3 1 2",
            "`angel`",
        ),
        (
            "[excitation 1S1-1S2]\nvoltage/V  current/mA\n10 1 3\n20 2 3\n30 3 3",
            "none of the 3 rows of this table has the cells of its heading",
        ),
    ] {
        let told = codes(section);
        let told: Vec<&String> = told
            .iter()
            .filter(|told| !told.starts_with("direct-current-last"))
            .collect();
        assert!(
            told.len() == 1 && told[0].contains(named),
            "{section}\n{told:#?}"
        );
    }
    // Of one row that does not fit beside others that do, the row is told.
    let one = codes("[excitation 1S1-1S2]\nvoltage/V  current/mA\n10 1\n20 2 3\n30 3");
    assert!(
        one.len() == 1 && one[0].contains("this row has 3 cells"),
        "{one:#?}"
    );
}

/// A slip in a row that has as many words as its heading is told beside the heading.
#[test]
fn a_slip_below_a_wrong_heading_is_told() {
    let told = codes(
        "[resistance]\npair plate current/A voltage/V\n1S1-1S2 2.88 0.1x0 0.285\n1S1-1S2 2.88 0.1 0.285",
    );
    let has = |words: &str| told.iter().any(|told| told.contains(words));
    assert!(has("`plate`") && has("0.1x0"), "{told:#?}");
}

/// A sentence with a slash in it is one line that is not read: the rows below it go on as they were.
#[test]
fn a_sentence_with_a_slash_is_no_heading() {
    let rows = "[excitation 1S1-1S2]\nvoltage/V  current/mA\n100 2.84\n200 4.53\n";
    let more = "250 6.10\n300 8.62\n330 20\n360 60";
    let told = codes(&format!(
        "{rows}voltage/current meter was swapped here\n{more}"
    ));
    assert!(
        told.len() == 1 && told[0].starts_with("stray-line"),
        "{told:#?}"
    );
    // Another heading is one, whatever stands beside its columns.
    let told = codes(&format!("{rows}voltage/V  current/mA  reading\n{more}"));
    assert!(
        told.iter().all(|told| !told.starts_with("stray-line"))
            && told.iter().any(|told| told.contains("`reading`")),
        "{told:#?}"
    );
}

/// A table of a record: its section, its heading, and of readings of pairs the pairs.
type Laid = (String, String, Vec<String>);

fn laid(section: &str, heading: &[String], rows: impl Iterator<Item = String>) -> Laid {
    let kind = section.split(' ').next().unwrap();
    let one_of_each = ["ratio", "excitation"].contains(&kind);
    let by_pair = kind == "ratio" && heading[0] == "on";
    let section = if one_of_each { section } else { kind };
    let rows = rows.filter(|_| by_pair).collect();
    (section.to_owned(), heading.join(" "), rows)
}

/// The tables of a visit as `new --from` prints it.
fn tables_of(visit: &str) -> BTreeSet<Laid> {
    let sections = visit.split("\n[").skip(2);
    let tables = sections.filter_map(|text| {
        let (section, rest) = text.split_once(']')?;
        let lines = rest.lines().skip(1).filter(|line| !line.starts_with('#'));
        let mut lines = lines.filter(|line| !line.is_empty() && !line.contains(": "));
        let heading = lines.next()?;
        let mark = if heading.contains('|') { '|' } else { ' ' };
        let words = heading.split(mark).map(|word| word.trim().to_owned());
        let words: Vec<String> = words.filter(|word| !word.is_empty()).collect();
        let pairs = lines.map(|line| line.split(' ').next().unwrap().to_owned());
        Some(laid(section, &words, pairs))
    });
    tables.collect()
}

/// What is written on the sheet has its place in the new visit, in the same unit: section by section they have
/// one heading, and of the ratio the same rows.
#[test]
fn a_sheet_and_a_new_visit_have_the_same_headings() {
    let small = of_text(
        "format: 1\n[ct]\nid: C1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\nhighest voltage: 145 kV\n\
        [core 1S]\nclass: 0.5\nratio: 600/1 A\nburden: 10 VA\n\
        [core 2S]\nclass: 5P20\nburden: 15 VA\nratio: 100/5 A\nresistance: 0.2 ohm at 75 C\n",
    );
    let day = date::read("2026-12-01").unwrap();
    let mut units = demo();
    units.push(small);
    let mut ratios = BTreeSet::new();
    for purpose in PURPOSES {
        for unit in &units {
            let sheet = printed(&sheet_for(unit, purpose).markdown);
            let sheet = sheet.iter().filter(|table| !table.heading.is_empty());
            let sheet = sheet.map(|table| {
                let pairs = table.rows.iter().map(|row| row[0].clone());
                laid(&table.section, &table.heading, pairs)
            });
            // The state as left has a column of remarks more; a new visit has no files yet.
            let is_it = |table: &Laid| !["restored", "attachments"].contains(&table.0.as_str());
            let sheet: BTreeSet<Laid> = sheet.filter(is_it).collect();
            let visit = tables_of(&new_visit(&subject(unit), purpose, day, None));
            let visit: BTreeSet<Laid> = visit.into_iter().filter(is_it).collect();
            assert_eq!(sheet, visit, "{} {purpose}", unit.source.name);
            let own = sheet.into_iter().filter(|table| !table.2.is_empty());
            ratios.extend(own.map(|table| table.1));
        }
    }
    for unit in ["V", "mV"] {
        let one = format!("on applied/V read/{unit} phase/arcmin");
        assert!(ratios.contains(&one), "{ratios:?}");
    }
}

/// The burden of the pair in service, as the sheet has it; where none is on record, the line above says so.
#[test]
fn a_new_visit_asks_for_the_burden_of_the_pair_in_service() {
    let plate = "format: 1\n[ct]\nid: D1\nstandard: IEC 61869-2:2012\nfrequency: 50 Hz\n\
        [core S]\nclass: 5P20\nburden: 15 VA\nratio: 600/1 A\ntap ratio/A\nS1-S2 300/1\nS1-S3 600/1\n";
    let duty = "[duty S since 2026-01-30]\ntap in service: S1-S2\nfault current: 8 kA\n";
    let day = date::read("2026-12-01").unwrap();
    let burden = |duty: &str| {
        let unit = of_text(&format!("{plate}{duty}"));
        let text = new_visit(&subject(&unit), "commissioning", day, None);
        let sheet = sheet_for(&unit, "commissioning").markdown;
        let own = text.split("\n[burden]").nth(1).unwrap();
        (own.split("\n[").next().unwrap().to_owned(), sheet)
    };
    let (text, sheet) = burden(duty);
    assert!(sheet.contains("| S1-S2 | phase-neutral |"), "{sheet}");
    assert!(text.contains("\nS1-S2  phase-neutral") && text.contains("\n# S1-S2  phase-phase"));
    assert!(!text.contains("S1-S3") && !text.contains("no tap in service"));
    let (text, sheet) = burden("");
    assert!(!sheet.contains("| S1-S3 | phase-neutral |"), "{sheet}");
    assert!(text.contains("\n# S: no tap in service on record; write the pair found"));
}
