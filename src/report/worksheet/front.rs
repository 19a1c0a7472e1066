//! What stands before the tests: cautions, the instrument, the rating plate in full, the order of the work,
//! inspection and state as found.

use super::cards::{KICK, Wanted, kicked, title};
use super::day::{Day, ENERGISED, HANDED_BACK};
use super::deciding;
use super::job::Job;
use super::merged::{alike, as_one};
use super::plan::{Setup, Step};
use super::plate::{CoreSheet, burden_text};
use super::sheet::{list, to_write};
use super::{say, typed};
use crate::document::{Block, Cell, Table, joined};
use crate::ground::quantity::Quantity;
use crate::record::plate::Plate;
use crate::trade::Ratio;
use strum::VariantArray;

/// Cautions, then the blanks of the day, then the instrument: its first steps come before all else.
pub fn first_page(wanted: Wanted<'_, '_>, told: &[String]) -> Vec<Block> {
    let mut blocks: Vec<Block> = told.iter().map(|one| Block::Caution(one.into())).collect();
    blocks.push(Block::heading(2, "Before anything else"));
    let day = Day::of(wanted);
    let cautions = day.cautions().iter();
    blocks.push(Block::Steps(cautions.map(|line| (*line).into()).collect()));
    let live = [Step::Load, Step::Stability];
    let is_live = live.iter().any(|step| !wanted.due(*step).is_empty());
    if is_live && day != Day::Live {
        let text = "Current on load and stability are read with the primary live, when all else of this sheet is done and restored: the steps above that earth, part and short are for the other tests. \
                    Nobody touches the primary or opens a secondary for them.";
        blocks.push(Block::Caution(text.into()));
    }
    let own = wanted
        .jobs
        .iter()
        .find(|job| job.foreign_primary().is_none());
    if let Some(job) = own.filter(|_| day.is_of_tests()) {
        blocks.push(Block::Caution(ends_exchanged(job).into()));
    }
    blocks.extend(wanted.jobs.first().map(|job| permit(job, day)));
    let check = "its earth on, before any other lead | both inputs on one source: ratio of 1, four decimals | \
                 leads: clips shorted together, zeroed or noted, resistance/ohm";
    let keys = ["ratio of 1: ______", "leads: ______ ohm"];
    let caption = typed::caption("Self-check of the instrument", "self-check", &keys, "");
    let instrument = vec![
        Block::heading(2, "The instrument first"),
        to_write(&caption, "what | reading", list(check)),
    ];
    blocks.push(Block::Group("card", instrument));
    blocks.push(Block::NewPage);
    blocks
}

/// What holds where the other end of the primary is the earthed one.
fn ends_exchanged(job: &Job<'_>) -> String {
    let (first, second) = job.primary();
    format!(
        "Drawn with {second} earthed and {first} open: if {first} is the earthed end here, exchange {first} and {second} in every row and drawing; \
         polarity then reads the other way round: write down which end was which."
    )
}

/// Permit, earths, people, instruments: blanks, and no word about them.
fn permit(job: &Job<'_>, day: Day) -> Block {
    if day != Day::Tests {
        let rows = match day {
            Day::Live => {
                "date | tested by | permit, sanction | permit on the dead primary handed back (day, time) | protection in service meanwhile | trips blocked, by whom, until | ambient/C, humidity/% | instruments, calibrated until | leads, clamps"
            }
            Day::AtMaker => {
                "date | tested by | test floor, barrier | order | ambient/C, humidity/% | instruments, calibrated until | leads"
            }
            Day::Circuits | Day::Tests => {
                "date | tested by | permit, sanction | permit until (day, time) | trips blocked (relays, summations), control room told | isolated at | earths applied at | \
                 ambient/C, humidity/% | instruments, calibrated until | leads"
            }
        };
        return to_write("To fill in on site", "what | written", list(rows));
    }
    let lifted = match job.foreign_primary() {
        Some(foreign) => format!("{foreign}: isolated and earthed by"),
        None => {
            let (first, second) = job.primary();
            format!("earth lifted for the tests ({first} or {second})")
        }
    };
    let rows = format!(
        "date | tested by | permit, sanction | permit until (day, time) | trips blocked (relays, summations), control room told | isolated at | earths applied at | {lifted} | \
         ambient/C, humidity/% | instruments, calibrated until | leads"
    );
    to_write("To fill in on site", "what | written", list(&rows))
}

/// The rating plate as recorded, with room to compare it, and to write down what the record does not have.
pub fn plate(wanted: Wanted<'_, '_>) -> Vec<Block> {
    let jobs = wanted.jobs;
    let mut blocks = vec![Block::heading(2, "Rating plate"), units(wanted)];
    let told = jobs.iter().map(|job| (cores(job), job));
    let groups = alike(told);
    if groups.len() > 1 {
        let first = jobs.first().map(Job::label).unwrap_or_default();
        let others = groups.iter().skip(1).flat_map(|(_, jobs)| jobs);
        let others = joined(others.map(|job| Some(job.label())), ", ");
        let text = format!(
            "Plates differ: {others} is not like {first}. Expected values below are those of each unit."
        );
        blocks.push(Block::Caution(text.into()));
    }
    let is_one = groups.len() == 1;
    for (rows, jobs) in &groups {
        let agrees = match wanted.jobs {
            [_] => vec!["plate agrees".to_owned()],
            _ => jobs
                .iter()
                .map(|job| format!("plate agrees: {}", wanted.unit(job)))
                .collect(),
        };
        let known = HEADS.iter().map(|head| (*head).to_owned());
        let heads: Vec<String> = known.chain(agrees.iter().cloned()).collect();
        let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
        let row = |row: &Vec<Option<String>>| {
            let cells = row
                .iter()
                .map(|cell| cell.as_ref().map_or(Cell::Blank, Cell::from));
            cells.chain(agrees.iter().map(|_| Cell::Blank)).collect()
        };
        let names = joined(jobs.iter().map(|job| Some(job.label())), ", ");
        let whose = if is_one {
            String::new()
        } else {
            format!(" of {names}")
        };
        let caption = format!(
            "Cores{whose}, as recorded; an empty field is for what the plate has and the record has not"
        );
        let table = Table::grid(&heads, rows.iter().map(row).collect());
        blocks.push(Block::Table(table.captioned(caption)));
    }
    blocks.extend(jobs.iter().flat_map(|job| of_primary(wanted, job)));
    blocks
}

/// Key by key, each unit with its own column.
fn units(wanted: Wanted<'_, '_>) -> Block {
    let all: Vec<Vec<(&str, Option<String>)>> = wanted.jobs.iter().map(unit_facts).collect();
    let keys = all.first().map(|facts| facts.iter().map(|(key, _)| *key));
    let row = |(at, key): (usize, &str)| {
        let cell = |facts: &Vec<(&str, Option<String>)>| {
            let value = facts.get(at).and_then(|(_, value)| value.clone());
            value.map_or(Cell::Blank, Cell::from)
        };
        std::iter::once(Cell::from(key))
            .chain(all.iter().map(cell))
            .collect()
    };
    let rows = keys.into_iter().flatten().enumerate().map(row);
    let heads = wanted.jobs.iter().map(|job| match wanted.jobs {
        [_] => "as recorded".to_owned(),
        _ => job.label(),
    });
    let heads: Vec<String> = std::iter::once("the unit".to_owned())
        .chain(heads)
        .collect();
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    let table = Table::grid(&heads, rows.collect()).captioned("The unit; compare with its plate");
    // A single unit has room for two halves beside each other.
    Block::Table(as_one("", vec![(String::new(), table)]))
}

fn unit_facts<'k>(job: &Job<'_>) -> Vec<(&'k str, Option<String>)> {
    let plate: &Plate = &job.record.plate;
    let (first, second) = job.primary();
    let text = |value: Option<&String>| value.filter(|text| !text.is_empty()).cloned();
    let standard = plate.standard.value().map(|standard| &standard.text);
    let levels = [
        plate.highest_voltage.value().map(Quantity::written),
        plate
            .bil
            .value()
            .map(|bil| format!("BIL {}", bil.written())),
    ];
    let short = [
        plate
            .ith
            .value()
            .map(|ith| format!("Ith {}", ith.written())),
        plate
            .idyn
            .value()
            .map(|idyn| format!("Idyn {}", idyn.written())),
    ];
    let some = |text: String| Some(text).filter(|text| !text.is_empty());
    let turns = plate.primary_turns.value();
    let turns = turns.map(|turns| format!("{first}, {second}; turns {}", say::plain(*turns)));
    let foreign = job.foreign_primary();
    // What a curve shows of a protection class rests on them.
    let asked = foreign.is_none() && turns.is_none();
    let mut rows = vec![
        ("place", some(job.place())),
        ("manufacturer", text(plate.maker.value())),
        ("type", text(plate.kind.value())),
        ("serial", text(plate.serial.value())),
        ("year", plate.year.value().map(|year| say::plain(*year))),
        ("standard", text(standard)),
        ("highest voltage, BIL", some(joined(levels, ", "))),
        ("frequency", plate.frequency.value().map(Quantity::written)),
        (
            "insulation",
            plate.insulation.value().map(ToString::to_string),
        ),
        ("short-time currents", some(joined(short, ", "))),
        (
            "primary",
            foreign.or(turns).or(some(format!("{first}, {second}"))),
        ),
    ];
    rows.extend(asked.then_some(("primary turns", None)));
    rows
}

const HEADS: [&str; 9] = [
    "core, pair",
    "ratio",
    "class, use",
    "burden",
    "knee Ek",
    "exciting current, at most",
    "resistance",
    "turns",
    "tap in service",
];

/// The rows of every declared pair, the full winding first; `None` where the record has nothing.
fn cores(job: &Job<'_>) -> Vec<Vec<Option<String>>> {
    job.cores
        .iter()
        .flat_map(|core| core_rows(job, core))
        .collect()
}

fn core_rows(job: &Job<'_>, sheet: &CoreSheet<'_>) -> Vec<Vec<Option<String>>> {
    let core = sheet.core;
    let terminals = core.marks.join(" ");
    let service = core.service.value().map(ToString::to_string);
    let mut exciting = core.exciting.iter().map(|at| {
        Some(format!(
            "{} at {}",
            at.value.value.written(),
            at.value.at.written()
        ))
    });
    let tapped = core.full_tap();
    let stated = joined(exciting.by_ref(), ", ");
    let of_tap = tapped
        .and_then(|tap| tap.exciting.value())
        .map(Quantity::written);
    let resistance = core.resistance.value();
    let resistance = resistance.map(|at| format!("{} at {}", at.value.written(), at.at.written()));
    let hot = |tap: &Quantity| format!("{} at 75 \u{b0}C", tap.written());
    let of_tap_resistance = tapped.and_then(|tap| tap.resistance.value()).map(hot);
    let limited = |pair, text: String| sheet.limited_resistance(pair, text);
    let resistance = resistance.or(of_tap_resistance);
    let resistance = resistance.map(|text| limited(sheet.full(), text));
    let knee = core
        .knee
        .value()
        .or(tapped.and_then(|tap| tap.knee.value()));
    let class = core
        .class
        .value()
        .or(tapped.and_then(|tap| tap.class.value()));
    let class = joined([class.map(|class| class.text()), service], ", ");
    let full = vec![
        Some(format!("{}: {terminals}", core.name)),
        core.full_ratio().map(Ratio::text),
        Some(class).filter(|text| !text.is_empty()),
        sheet.burden_text(),
        knee.map(Quantity::written),
        Some(stated).filter(|text| !text.is_empty()).or(of_tap),
        resistance,
        sheet.winding.full().map(say::turns),
        job.in_service(sheet),
    ];
    let taps = core
        .taps
        .iter()
        .filter(|tap| (tap.from, tap.to) != sheet.full());
    let taps = taps.map(|tap| {
        let none = || Some("\u{2013}".to_owned());
        vec![
            Some(core.pair_text(tap.from, tap.to)),
            tap.ratio.value().copied().map(Ratio::text),
            tap.class.value().map(|class| class.text()).or(none()),
            tap.burden.value().map(burden_text).or(none()),
            tap.knee.value().map(Quantity::written).or(none()),
            tap.exciting.value().map(Quantity::written).or(none()),
            tap.resistance
                .value()
                .map(|ohm| limited((tap.from, tap.to), hot(ohm)))
                .or(none()),
            sheet.winding.turns(tap.from, tap.to).map(say::turns),
            none(),
        ]
    });
    std::iter::once(full).chain(taps).collect()
}

/// What the primary is, where that is not plain.
fn of_primary(wanted: Wanted<'_, '_>, job: &Job<'_>) -> Vec<Block> {
    let plate = &job.record.plate;
    let unit = Some(wanted.unit(job)).filter(|unit| !unit.is_empty());
    let unit = say::told(unit, |unit| format!("{unit}: "));
    let mut blocks = Vec::new();
    if let Some(foreign) = job.foreign_primary() {
        // A bushing that is mounted fills the window.
        let filled = if plate
            .bushing
            .value()
            .is_some_and(|what| what.contains("bushing"))
        {
            " Where the bushing is mounted and no lead goes through beside it, leave the readings at the primary blank, and write that down."
        } else {
            ""
        };
        let text = format!(
            "{unit}The primary is no part of the unit: {foreign}. No insulation tester and no high voltage on it; whoever owns it \
             isolates and earths it, at one side at most while testing. Polarity and ratio by voltage are read on a lead of your own through the window.{filled}"
        );
        blocks.push(Block::Caution(text.into()));
    }
    if job.cores.iter().any(|core| !core.core.inputs.is_empty()) {
        let text = format!(
            "{unit}A summation CT: each input hangs on the secondary of a main CT. Before an input is taken off, the main CT is dead, or its secondary \
             shorted on its own side and the short proven: opened under current it reaches a voltage that kills. No input is driven while the secondary is open: \
             then every open input carries that voltage too. Put each input back on its own main CT, the right way round."
        );
        blocks.push(Block::Caution(text.into()));
    }
    blocks.extend(of_feeder(job, &unit));
    let passes = job.record.passes_after(job.record.visits.len());
    if passes > 1.0 {
        let text = format!(
            "{unit}The cable passes the window {passes} times by the record: count them. The plate's ratio is for one pass; primary values on this sheet are for {passes}."
        );
        blocks.push(Block::paragraph(text));
    }
    let links = plate.links.iter().map(|link| &link.value);
    let links = joined(
        links.map(|(name, ratio)| Some(format!("{name} {}", ratio.text()))),
        ", ",
    );
    if !links.is_empty() {
        let text = format!(
            "{unit}Primary links: {links}. Position found: ________. Ratios on this sheet are those of the core's plate row."
        );
        blocks.push(Block::paragraph(text));
    }
    blocks
}

/// The primary of an interposing CT lies in the circuit of a main CT, which may be live.
fn of_feeder(job: &Job<'_>, unit: &str) -> Option<Block> {
    let place = job.record.place()?;
    let written = place.fed_by.value()?;
    let (core, main) = match &place.feeder {
        Some(feeder) => (feeder.text(), format!("the main CT {}", feeder.id)),
        None => (written.clone(), "that main CT".to_owned()),
    };
    let end = job.primary().1;
    let text = format!(
        "{unit}An interposing CT: its primary hangs on the secondary of a main CT, {core}. Before a lead of the primary is moved, {main} is dead, or that secondary \
         is shorted on its own side, ahead of the primary, and the short proven by measurement: opened under current it reaches a voltage that kills. \
         Part the primary from it behind the short; a main CT that is live keeps the one earth at its short. Any earth that its circuit still has on the primary comes off \
         before {end} is earthed: one earth at a time. Put the leads back the right way round and the earth where it was; the short comes off last. \
         Local rules and licensed practice decide."
    );
    Some(Block::Caution(text.into()))
}

/// The order of the work, with what a retest leaves out and why.
pub fn order(wanted: Wanted<'_, '_>) -> Vec<Block> {
    let names = |of: Vec<(&Job<'_>, &CoreSheet<'_>)>| {
        let mut names: Vec<String> = Vec::new();
        for (_, core) in of {
            if !names.contains(&core.core.name) {
                names.push(core.core.name.clone());
            }
        }
        names.join(", ")
    };
    let named = |what: &str, of: Vec<(&Job<'_>, &CoreSheet<'_>)>| {
        (!of.is_empty()).then(|| format!("{what}: {}", names(of)))
    };
    let before = |setup: &Setup| match setup {
        Setup::Winding => [named(KICK, kicked(wanted).collect()), None],
        Setup::Burden => [
            deciding::step(wanted),
            named(
                "Demagnetise, as left, while the links are open still",
                wanted.due(Step::Demagnetisation),
            ),
        ],
        _ => [None, None],
    };
    let of_setup = |setup: &Setup| {
        let steps = setup.steps().iter().copied();
        let is_due =
            |step: &Step| !wanted.due(*step).is_empty() || !wanted.due_on_primary(*step).is_empty();
        let steps: Vec<Step> = steps.filter(is_due).collect();
        let mut names: Vec<String> = Vec::new();
        for step in &steps {
            let primary = (!wanted.due_on_primary(*step).is_empty()).then(|| "primary".to_owned());
            let cores = wanted
                .due(*step)
                .into_iter()
                .map(|(_, core)| core.core.name.clone());
            for name in primary.into_iter().chain(cores) {
                if !names.contains(&name) {
                    names.push(name);
                }
            }
        }
        let own = (!steps.is_empty()).then(|| format!("{}: {}", title(&steps), names.join(", ")));
        before(setup).into_iter().chain([own]).flatten()
    };
    let (live, dead): (Vec<Setup>, Vec<Setup>) =
        Setup::VARIANTS.iter().partition(|setup| setup.is_live());
    let live: Vec<String> = live.iter().flat_map(of_setup).collect();
    let day = Day::of(wanted);
    let mut rows = list(day.first());
    rows.extend(dead.iter().flat_map(of_setup));
    if day != Day::Live {
        rows.extend(list(day.last()));
        if !live.is_empty() {
            rows.push(HANDED_BACK.to_owned());
            rows.extend(list(Day::Live.first()));
            rows.push(ENERGISED.to_owned());
        }
    }
    if !live.is_empty() {
        rows.extend(live);
        rows.extend(list(Day::Live.last()));
    }
    let mut blocks = vec![Block::heading(2, "Order of work")];
    let reasons = wanted.jobs.iter().map(|job| {
        let programme = &job.programme;
        (
            (programme.why.clone(), programme.open.clone()),
            wanted.unit(job),
        )
    });
    for ((why, open), units) in alike(reasons) {
        let Some(why) = why else { continue };
        let units = units
            .into_iter()
            .map(|unit| Some(unit).filter(|unit| !unit.is_empty()));
        let units = joined(units, ", ");
        let whose = if units.is_empty() {
            String::new()
        } else {
            format!("{units}: ")
        };
        blocks.push(Block::paragraph(format!("{whose}{why}")));
        if !open.is_empty() {
            blocks.push(Block::List(open.into_iter().map(Into::into).collect()));
        }
    }
    for job in wanted.jobs {
        let unit = wanted.unit(job);
        let whose = say::told(Some(unit).filter(|unit| !unit.is_empty()), |unit| {
            format!("{unit}: ")
        });
        let lines = job.programme.elsewhere.iter();
        blocks.extend(lines.map(|line| Block::paragraph(format!("{whose}{line}"))));
    }
    blocks.push(Block::Steps(rows.into_iter().map(Into::into).collect()));
    blocks.push(Block::Note(typed::how(day).into()));
    blocks
}

/// What is looked at before anything is touched.
pub const INSPECTED: &str = "rating plate | terminal box | insulators, housing | primary terminals | earth connection | oil, gas or sealing";

/// Inspection and the state as found, for every unit.
pub fn as_found(wanted: Wanted<'_, '_>) -> Vec<Block> {
    let jobs = wanted.jobs;
    let day = Day::of(wanted);
    if day == Day::Live {
        return Vec::new();
    }
    let items = list(INSPECTED);
    let serves = "may serve: yes or no, where the state is an objection";
    let what = match jobs {
        [_] => format!("Inspection; {serves}"),
        _ => format!("Inspection, the state of each unit; beside it {serves}"),
    };
    let inspected = typed::caption(&what, "inspection", &[], typed::INSPECTION);
    let inspection = match jobs {
        [_] => to_write(&inspected, typed::INSPECTION, items),
        _ => {
            let heads: Vec<String> = std::iter::once("item".to_owned())
                .chain(jobs.iter().map(|job| wanted.unit(job)))
                .collect();
            to_write(&inspected, &heads.join(" | "), items)
        }
    };
    let heads = wanted.by_core(typed::STATE);
    let cores = jobs.iter();
    let cores = cores.flat_map(|job| job.cores.iter().map(move |core| wanted.core(job, core)));
    let ends = jobs.iter().flat_map(|job| {
        let (first, second) = job.primary();
        let of = |end: &str| {
            let unit = Some(wanted.unit(job)).filter(|unit| !unit.is_empty());
            joined([unit, Some(end.to_owned())], ", ")
        };
        [of(first), of(second)]
    });
    let primary = jobs.first().map(|job| {
        let (first, second) = job.primary();
        format!("primary: {first} ______, {second} ______")
    });
    let keys = primary.as_deref().into_iter();
    let keys: Vec<&str> = keys.chain(super::left::links(wanted)).collect();
    let state = typed::caption("State as found", "state", &keys, typed::STATE);
    let found = to_write(&state, &heads, cores.collect());
    if day == Day::Circuits {
        return vec![Block::heading(2, "State as found"), found];
    }
    vec![
        Block::heading(2, "Inspection, state as found"),
        inspection,
        to_write(
            "Primary while testing: one earth at most",
            "end | open or earthed | where",
            ends.collect(),
        ),
        found,
    ]
}
