//! The sheet of one unit, put together in the order of the work.

use super::blanks::{self, blank, other_pairs, steepest};
use super::cautions::CAUTIONS;
use super::connect::{connection, kick, primary};
use super::job::Job;
use super::plan::Step;
use super::plate::CoreSheet;
use super::{say, stop};
use crate::document::{Block, Cell, Table, joined};
use crate::ground::quantity::Quantity;
use crate::record::place::Place;
use crate::record::plate::Plate;
use crate::standards::threshold;
use std::collections::BTreeSet;
use strum::VariantArray;

/// A sheet before it is printed: its parts, as its template names them.
pub struct Sheet {
    pub title: String,
    /// Small print under the title.
    pub under: String,
    pub parts: [(&'static str, Vec<Block>); 6],
}

/// The whole sheet; `only` names the one core that is wanted.
pub fn sheet(job: &Job<'_>, only: Option<&str>, told: &[String]) -> Sheet {
    let mut tests = Vec::new();
    for step in Step::VARIANTS {
        let cores = chosen(job, only, *step);
        if !cores.is_empty() || of_primary(job, only, *step) {
            tests.push(Block::heading(2, step.name()));
            tests.push(Block::Caution(step.caution().into()));
            step_cards(job, *step, &cores, &mut tests);
        }
    }
    let mut first = cautions(told);
    first.push(permit(job));
    first.push(Block::NewPage);
    let place = job.record.place().map(Place::text);
    let under = [
        place.filter(|text| !text.is_empty()),
        Some(format!("{} visit", job.purpose)),
        Some(format!("values for {} \u{b0}C", job.celsius)),
    ];
    let names = || {
        job.cores
            .iter()
            .map(|core| core.core.name.clone())
            .collect()
    };
    Sheet {
        title: format!("Worksheet: {}", job.record.plate.id_text()),
        under: joined(under, " \u{b7} "),
        parts: [
            ("cautions", first),
            ("plate", plate(job)),
            ("order", order(job, only)),
            ("as_found", as_found(job, names())),
            ("tests", tests),
            ("as_left", as_left("core", names())),
        ],
    }
}

/// A table with named rows to write into; `heads` are parted by ` | `.
pub fn to_write(caption: &str, heads: &str, names: Vec<String>) -> Block {
    let heads: Vec<&str> = heads.split(" | ").collect();
    Block::Table(Table::blank(&heads, names).captioned(caption))
}

/// Names that are parted by ` | `.
fn list(names: &str) -> Vec<String> {
    names.split(" | ").map(str::to_owned).collect()
}

/// What is said before anything else, on page one.
pub fn cautions(told: &[String]) -> Vec<Block> {
    let mut blocks: Vec<Block> = told.iter().map(|one| Block::Caution(one.into())).collect();
    blocks.push(Block::heading(2, "Before anything else"));
    blocks.push(Block::Steps(
        CAUTIONS.iter().map(|line| (*line).into()).collect(),
    ));
    blocks
}

/// The cores on which a step is due, as far as they are wanted.
fn chosen<'j, 'a>(job: &'j Job<'a>, only: Option<&str>, step: Step) -> Vec<&'j CoreSheet<'a>> {
    let mut due = job.due(step);
    due.retain(|core| only.is_none_or(|name| core.core.name == name));
    due
}

/// Whether a step is due on the primary, which a sheet of one core leaves out where nothing of it is due on
/// the core.
fn of_primary(job: &Job<'_>, only: Option<&str>, step: Step) -> bool {
    only.is_none() && job.due_on_primary(step)
}

/// Permit, earths, people, instruments: blanks, and no word about them.
pub fn permit(job: &Job<'_>) -> Block {
    let (first, second) = job.primary();
    let rows = format!(
        "date | tested by | permit, sanction | isolated at | earths applied at | earth lifted for the tests ({first} or {second}) | \
         ambient/C, humidity/% | instruments, calibrated until | leads"
    );
    to_write("To fill in on site", "what | written", list(&rows))
}

fn plate(job: &Job<'_>) -> Vec<Block> {
    let unit = Table::facts(unit_facts(&job.record.plate));
    let unit = unit.captioned("The unit, as recorded; compare with the plate");
    let mut blocks = vec![Block::heading(2, "Rating plate"), Block::Table(unit)];
    let row = |core: &CoreSheet<'_>| {
        vec![
            Cell::from(&core.core.name),
            core.core.marks.join(" ").into(),
            core.summary().into(),
            say::told(core.turning, stop::turning_text).into(),
            service(job, core).into(),
            Cell::Blank,
        ]
    };
    let head = [
        "core",
        "terminals",
        "plate",
        "e.m.f. from the rating plate",
        "tap in service",
        "plate agrees",
    ];
    let cores = Table::grid(&head, job.cores.iter().map(row).collect());
    blocks.push(Block::Table(cores.captioned("Cores")));
    let plate = &job.record.plate;
    if let Some(passes) = plate.passes.value().filter(|passes| **passes > 1.0) {
        let text = format!(
            "The cable passes the window {passes} times by the record: count them. The plate's ratio is for one pass; primary values on this sheet are for {passes}."
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
            "Primary links: {links}. Position found: ________. Ratios on this sheet are those of the core's plate row."
        );
        blocks.push(Block::paragraph(text));
    }
    blocks
}

fn unit_facts(plate: &Plate) -> impl Iterator<Item = (&'static str, String)> {
    let standard = plate.standard.value().map(|standard| &standard.text);
    let rows = [
        ("manufacturer", plate.maker.value().cloned()),
        ("type", plate.kind.value().cloned()),
        ("serial", plate.serial.value().cloned()),
        ("standard", standard.cloned()),
        (
            "highest voltage",
            plate.highest_voltage.value().map(Quantity::written),
        ),
        ("frequency", plate.frequency.value().map(Quantity::written)),
    ];
    let known = rows
        .into_iter()
        .filter_map(|(key, value)| Some((key, value?)));
    known.filter(|(_, value)| !value.is_empty())
}

/// The last known tap in service, from the duty; the one found on the day is written beside it.
fn service(job: &Job<'_>, core: &CoreSheet<'_>) -> String {
    let tap = job
        .record
        .duties
        .iter()
        .rev()
        .find(|duty| duty.core == core.index)
        .and_then(|duty| duty.tap);
    match tap {
        Some(tap) => job.record.pair_text(tap.value),
        None if core.core.marks.len() == 2 => core.pair(core.full()),
        None => String::new(),
    }
}

fn order(job: &Job<'_>, only: Option<&str>) -> Vec<Block> {
    let steps = Step::VARIANTS.iter().filter_map(|step| {
        let cores = chosen(job, only, *step);
        let names = cores.iter().map(|core| core.core.name.clone());
        let primary = of_primary(job, only, *step) && cores.is_empty();
        let names = names.chain(primary.then(|| "primary".to_owned()));
        let names: Vec<String> = names.collect();
        (!names.is_empty()).then(|| format!("{}: {}", step.name(), names.join(", ")))
    });
    let first = "Inspection and state as found | Self-check of the instrument, leads";
    let last = "Demagnetise again if anything with direct current came after, or the source tripped | Restore; second signature";
    let rows = list(first).into_iter().chain(steps).chain(list(last));
    let mut blocks = vec![Block::heading(2, "Order of work")];
    blocks.extend(job.programme.why.clone().map(Block::paragraph));
    blocks.push(Block::Steps(rows.map(Into::into).collect()));
    blocks
}

fn as_found(job: &Job<'_>, names: Vec<String>) -> Vec<Block> {
    let items = "rating plate | terminal box | insulators, housing | primary terminals | earth connection | ";
    let (first, second) = job.primary();
    let ends = vec![first.to_owned(), second.to_owned()];
    let state = "end | open or earthed | where";
    vec![
        Block::heading(2, "Inspection, state as found, self-check"),
        to_write("Inspection", "item | state | remark", list(items)),
        state_as_found("core", names),
        to_write("Primary while testing", state, ends),
        self_check(),
    ]
}

/// Room for the state in which each core was found; `what` heads the names.
pub fn state_as_found(what: &str, names: Vec<String>) -> Block {
    let heads =
        format!("{what} | tap in service | earth at | star point | links | secondary | remark");
    to_write("State as found", &heads, names)
}

/// Room for the check of the instrument on itself.
pub fn self_check() -> Block {
    let check = "both inputs on one source, ratio of 1 (four decimals) | leads: clips shorted together, resistance/ohm";
    let caption = "Self-check of the instrument";
    to_write(caption, "what | reading", list(check))
}

fn step_cards(job: &Job<'_>, step: Step, cores: &[&CoreSheet<'_>], blocks: &mut Vec<Block>) {
    if job.due_on_primary(step)
        && let Some((connected, table)) = primary(job, step).zip(blanks::primary(step))
    {
        blocks.push(Block::Group("card", vec![connected, Block::Table(table)]));
    }
    for core in cores {
        let heading = format!("Core {}: {}", core.core.name, core.summary());
        let mut card = vec![Block::heading(3, heading)];
        card.push(connection(job, core, step));
        card.push(Block::Table(blank(job, core, step)));
        if step == Step::Excitation {
            card.extend(other_pairs(core).map(Block::Table));
            card.extend(steepest(core).map(Block::paragraph));
        }
        blocks.push(Block::Group("card", card));
    }
    if step == Step::Ratio {
        let asks = |core: &&&CoreSheet<'_>| job.programme.asks_polarity(core.index);
        let cores: Vec<&CoreSheet<'_>> = cores.iter().filter(asks).copied().collect();
        blocks.extend(kick_card(job, &cores));
    }
    if step == Step::Excitation {
        let text = "A curve that ends below the point marked \"limit\" shows neither that the class is met nor that it is not: write down where the source ended.";
        blocks.push(Block::paragraph(text));
    }
    let source = sources(job, step, cores);
    if !source.is_empty() {
        blocks.push(Block::paragraph(source));
    }
}

fn kick_card(job: &Job<'_>, cores: &[&CoreSheet<'_>]) -> Option<Block> {
    let connected = kick(job, cores)?;
    let names = cores.iter().map(|core| core.pair(core.full())).collect();
    let heads = "pair | deflection on make | remark";
    let heading = "Polarity by d.c. kick (battery) test, where the ratio test shows no phase";
    let card = vec![
        Block::heading(3, heading),
        connected,
        to_write("Polarity: write down", heads, names),
    ];
    Some(Block::Group("card", card))
}

/// Where the expected values of a step come from.
fn sources(job: &Job<'_>, step: Step, cores: &[&CoreSheet<'_>]) -> String {
    let source = |core: &&CoreSheet<'_>| match step {
        Step::Resistance => core.metal.map(|row| {
            let cited = row.cited.line();
            format!("temperature constant {} \u{b0}C: {cited}", row.k)
        }),
        Step::Ratio => core.turns_tolerance(job.criteria).map(|(_, whose)| whose),
        Step::Excitation => {
            let source = core.turning.map(|turning| stop::basis(turning.basis).1);
            source.map(str::to_owned)
        }
        Step::RatioByCurrent => {
            let currents = stop::currents(job, core);
            currents.into_iter().next().map(|first| first.source)
        }
        Step::Burden => stop::burden_source(core),
        Step::Withstand => stop::withstand(job, false).map(|(_, source)| source),
        Step::InterTurn => threshold("iec-inter-turn").map(|row| row.cited.line()),
        Step::Insulation | Step::PartialDischarge | Step::Demagnetisation | Step::Remanence => None,
    };
    let of_primary = stop::withstand(job, true).filter(|_| step == Step::Withstand);
    let of_primary = of_primary.map(|(_, source)| source);
    let lines: BTreeSet<String> = cores.iter().filter_map(source).chain(of_primary).collect();
    if lines.is_empty() {
        return String::new();
    }
    let lines = joined(lines.into_iter().map(Some), "; ");
    format!("Sources of the expected values: {lines}.")
}

/// The state as left, the restoration list and the signatures; `what` heads the names of the cores.
pub fn as_left(what: &str, names: Vec<String>) -> Vec<Block> {
    let heads = format!(
        "{what} | tap in service | links | secondary | earth at | earths counted | connections tight"
    );
    let done = "demagnetised last | shorts on spare cores back | primary earths as before | instrument's earth off last | covers closed";
    let by = "what | done by | checked by";
    let signs = list("tested by | checked by (second person)");
    vec![
        Block::heading(2, "As left"),
        to_write("State as left", &heads, names),
        to_write("Restoration list", by, list(done)),
        to_write("Signatures", "role | name | date | signature", signs),
        Block::paragraph("A signed sheet is a record of work, never a clearance to energise."),
    ]
}
