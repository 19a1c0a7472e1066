//! How circuits and unit are left: what is put back, counted, and looked at by a second person.

use super::cards::{self, Wanted};
use super::day::Day;
use super::job::Job;
use super::plan::Setup;
use super::sheet::{list, to_write};
use super::typed;
use crate::document::{Block, Cell, Table};
use crate::trade::Insulation;

/// The state as left and the restoration list, what is read on load behind them, and the signatures.
pub fn as_left(wanted: Wanted<'_, '_>) -> Vec<Block> {
    let heads = wanted.by_core(typed::RESTORED);
    let keys: Vec<&str> = links(wanted)
        .into_iter()
        .chain(["checked by: ______"])
        .collect();
    let state = typed::caption("State as left", "restored", &keys, typed::RESTORED);
    let cores = wanted.jobs.iter();
    let cores = cores.flat_map(|job| job.cores.iter().map(move |core| wanted.core(job, core)));
    let signs = list("tested by | checked by (second person)");
    let day = Day::of(wanted);
    let mut left = vec![Block::heading(2, "As left")];
    let load = cards::setup(wanted, Setup::OnLoad);
    let is_loaded = !load.is_empty();
    let mut blocks = Vec::new();
    // What is not opened is not restored.
    if day != Day::Live {
        left.push(to_write(&state, &heads, cores.collect()));
        left.push(restoration(wanted, day));
        if is_loaded {
            left.push(energised());
            let behind = vec![Block::heading(2, "As left behind the load")];
            blocks.push(Block::Group("card", std::mem::replace(&mut left, behind)));
        }
    }
    blocks.extend(load);
    if is_loaded {
        left.push(restoration(wanted, Day::Live));
    }
    left.extend([
        open_points(wanted),
        papers(wanted),
        to_write("Signatures", "role | name | date | signature", signs),
        Block::paragraph("A signed sheet is a record of work, never a clearance to energise."),
    ]);
    blocks.push(Block::Group("card", left));
    blocks
}

/// Between the restoration and what is read on load.
fn energised() -> Block {
    let rows = "primary energised by (day, time) | protection in service meanwhile | trips blocked, by whom, until";
    let caption = "Behind the permit's end, and by who decides that: energised for the load";
    to_write(caption, "what | written", list(rows))
}

/// The key of the primary links, where any can stand otherwise.
pub fn links(wanted: Wanted<'_, '_>) -> Option<&'static str> {
    let mut jobs = wanted.jobs.iter();
    let any = jobs.any(|job| job.record.plate.links.len() > 1);
    any.then_some("primary links: ______")
}

/// What is put back, each unit with its own column where there are several.
fn restoration(wanted: Wanted<'_, '_>, day: Day) -> Block {
    let mut rows: Vec<String> = Vec::new();
    for row in wanted.jobs.iter().flat_map(|job| to_restore(job, day)) {
        if !rows.contains(&row) {
            rows.push(row);
        }
    }
    let units = match wanted.jobs {
        [_] => vec!["done by".to_owned()],
        jobs => jobs.iter().map(|job| wanted.unit(job)).collect(),
    };
    let heads = std::iter::once("what".to_owned()).chain(units);
    let heads: Vec<String> = heads.chain(["checked by".to_owned()]).collect();
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    Block::Table(Table::blank(&heads, rows).captioned("Restoration list"))
}

/// What is left to do behind the day.
fn open_points(wanted: Wanted<'_, '_>) -> Block {
    let caption = "Open points: write down; typed as action: number what; who; by (a day, as 2026-06-01); what is only to be kept, as note: what";
    for_the_pen(wanted, caption, "number | what | who | by")
}

/// Photos, oscillograms and certificates that were taken or handed over.
fn papers(wanted: Wanted<'_, '_>) -> Block {
    let caption = typed::caption("Photos and files", "attachments", &[], typed::ATTACHMENTS);
    for_the_pen(wanted, &caption, typed::ATTACHMENTS)
}

/// Lines that only the day knows, each of a set with the unit that it is of.
fn for_the_pen(wanted: Wanted<'_, '_>, caption: &str, heads: &str) -> Block {
    let unit = wanted.is_set().then_some("unit");
    let heads: Vec<&str> = unit.into_iter().chain(typed::heads(heads)).collect();
    let row = || vec![Cell::Blank; heads.len()];
    let rows = std::iter::repeat_with(row).take(3).collect();
    Block::Table(Table::grid(&heads, rows).captioned(caption))
}

/// The end of a day on a dead primary.
const HANDED_BACK: &str =
    "permit handed back, before the primary is energised; day, time: ________________";

fn to_restore(job: &Job<'_>, day: Day) -> Vec<String> {
    let of_day: &[&str] = match day {
        Day::Tests => return after_tests(job),
        Day::AtMaker => &[
            "demagnetised last, behind every direct current and every trip of the source",
            "test leads off every terminal",
            "secondaries shorted for the way, or as the order has it",
            "links of the primary as ordered; terminals tight, covers closed",
            "earths of the tests off; the instrument's earth off last",
        ],
        Day::Circuits => &[
            "test leads off every circuit",
            "one earth on each circuit, counted; the earth that was lifted is back",
            "every test block and link as it is to serve, its mark read aloud; shorts on the CT side taken off",
            "unused cores: full winding shorted and earthed at one point",
            "earths of the primary as found",
            "trips restored, control room told: behind everything above",
            "the instrument's earth off last",
            HANDED_BACK,
        ],
        Day::Live => &[
            "test plugs and clamps off, covers on",
            "every trip that was blocked back in service",
            "control room told",
        ],
    };
    of_day.iter().map(|row| (*row).to_owned()).collect()
}

fn after_tests(job: &Job<'_>) -> Vec<String> {
    let has_taps = job.cores.iter().any(|core| core.core.last_mark() > 1);
    let open_taps = "unused taps of a core in service: open and insulated, never shorted";
    let of_oil = match job.record.plate.insulation.value() {
        _ if job.foreign_primary().is_some() => None,
        Some(Insulation::OilAndPaper) => Some(""),
        None | Some(Insulation::Unknown) => Some(", where it holds oil"),
        Some(Insulation::CastResin | Insulation::Gas | Insulation::Dry) => None,
    };
    let oil = of_oil.map(|doubt| {
        [
            format!("oil level read, no leak{doubt}"),
            format!("test tap of the insulation earthed again, its cap tight{doubt}"),
        ]
    });
    let (first, second) = job.primary();
    let always = |text: &str| Some(text.to_owned());
    let rows = [
        always(
            "demagnetised last, behind every direct current and every trip of the source, before a link was closed",
        ),
        always("test leads off every secondary"),
        has_taps.then(|| open_taps.to_owned()),
        always("unused cores: full winding shorted and earthed at one point"),
        always("one earth on each circuit, counted; the earth that was lifted is back"),
        always(
            "links closed; shorts on the CT side taken off; circuit whole, proven before the primary is closed",
        ),
        match job.foreign_primary() {
            Some(foreign) => Some(format!("{foreign}: as found, owner told")),
            None => Some(format!(
                "earths of the primary as found ({first}, {second}); connections tight"
            )),
        },
    ];
    let last = [
        "covers closed, seals put back, numbers: ________",
        "trips restored, control room told: behind everything above",
        "the instrument's earth off last",
        HANDED_BACK,
    ];
    let rows = rows.into_iter().flatten().chain(oil.into_iter().flatten());
    rows.chain(last.map(str::to_owned)).collect()
}
