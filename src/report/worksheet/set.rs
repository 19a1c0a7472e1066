//! A set sheet: the phases of a bay side by side, one page a test, since that is how a bay is worked.

use super::blanks;
use super::connect::{connection, primary_insulation};
use super::job::Job;
use super::plan::{self, Step};
use super::plate::CoreSheet;
use super::sheet::{self, Sheet};
use crate::document::{Block, Cell, Column, Row, Table, Text};

/// The whole set sheet.
pub fn set_sheet(jobs: &[Job<'_>], told: &[String]) -> Sheet {
    let names: Vec<String> = jobs.iter().map(label).collect();
    let under = jobs.first().map(|job| {
        format!(
            "{} visit \u{b7} values for {} \u{b0}C",
            job.purpose, job.celsius
        )
    });
    let first = jobs.first();
    let tests = first.into_iter().flat_map(|first| {
        Step::ALL
            .iter()
            .flat_map(move |step| step_page(jobs, first, *step))
    });
    let permit = first.map(|first| Block::Table(sheet::permit(first)));
    let plate = units(jobs).into_iter().chain(permit);
    Sheet {
        title: format!("Set worksheet: {}", names.join(", ")),
        under: under.unwrap_or_default(),
        parts: [
            ("cautions", sheet::cautions(told)),
            ("plate", plate.collect()),
            ("order", Vec::new()),
            ("as_found", as_found(jobs)),
            ("tests", tests.collect()),
            ("as_left", as_left(jobs)),
        ],
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

fn units(jobs: &[Job<'_>]) -> Vec<Block> {
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
            Cell::from(label(job)),
            place.into(),
            cores.join("; ").into(),
        ]
    };
    let rows = jobs.iter().map(row).collect();
    let table = Table::grid(&["unit", "place", "cores"], rows).captioned("The set");
    let mut blocks = vec![Block::Table(table)];
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
        blocks.push(Block::Caution(text.into()));
    }
    blocks
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

fn as_found(jobs: &[Job<'_>]) -> Vec<Block> {
    let head = [
        "unit, core",
        "tap in service",
        "earth at",
        "star point",
        "links",
        "remark",
    ];
    let ends = Table::blank(&["unit", "open end", "earthed end"], jobs.iter().map(label));
    vec![
        Block::NewPage,
        Block::heading(2, "State as found, self-check"),
        Block::Table(Table::blank(&head, rows(jobs)).captioned("State as found")),
        Block::Table(ends.captioned("Primary while testing: one earth at most")),
        Block::Table(sheet::self_check()),
    ]
}

/// One page a test: the connection of each core once, the tables of every unit.
fn step_page(jobs: &[Job<'_>], first: &Job<'_>, step: Step) -> Vec<Block> {
    let names = names(jobs, step);
    if names.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![
        Block::NewPage,
        Block::heading(2, step.name()),
        Block::Caution(sheet::step_caution(step).into()),
    ];
    if step == Step::Insulation
        && let Some(connected) = primary_insulation(first)
    {
        let named = |job: &Job<'_>| {
            (
                label(job),
                blanks::insulation("primary to cores and earth", &["15", "60", "600"]),
            )
        };
        let table = joined(jobs.iter().map(named).collect());
        blocks.push(Block::Group("card", vec![connected, Block::Table(table)]));
    }
    for name in names {
        let known = jobs.iter().find_map(|job| {
            let mut due = due(job, step).into_iter();
            Some((job, due.find(|core| core.core.name == name)?))
        });
        let Some((job, core)) = known else { continue };
        let tables = jobs.iter().flat_map(|job| tables(job, step, &name));
        let card = vec![
            Block::heading(3, format!("Core {name}: {}", core.summary())),
            connection(job, core, step),
            Block::Table(joined(tables.collect())),
        ];
        blocks.push(Block::Group("card", card));
    }
    blocks
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
        return Table::default();
    };
    let fixed = front(first);
    let blanks = first.columns.len().saturating_sub(fixed);
    let alike = |table: &Table| table.columns == first.columns && told(table).eq(told(first));
    let beside_each_other = tables.iter().all(|(_, table)| alike(table))
        && first.rows.len() > 3
        && blanks * tables.len() <= ACROSS;
    if beside_each_other {
        beside(&tables, first, fixed)
    } else {
        below(tables)
    }
}

fn cells(table: &Table) -> impl Iterator<Item = &Vec<Cell>> {
    table.rows.iter().filter_map(|row| match row {
        Row::Cells(cells) => Some(cells),
        Row::Group(_) => None,
    })
}

/// The told cells at the front of each row.
fn told(table: &Table) -> impl Iterator<Item = Vec<&Cell>> {
    cells(table).map(|row| {
        row.iter()
            .take_while(|cell| **cell != Cell::Blank)
            .collect()
    })
}

/// How many columns of a table are told.
fn front(table: &Table) -> usize {
    told(table).next().map_or(0, |row| row.len())
}

fn beside(tables: &[(String, Table)], first: &Table, fixed: usize) -> Table {
    let mut columns: Vec<Column> = first.columns.iter().take(fixed).cloned().collect();
    for (label, table) in tables {
        columns.extend(table.columns.iter().skip(fixed).map(|column| Column {
            head: Text::from(format!("{label}: ")).join(column.head.clone()),
            ..column.clone()
        }));
    }
    let blanks = columns.len() - fixed;
    let row = |row: &Vec<Cell>| {
        let told = row.iter().take(fixed).cloned();
        Row::Cells(
            told.chain(std::iter::repeat_n(Cell::Blank, blanks))
                .collect(),
        )
    };
    Table {
        columns,
        rows: cells(first).map(row).collect(),
        ..first.clone()
    }
}

fn below(tables: Vec<(String, Table)>) -> Table {
    let mut joined = Table::default();
    for (label, table) in tables {
        if joined.columns.is_empty() {
            joined.caption = table.caption.clone();
            joined.columns.push(Column {
                head: "unit".into(),
                ..Column::default()
            });
            joined.columns.extend(table.columns.iter().cloned());
        }
        for row in cells(&table) {
            let named = std::iter::once(Cell::from(&label)).chain(row.iter().cloned());
            joined.rows.push(Row::Cells(named.collect()));
        }
    }
    joined
}

fn as_left(jobs: &[Job<'_>]) -> Vec<Block> {
    let mut head = sheet::LEFT;
    if let Some(first) = head.first_mut() {
        *first = "unit, core";
    }
    let mut blocks = vec![Block::NewPage];
    blocks.extend(sheet::closing(Table::blank(&head, rows(jobs))));
    blocks
}
