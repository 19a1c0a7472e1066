//! A set sheet: the phases of a bay side by side, one page a test, since that is how a bay is worked.

use super::blanks;
use super::cautions::CAUTIONS;
use super::connect::connection;
use super::document::{Block, Cell, Document, Table};
use super::job::Job;
use super::plan::{self, Step};
use super::plate::CoreSheet;
use super::sheet;

/// The whole set sheet.
pub fn set_sheet(jobs: &[Job<'_>], told: &[String]) -> Document {
    let mut blocks = Vec::new();
    if !told.is_empty() {
        blocks.push(Block::Caution(told.to_vec()));
    }
    blocks.push(Block::Heading(2, "Before anything else".to_owned()));
    blocks.push(Block::List { numbered: true, items: CAUTIONS.iter().map(|line| (*line).to_owned()).collect() });
    units(jobs, &mut blocks);
    if let Some(first) = jobs.first() {
        blocks.push(Block::Table(sheet::permit(first)));
        as_found(jobs, &mut blocks);
        for step in Step::ALL {
            step_pages(jobs, first, *step, &mut blocks);
        }
        restored(jobs, &mut blocks);
    }
    let names: Vec<String> = jobs.iter().map(label).collect();
    let under = jobs.first().map(|job| format!("{} visit \u{b7} values for {} \u{b0}C", job.purpose, job.celsius));
    Document { title: format!("Set worksheet: {}", names.join(", ")), under: under.unwrap_or_default(), blocks }
}

/// Phase and id: what tells the units of a set apart on site.
fn label(job: &Job<'_>) -> String {
    let phase = job.record.place().and_then(|place| place.phase.value()).map(|phase| format!("{phase} "));
    format!("{}{}", phase.unwrap_or_default(), job.record.plate.id_text())
}

fn units(jobs: &[Job<'_>], blocks: &mut Vec<Block>) {
    let row = |job: &Job<'_>| {
        let place = job.record.place().map(crate::record::place::Place::text).unwrap_or_default();
        let cores: Vec<String> = job.cores.iter().map(|core| format!("{}: {}", core.core.name, core.summary())).collect();
        vec![Cell::Told(label(job)), Cell::Told(place), Cell::Told(cores.join("; "))]
    };
    let head = ["unit", "place", "cores"].map(str::to_owned).to_vec();
    blocks.push(Block::Table(Table { caption: "The set".to_owned(), head, rows: jobs.iter().map(row).collect() }));
    let differs: Vec<String> =
        jobs.iter().skip(1).filter(|job| jobs.first().is_some_and(|first| plates(first) != plates(job))).map(label).collect();
    if !differs.is_empty() {
        let text = format!(
            "Plates differ: {} is not like {}. Expected values below are those of each unit.",
            differs.join(", "),
            jobs.first().map(label).unwrap_or_default()
        );
        blocks.push(Block::Caution(vec![text]));
    }
}

fn plates(job: &Job<'_>) -> Vec<(String, Vec<String>, String)> {
    job.cores.iter().map(|core| (core.core.name.clone(), core.core.marks.clone(), core.summary())).collect()
}

/// Rows named by unit and core.
fn rows(jobs: &[Job<'_>]) -> Vec<String> {
    jobs.iter().flat_map(|job| job.cores.iter().map(|core| format!("{}, {}", label(job), core.core.name))).collect()
}

fn as_found(jobs: &[Job<'_>], blocks: &mut Vec<Block>) {
    blocks.push(Block::Page);
    blocks.push(Block::Heading(2, "State as found, self-check".to_owned()));
    let head = ["unit, core", "tap in service", "earth at", "star point", "links", "remark"];
    blocks.push(Block::Table(Table::blank("State as found", &head, rows(jobs))));
    let ends = jobs.iter().map(label);
    blocks.push(Block::Table(Table::blank("Primary while testing: one earth at most", &["unit", "open end", "earthed end"], ends)));
    let check = ["both inputs on one source, ratio of 1 (four decimals)", "leads: clips shorted together, resistance/ohm"];
    blocks.push(Block::Table(Table::blank("Self-check of the instrument", &["what", "reading"], check.map(str::to_owned))));
}

/// One page for each core on which the step is due: the connection once, the tables of every unit.
fn step_pages(jobs: &[Job<'_>], first: &Job<'_>, step: Step, blocks: &mut Vec<Block>) {
    let mut names: Vec<&str> = jobs.iter().flat_map(|job| due(job, step)).map(|core| core.core.name.as_str()).collect();
    let mut seen = Vec::new();
    names.retain(|name| {
        let new = !seen.contains(name);
        seen.push(name);
        new
    });
    for name in names {
        let here = |job: &'_ Job<'_>| due(job, step).into_iter().any(|core| core.core.name == name);
        let Some(job) = std::iter::once(first).chain(jobs).find(|job| here(job)) else { continue };
        let Some(core) = due(job, step).into_iter().find(|core| core.core.name == name) else { continue };
        blocks.push(Block::Page);
        blocks.push(Block::Heading(2, format!("{}, core {name}", step.name())));
        blocks.push(Block::Caution(vec![sheet::step_caution(step).to_owned()]));
        blocks.push(connection(job, core, step));
        blocks.push(Block::Table(joined(jobs, step, name)));
    }
}

fn due<'j, 'a>(job: &'j Job<'a>, step: Step) -> Vec<&'j CoreSheet<'a>> {
    let due = plan::cores(job.record, job.purpose, step);
    job.cores.iter().filter(|core| due.contains(&core.index)).collect()
}

/// The blank tables of all units as one, with the unit in front.
fn joined(jobs: &[Job<'_>], step: Step, name: &str) -> Table {
    let mut table = Table { caption: String::new(), head: Vec::new(), rows: Vec::new() };
    for job in jobs {
        for core in due(job, step).into_iter().filter(|core| core.core.name == name) {
            for mut one in blanks::blanks(job, core, step) {
                if table.head.is_empty() {
                    table.caption = one.caption;
                    table.head = std::iter::once("unit".to_owned()).chain(one.head).collect();
                }
                for row in &mut one.rows {
                    row.insert(0, Cell::Told(label(job)));
                }
                table.rows.append(&mut one.rows);
            }
        }
    }
    table
}

fn restored(jobs: &[Job<'_>], blocks: &mut Vec<Block>) {
    blocks.push(Block::Page);
    blocks.push(Block::Heading(2, "Restored".to_owned()));
    let head = ["unit, core", "tap in service", "links", "earth at", "earths counted", "tap leads tight"];
    blocks.push(Block::Table(Table::blank("As left", &head, rows(jobs))));
    blocks.extend(sheet::closing().into_iter());
}
