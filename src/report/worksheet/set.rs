//! A set sheet: the phases of a bay side by side, one page a test, since that is how a bay is worked.

use super::blanks;
use super::cautions::CAUTIONS;
use super::connect::{connection, primary_insulation};
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
    blocks.push(Block::List {
        numbered: true,
        items: CAUTIONS.iter().map(|line| (*line).to_owned()).collect(),
    });
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
    let under = jobs.first().map(|job| {
        format!(
            "{} visit \u{b7} values for {} \u{b0}C",
            job.purpose, job.celsius
        )
    });
    Document {
        title: format!("Set worksheet: {}", names.join(", ")),
        under: under.unwrap_or_default(),
        blocks,
    }
}

/// Phase and id: what tells the units of a set apart on site.
fn label(job: &Job<'_>) -> String {
    let phase = job
        .record
        .place()
        .and_then(|place| place.phase.value())
        .map(|phase| format!("{phase} "));
    format!(
        "{}{}",
        phase.unwrap_or_default(),
        job.record.plate.id_text()
    )
}

fn units(jobs: &[Job<'_>], blocks: &mut Vec<Block>) {
    let row = |job: &Job<'_>| {
        let place = job
            .record
            .place()
            .map(crate::record::place::Place::text)
            .unwrap_or_default();
        let cores: Vec<String> = job
            .cores
            .iter()
            .map(|core| format!("{}: {}", core.core.name, core.summary()))
            .collect();
        vec![
            Cell::Told(label(job)),
            Cell::Told(place),
            Cell::Told(cores.join("; ")),
        ]
    };
    let head = ["unit", "place", "cores"].map(str::to_owned).to_vec();
    blocks.push(Block::Table(Table {
        caption: "The set".to_owned(),
        head,
        rows: jobs.iter().map(row).collect(),
    }));
    let differs: Vec<String> = jobs
        .iter()
        .skip(1)
        .filter(|job| {
            jobs.first()
                .is_some_and(|first| plates(first) != plates(job))
        })
        .map(label)
        .collect();
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
    job.cores
        .iter()
        .map(|core| {
            (
                core.core.name.clone(),
                core.core.marks.clone(),
                core.summary(),
            )
        })
        .collect()
}

/// Rows named by unit and core.
fn rows(jobs: &[Job<'_>]) -> Vec<String> {
    jobs.iter()
        .flat_map(|job| {
            job.cores
                .iter()
                .map(|core| format!("{}, {}", label(job), core.core.name))
        })
        .collect()
}

fn as_found(jobs: &[Job<'_>], blocks: &mut Vec<Block>) {
    blocks.push(Block::Page);
    blocks.push(Block::Heading(2, "State as found, self-check".to_owned()));
    let head = [
        "unit, core",
        "tap in service",
        "earth at",
        "star point",
        "links",
        "remark",
    ];
    blocks.push(Block::Table(Table::blank(
        "State as found",
        &head,
        rows(jobs),
    )));
    let ends = jobs.iter().map(label);
    blocks.push(Block::Table(Table::blank(
        "Primary while testing: one earth at most",
        &["unit", "open end", "earthed end"],
        ends,
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

/// One page a test: the connection of each core once, the tables of every unit.
fn step_pages(jobs: &[Job<'_>], first: &Job<'_>, step: Step, blocks: &mut Vec<Block>) {
    let names = names(jobs, step);
    if names.is_empty() {
        return;
    }
    blocks.push(Block::Page);
    blocks.push(Block::Heading(2, step.name().to_owned()));
    blocks.push(Block::Caution(vec![sheet::step_caution(step).to_owned()]));
    if step == Step::Insulation
        && let Some(connected) = primary_insulation(first)
    {
        let named = |job: &Job<'_>| {
            (
                label(job),
                blanks::insulation("primary to cores and earth", &["15", "60", "600"]),
            )
        };
        blocks.push(Block::Card(vec![
            connected,
            Block::Table(joined(jobs.iter().map(named).collect())),
        ]));
    }
    for name in names {
        let known = jobs.iter().find_map(|job| {
            Some((
                job,
                due(job, step)
                    .into_iter()
                    .find(|core| core.core.name == name)?,
            ))
        });
        let Some((job, core)) = known else { continue };
        let tables = jobs.iter().flat_map(|job| tables(job, step, &name));
        let heading = Block::Heading(3, format!("Core {name}: {}", core.summary()));
        blocks.push(Block::Card(vec![
            heading,
            connection(job, core, step),
            Block::Table(joined(tables.collect())),
        ]));
    }
}

/// The cores of the set on which a step is due, each name once.
fn names(jobs: &[Job<'_>], step: Step) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for core in jobs.iter().flat_map(|job| due(job, step)) {
        if !names.contains(&core.core.name) {
            names.push(core.core.name.clone());
        }
    }
    names
}

/// The blank tables of one unit and core, with the unit's label.
fn tables(job: &Job<'_>, step: Step, name: &str) -> Vec<(String, Table)> {
    let cores = due(job, step)
        .into_iter()
        .filter(|core| core.core.name == name);
    cores
        .flat_map(|core| blanks::blanks(job, core, step))
        .map(|table| (label(job), table))
        .collect()
}

fn due<'j, 'a>(job: &'j Job<'a>, step: Step) -> Vec<&'j CoreSheet<'a>> {
    let due = plan::cores(job.record, job.purpose, step);
    job.cores
        .iter()
        .filter(|core| due.contains(&core.index))
        .collect()
}

/// Most blank columns that fit beside each other on a sheet of paper.
const ACROSS: usize = 6;

/// The blank tables of all units as one: beside each other where the told cells are the same and the
/// paper is wide enough, else below each other with the unit in front.
fn joined(tables: Vec<(String, Table)>) -> Table {
    let Some((_, first)) = tables.first() else {
        return Table::blank("", &[], Vec::new());
    };
    let blanks = |table: &Table| {
        table
            .head
            .len()
            .saturating_sub(table.rows.first().map_or(0, |row| told(row).len()))
    };
    let same = |table: &Table| {
        table
            .rows
            .iter()
            .zip(&first.rows)
            .all(|(a, b)| told(a) == told(b))
    };
    let alike = tables.iter().all(|(_, table)| {
        table.head == first.head && table.rows.len() == first.rows.len() && same(table)
    });
    if alike && first.rows.len() > 3 && blanks(first) * tables.len() <= ACROSS {
        beside(&tables, first)
    } else {
        below(tables)
    }
}

/// The told cells at the front of a row.
fn told(row: &[Cell]) -> Vec<&Cell> {
    row.iter()
        .take_while(|cell| matches!(cell, Cell::Told(_)))
        .collect()
}

fn beside(tables: &[(String, Table)], first: &Table) -> Table {
    let fixed = first.rows.first().map_or(0, |row| told(row).len());
    let mut head: Vec<String> = first.head.iter().take(fixed).cloned().collect();
    for (label, table) in tables {
        head.extend(
            table
                .head
                .iter()
                .skip(fixed)
                .map(|word| format!("{label}: {word}")),
        );
    }
    let width = head.len();
    let row = |row: &Vec<Cell>| {
        row.iter()
            .take(fixed)
            .cloned()
            .chain(std::iter::repeat_n(Cell::Blank, width - fixed))
            .collect()
    };
    Table {
        caption: first.caption.clone(),
        head,
        rows: first.rows.iter().map(row).collect(),
    }
}

fn below(tables: Vec<(String, Table)>) -> Table {
    let mut joined = Table {
        caption: String::new(),
        head: Vec::new(),
        rows: Vec::new(),
    };
    for (label, table) in tables {
        if joined.head.is_empty() {
            joined.caption = table.caption;
            joined.head = std::iter::once("unit".to_owned())
                .chain(table.head)
                .collect();
        }
        for mut row in table.rows {
            row.insert(0, Cell::Told(label.clone()));
            joined.rows.push(row);
        }
    }
    joined
}

fn restored(jobs: &[Job<'_>], blocks: &mut Vec<Block>) {
    blocks.push(Block::Page);
    blocks.push(Block::Heading(2, "Restored".to_owned()));
    let head = [
        "unit, core",
        "tap in service",
        "links",
        "earth at",
        "earths counted",
        "tap leads tight",
    ];
    blocks.push(Block::Table(Table::blank("As left", &head, rows(jobs))));
    blocks.extend(sheet::closing());
}
