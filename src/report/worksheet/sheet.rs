//! The sheet of one unit, put together in the order of the work.

use super::blanks::{blanks, insulation, other_pairs, steepest};
use super::cautions::CAUTIONS;
use super::connect::{connection, kick, primary_insulation};
use super::document::{Block, Cell, Document, Table};
use super::job::Job;
use super::plan::{self, Step};
use super::plate::CoreSheet;
use super::stop;
use crate::record::plate::Plate;

/// The whole sheet; `only` names the one core that is wanted.
pub fn sheet(job: &Job<'_>, only: Option<&str>, told: &[String]) -> Document {
    let mut blocks = Vec::new();
    if !told.is_empty() {
        blocks.push(Block::Caution(told.to_vec()));
    }
    blocks.push(Block::Heading(2, "Before anything else".to_owned()));
    blocks.push(Block::List {
        numbered: true,
        items: CAUTIONS.iter().map(|line| (*line).to_owned()).collect(),
    });
    blocks.push(Block::Table(permit(job)));
    blocks.push(Block::Page);
    plate(job, &mut blocks);
    order(job, only, &mut blocks);
    as_found(job, &mut blocks);
    for step in Step::ALL {
        let cores: Vec<&CoreSheet<'_>> = chosen(job, only, *step);
        if !cores.is_empty() {
            blocks.push(Block::Heading(2, step.name().to_owned()));
            blocks.push(Block::Caution(vec![step_caution(*step).to_owned()]));
            step_cards(job, *step, &cores, &mut blocks);
        }
    }
    restored(job, &mut blocks);
    let place = job
        .record
        .place()
        .map(crate::record::place::Place::text)
        .filter(|text| !text.is_empty());
    let under = [
        place,
        Some(format!("{} visit", job.purpose)),
        Some(format!("values for {} \u{b0}C", job.celsius)),
    ];
    Document {
        title: format!("Worksheet: {}", job.record.plate.id_text()),
        under: under
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join(" \u{b7} "),
        blocks,
    }
}

/// The cores on which a step is due, as far as they are wanted.
fn chosen<'j, 'a>(job: &'j Job<'a>, only: Option<&str>, step: Step) -> Vec<&'j CoreSheet<'a>> {
    let due = plan::cores(job.record, job.purpose, step);
    let wanted = |core: &&CoreSheet<'_>| {
        due.contains(&core.index) && only.is_none_or(|name| core.core.name == name)
    };
    job.cores.iter().filter(wanted).collect()
}

/// Permit, earths, people, instruments: blanks, and no word about them.
pub fn permit(job: &Job<'_>) -> Table {
    let (first, second) = job.primary();
    let rows = [
        "date".to_owned(),
        "tested by".to_owned(),
        "permit, sanction".to_owned(),
        "isolated at".to_owned(),
        "earths applied at".to_owned(),
        format!("earth lifted for the tests ({first} or {second})"),
        "ambient/C, humidity/%".to_owned(),
        "instruments, calibrated until".to_owned(),
        "leads".to_owned(),
    ];
    Table::blank("To fill in on site", &["what", "written"], rows)
}

fn plate(job: &Job<'_>, blocks: &mut Vec<Block>) {
    blocks.push(Block::Heading(2, "Rating plate".to_owned()));
    blocks.push(Block::Table(Table::facts(
        "The unit, as recorded; compare with the plate",
        unit_facts(&job.record.plate),
    )));
    let row = |core: &CoreSheet<'_>| {
        let turning = core.turning.map(stop::turning_text).unwrap_or_default();
        vec![
            Cell::told(&core.core.name),
            Cell::told(core.core.marks.join(" ")),
            Cell::told(core.summary()),
            Cell::told(turning),
            Cell::told(service(job, core)),
            Cell::Blank,
        ]
    };
    let head = [
        "core",
        "terminals",
        "plate",
        "e.m.f. that the plate fixes",
        "tap in service",
        "plate agrees",
    ];
    blocks.push(Block::Table(Table {
        caption: "Cores".to_owned(),
        head: head.iter().map(|word| (*word).to_owned()).collect(),
        rows: job.cores.iter().map(row).collect(),
    }));
    if let Some(passes) = job
        .record
        .plate
        .passes
        .value()
        .filter(|passes| **passes > 1.0)
    {
        let text = format!(
            "The cable passes the window {passes} times by the record: count them. The plate's ratio is for one pass; primary values on this sheet are for {passes}."
        );
        blocks.push(Block::Text(text));
    }
    let links = job
        .record
        .plate
        .links
        .iter()
        .map(|link| format!("{} {}", link.value.0, link.value.1.text()))
        .collect::<Vec<_>>();
    if !links.is_empty() {
        let text = format!(
            "Primary links: {}. Position found: ________. Ratios on this sheet are those of the core's plate row.",
            links.join(", ")
        );
        blocks.push(Block::Text(text));
    }
}

fn unit_facts(plate: &Plate) -> Vec<(String, String)> {
    let text = |value: Option<&String>| value.cloned().unwrap_or_default();
    let quantity = |value: Option<&crate::ground::quantity::Quantity>| {
        value
            .map(crate::ground::quantity::Quantity::written)
            .unwrap_or_default()
    };
    let rows = [
        ("maker", text(plate.maker.value())),
        ("type", text(plate.kind.value())),
        ("serial", text(plate.serial.value())),
        (
            "standard",
            plate
                .standard
                .value()
                .map(|standard| standard.text.clone())
                .unwrap_or_default(),
        ),
        ("highest voltage", quantity(plate.highest_voltage.value())),
        ("frequency", quantity(plate.frequency.value())),
    ];
    rows.into_iter()
        .filter(|(_, value)| !value.is_empty())
        .map(|(key, value)| (key.to_owned(), value))
        .collect()
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

fn order(job: &Job<'_>, only: Option<&str>, blocks: &mut Vec<Block>) {
    blocks.push(Block::Heading(2, "Order of work".to_owned()));
    let mut rows = vec![
        "Inspection and state as found".to_owned(),
        "Self-check of the instrument, leads".to_owned(),
    ];
    for step in Step::ALL {
        let cores: Vec<String> = chosen(job, only, *step)
            .iter()
            .map(|core| core.core.name.clone())
            .collect();
        if !cores.is_empty() {
            rows.push(format!("{}: {}", step.name(), cores.join(", ")));
        }
    }
    rows.push(
        "Demagnetise again if anything with direct current came after, or the source tripped"
            .to_owned(),
    );
    rows.push("Restore; second signature".to_owned());
    blocks.push(Block::List {
        numbered: true,
        items: rows,
    });
}

fn as_found(job: &Job<'_>, blocks: &mut Vec<Block>) {
    blocks.push(Block::Heading(
        2,
        "Inspection, state as found, self-check".to_owned(),
    ));
    let items = [
        "rating plate",
        "terminal box",
        "insulators, housing",
        "primary terminals",
        "earth connection",
        "",
    ];
    blocks.push(Block::Table(Table::blank(
        "Inspection",
        &["item", "state", "remark"],
        items.map(str::to_owned),
    )));
    let names = || job.cores.iter().map(|core| core.core.name.clone());
    let (first, second) = job.primary();
    let head = [
        "core",
        "tap in service",
        "earth at",
        "star point",
        "links",
        "remark",
    ];
    blocks.push(Block::Table(Table::blank("State as found", &head, names())));
    let primary = [first.to_owned(), second.to_owned()];
    blocks.push(Block::Table(Table::blank(
        "Primary while testing",
        &["end", "open or earthed", "where"],
        primary,
    )));
    let check = [
        "both inputs on one source, ratio of 1 (four decimals)",
        "leads: clips shorted together, resistance/ohm",
    ];
    blocks.push(Block::Table(Table::blank(
        "Self-check of the instrument",
        &["what", "reading"],
        check.map(str::to_owned),
    )));
}

/// What can hurt in a step.
pub fn step_caution(step: Step) -> &'static str {
    match step {
        Step::Insulation => {
            "Direct voltage and stored charge: discharge before every change of leads."
        }
        Step::Resistance => {
            "An interrupted direct current throws a dangerous voltage across the winding: run it down first."
        }
        Step::Demagnetisation | Step::Excitation => {
            "Every open terminal of the winding is live while the source is on. Keep clear, and put a barrier up."
        }
        Step::Ratio => {
            "The whole winding is live while the source is on, and the primary carries the induced voltage."
        }
        Step::RatioByCurrent => {
            "The secondary carries current: it is never opened while the primary is driven."
        }
        Step::Burden => {
            "If the primary can carry current, the CT side is shorted, and the short proven, before a link is opened."
        }
    }
}

fn step_cards(job: &Job<'_>, step: Step, cores: &[&CoreSheet<'_>], blocks: &mut Vec<Block>) {
    if step == Step::Insulation
        && let Some(connected) = primary_insulation(job)
    {
        blocks.push(Block::Card(vec![
            connected,
            Block::Table(insulation(
                "primary to cores and earth",
                &["15", "60", "600"],
            )),
        ]));
    }
    for core in cores {
        let mut card = vec![Block::Heading(
            3,
            format!("Core {}: {}", core.core.name, core.summary()),
        )];
        card.push(connection(job, core, step));
        card.extend(blanks(job, core, step).into_iter().map(Block::Table));
        if step == Step::Excitation {
            card.extend(other_pairs(core).map(Block::Table));
            card.extend(steepest(core).map(Block::Text));
        }
        blocks.push(Block::Card(card));
    }
    if step == Step::Ratio && plan::polarity(job.record, job.purpose) {
        kick_card(job, cores, blocks);
    }
    if step == Step::Excitation {
        let text = "A curve that ends below the point marked \"limit\" shows neither that the class is met nor that it is not: write down where the source ended.";
        blocks.push(Block::Text(text.to_owned()));
    }
    let source = sources(job, step, cores);
    if !source.is_empty() {
        blocks.push(Block::Text(source));
    }
}

fn kick_card(job: &Job<'_>, cores: &[&CoreSheet<'_>], blocks: &mut Vec<Block>) {
    let Some(connected) = kick(job, cores) else {
        return;
    };
    let names = cores.iter().map(|core| core.pair(core.full()));
    let table = Table::blank(
        "Polarity: write down",
        &["pair", "deflection on make", "remark"],
        names,
    );
    let heading = Block::Heading(
        3,
        "Polarity by a kick, where the ratio test shows no phase".to_owned(),
    );
    blocks.push(Block::Card(vec![heading, connected, Block::Table(table)]));
}

/// Where the expected values of a step come from.
fn sources(job: &Job<'_>, step: Step, cores: &[&CoreSheet<'_>]) -> String {
    let mut lines: Vec<String> = match step {
        Step::Resistance => cores
            .iter()
            .filter_map(|core| core.metal)
            .map(|row| {
                format!(
                    "temperature constant {} \u{b0}C: {}",
                    row.k,
                    row.cited.line()
                )
            })
            .collect(),
        Step::Ratio => cores
            .iter()
            .filter_map(|core| core.turns_tolerance(job.criteria))
            .map(|(_, whose)| whose)
            .collect(),
        Step::Excitation => cores
            .iter()
            .filter_map(|core| core.turning)
            .map(|turning| stop::source(turning.basis).to_owned())
            .collect(),
        Step::RatioByCurrent => cores
            .iter()
            .filter_map(|core| stop::currents_source(core))
            .collect(),
        Step::Burden => cores
            .iter()
            .filter_map(|core| stop::burden_source(core))
            .collect(),
        Step::Insulation | Step::Demagnetisation => Vec::new(),
    };
    lines.sort();
    lines.dedup();
    if lines.is_empty() {
        String::new()
    } else {
        format!("Sources of the expected values: {}.", lines.join("; "))
    }
}

fn restored(job: &Job<'_>, blocks: &mut Vec<Block>) {
    blocks.push(Block::Heading(2, "Restored".to_owned()));
    let names = job.cores.iter().map(|core| core.core.name.clone());
    let head = [
        "core",
        "tap in service",
        "links",
        "earth at",
        "earths counted",
        "tap leads tight",
    ];
    blocks.push(Block::Table(Table::blank("As left", &head, names)));
    blocks.extend(closing());
}

/// Restoration list and signatures.
pub fn closing() -> [Block; 3] {
    let done = [
        "demagnetised last",
        "shorts on spare cores back",
        "primary earths as before",
        "instrument's earth off last",
        "covers closed",
    ];
    let signs = ["tested by", "checked by (second person)"];
    [
        Block::Table(Table::blank(
            "Restoration list",
            &["what", "done by", "checked by"],
            done.map(str::to_owned),
        )),
        Block::Table(Table::blank(
            "Signatures",
            &["role", "name", "date", "signature"],
            signs.map(str::to_owned),
        )),
        Block::Text(
            "A signed sheet is a record of work, never a clearance to energise.".to_owned(),
        ),
    ]
}
