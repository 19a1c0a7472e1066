//! The sheet of one unit, put together in the order of the work.

use super::blanks::{blanks, insulation, other_pairs, steepest};
use super::cautions::CAUTIONS;
use super::connect::{connection, kick, primary_insulation};
use super::job::Job;
use super::plan::{self, Step};
use super::plate::CoreSheet;
use super::stop;
use crate::document::{Block, Cell, Table, joined};
use crate::record::plate::Plate;

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
    for step in Step::ALL {
        let cores: Vec<&CoreSheet<'_>> = chosen(job, only, *step);
        if !cores.is_empty() {
            tests.push(Block::heading(2, step.name()));
            tests.push(Block::Caution(step_caution(*step).into()));
            step_cards(job, *step, &cores, &mut tests);
        }
    }
    let mut first = cautions(told);
    first.push(Block::Table(permit(job)));
    first.push(Block::NewPage);
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
    Sheet {
        title: format!("Worksheet: {}", job.record.plate.id_text()),
        under: joined(under, " \u{b7} "),
        parts: [
            ("cautions", first),
            ("plate", plate(job)),
            ("order", order(job, only)),
            ("as_found", as_found(job)),
            ("tests", tests),
            ("as_left", as_left(job)),
        ],
    }
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
    Table::blank(&["what", "written"], rows).captioned("To fill in on site")
}

fn plate(job: &Job<'_>) -> Vec<Block> {
    let unit = Table::facts(unit_facts(&job.record.plate));
    let unit = unit.captioned("The unit, as recorded; compare with the plate");
    let mut blocks = vec![Block::heading(2, "Rating plate"), Block::Table(unit)];
    let row = |core: &CoreSheet<'_>| {
        let turning = core.turning.map(stop::turning_text).unwrap_or_default();
        vec![
            Cell::from(&core.core.name),
            core.core.marks.join(" ").into(),
            core.summary().into(),
            turning.into(),
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
        blocks.push(Block::paragraph(text));
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
        blocks.push(Block::paragraph(text));
    }
    blocks
}

fn unit_facts(plate: &Plate) -> Vec<(String, String)> {
    let text = |value: Option<&String>| value.cloned().unwrap_or_default();
    let quantity = |value: Option<&crate::ground::quantity::Quantity>| {
        value
            .map(crate::ground::quantity::Quantity::written)
            .unwrap_or_default()
    };
    let rows = [
        ("manufacturer", text(plate.maker.value())),
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

fn order(job: &Job<'_>, only: Option<&str>) -> Vec<Block> {
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
    vec![
        Block::heading(2, "Order of work"),
        Block::Steps(rows.into_iter().map(Into::into).collect()),
    ]
}

fn as_found(job: &Job<'_>) -> Vec<Block> {
    let items = [
        "rating plate",
        "terminal box",
        "insulators, housing",
        "primary terminals",
        "earth connection",
        "",
    ];
    let inspection = Table::blank(&["item", "state", "remark"], items.map(str::to_owned));
    let names = job.cores.iter().map(|core| core.core.name.clone());
    let (first, second) = job.primary();
    let head = [
        "core",
        "tap in service",
        "earth at",
        "star point",
        "links",
        "remark",
    ];
    let ends = [first.to_owned(), second.to_owned()];
    let primary = Table::blank(&["end", "open or earthed", "where"], ends);
    vec![
        Block::heading(2, "Inspection, state as found, self-check"),
        Block::Table(inspection.captioned("Inspection")),
        Block::Table(Table::blank(&head, names).captioned("State as found")),
        Block::Table(primary.captioned("Primary while testing")),
        Block::Table(self_check()),
    ]
}

/// Room for the check of the instrument on itself.
pub fn self_check() -> Table {
    let check = [
        "both inputs on one source, ratio of 1 (four decimals)",
        "leads: clips shorted together, resistance/ohm",
    ];
    let table = Table::blank(&["what", "reading"], check.map(str::to_owned));
    table.captioned("Self-check of the instrument")
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
        let table = insulation("primary to cores and earth", &["15", "60", "600"]);
        blocks.push(Block::Group("card", vec![connected, Block::Table(table)]));
    }
    for core in cores {
        let heading = format!("Core {}: {}", core.core.name, core.summary());
        let mut card = vec![Block::heading(3, heading)];
        card.push(connection(job, core, step));
        card.extend(blanks(job, core, step).into_iter().map(Block::Table));
        if step == Step::Excitation {
            card.extend(other_pairs(core).map(Block::Table));
            card.extend(steepest(core).map(Block::paragraph));
        }
        blocks.push(Block::Group("card", card));
    }
    if step == Step::Ratio && plan::polarity(job.record, job.purpose) {
        kick_card(job, cores, blocks);
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

fn kick_card(job: &Job<'_>, cores: &[&CoreSheet<'_>], blocks: &mut Vec<Block>) {
    let Some(connected) = kick(job, cores) else {
        return;
    };
    let names = cores.iter().map(|core| core.pair(core.full()));
    let table = Table::blank(&["pair", "deflection on make", "remark"], names);
    let heading = "Polarity by d.c. kick (battery) test, where the ratio test shows no phase";
    let card = vec![
        Block::heading(3, heading),
        connected,
        Block::Table(table.captioned("Polarity: write down")),
    ];
    blocks.push(Block::Group("card", card));
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

/// The headings of the table of what was left.
pub const LEFT: [&str; 6] = [
    "core",
    "tap in service",
    "links",
    "earth at",
    "earths counted",
    "connections tight",
];

fn as_left(job: &Job<'_>) -> Vec<Block> {
    let names = job.cores.iter().map(|core| core.core.name.clone());
    closing(Table::blank(&LEFT, names))
}

/// The state as left, the restoration list and the signatures.
pub fn closing(left: Table) -> Vec<Block> {
    let done = [
        "demagnetised last",
        "shorts on spare cores back",
        "primary earths as before",
        "instrument's earth off last",
        "covers closed",
    ];
    let done = Table::blank(&["what", "done by", "checked by"], done.map(str::to_owned));
    let signs = ["tested by", "checked by (second person)"];
    let signs = Table::blank(
        &["role", "name", "date", "signature"],
        signs.map(str::to_owned),
    );
    vec![
        Block::heading(2, "As left"),
        Block::Table(left.captioned("State as left")),
        Block::Table(done.captioned("Restoration list")),
        Block::Table(signs.captioned("Signatures")),
        Block::paragraph("A signed sheet is a record of work, never a clearance to energise."),
    ]
}
