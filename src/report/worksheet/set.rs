//! A set sheet: the phases of a bay side by side, one page a test, since that is how a bay is worked.

use super::blanks::{self, blank};
use super::connect::{connection, primary};
use super::job::Job;
use super::plan::Step;
use super::plate::CoreSheet;
use super::say;
use super::sheet::{self, Sheet};
use crate::document::{Block, Cell, Column, Row, Table, Text, joined};
use crate::record::place::Place;
use strum::VariantArray;

/// The whole set sheet.
pub fn set_sheet(jobs: &[Job<'_>], told: &[String]) -> Sheet {
    let names = joined(jobs.iter().map(|job| Some(label(job))), ", ");
    let first = jobs.first();
    let under = say::told(first, |job| {
        let (purpose, celsius) = (job.purpose, job.celsius);
        format!("{purpose} visit \u{b7} values for {celsius} \u{b0}C")
    });
    let steps = Step::VARIANTS.iter();
    let tests = steps.flat_map(|step| step_page(jobs, *step));
    let permit = first.map(sheet::permit);
    let mut left = vec![Block::NewPage];
    left.extend(sheet::as_left("unit, core", rows(jobs)));
    Sheet {
        title: format!("Set worksheet: {names}"),
        under,
        parts: [
            ("cautions", sheet::cautions(told)),
            ("plate", units(jobs).into_iter().chain(permit).collect()),
            ("order", order(jobs)),
            ("as_found", as_found(jobs)),
            ("tests", tests.collect()),
            ("as_left", left),
        ],
    }
}

/// Phase and id: what tells the units of a set apart on site.
fn label(job: &Job<'_>) -> String {
    let phase = job.record.place().and_then(|place| place.phase.value());
    let id = job.record.plate.id_text().to_owned();
    joined([phase.cloned(), Some(id)], " ")
}

fn units(jobs: &[Job<'_>]) -> Vec<Block> {
    let row = |job: &Job<'_>| {
        let core = |core: &CoreSheet<'_>| Some(format!("{}: {}", core.core.name, core.summary()));
        vec![
            Cell::from(label(job)),
            say::told(job.record.place(), Place::text).into(),
            joined(job.cores.iter().map(core), "; ").into(),
        ]
    };
    let rows = jobs.iter().map(row).collect();
    let table = Table::grid(&["unit", "place", "cores"], rows).captioned("The set");
    let mut blocks = vec![Block::Table(table)];
    if let [first, others @ ..] = jobs {
        let differs = others.iter().filter(|job| plates(first) != plates(job));
        let differs = joined(differs.map(|job| Some(label(job))), ", ");
        if !differs.is_empty() {
            let text = format!(
                "Plates differ: {differs} is not like {}. Expected values below are those of each unit.",
                label(first)
            );
            blocks.push(Block::Caution(text.into()));
        }
    }
    blocks
}

fn plates<'j>(job: &'j Job<'_>) -> Vec<(&'j str, &'j [String], String)> {
    let plate = |core: &'j CoreSheet<'_>| {
        let known = core.core;
        (known.name.as_str(), &known.marks[..], core.summary())
    };
    job.cores.iter().map(plate).collect()
}

/// Rows named by unit and core.
fn rows(jobs: &[Job<'_>]) -> Vec<String> {
    let cores = jobs
        .iter()
        .flat_map(|job| job.cores.iter().map(move |core| (job, core)));
    cores
        .map(|(job, core)| format!("{}, {}", label(job), core.core.name))
        .collect()
}

/// Why a set is asked for what its pages hold, where that is not the list of its purpose.
fn order(jobs: &[Job<'_>]) -> Vec<Block> {
    let mut why: Vec<&String> = jobs
        .iter()
        .filter_map(|job| job.programme.why.as_ref())
        .collect();
    why.dedup();
    why.into_iter().map(Block::paragraph).collect()
}

fn as_found(jobs: &[Job<'_>]) -> Vec<Block> {
    let ends = "unit | open end | earthed end";
    let primary = "Primary while testing: one earth at most";
    vec![
        Block::NewPage,
        Block::heading(2, "State as found, self-check"),
        sheet::state_as_found("unit, core", rows(jobs)),
        sheet::to_write(primary, ends, jobs.iter().map(label).collect()),
        sheet::self_check(),
    ]
}

/// One page a test: the connection of each core once, the tables of every unit.
fn step_page(jobs: &[Job<'_>], step: Step) -> Vec<Block> {
    let due = jobs
        .iter()
        .flat_map(|job| job.due(step).into_iter().map(move |core| (job, core)));
    // Cores of one name stand together, in the order in which the names first come.
    let mut cores: Vec<(&str, Vec<(&Job<'_>, &CoreSheet<'_>)>)> = Vec::new();
    for (job, core) in due {
        let name = core.core.name.as_str();
        match cores.iter_mut().find(|(known, _)| *known == name) {
            Some((_, all)) => all.push((job, core)),
            None => cores.push((name, vec![(job, core)])),
        }
    }
    let on_primary = || jobs.iter().filter(|job| job.due_on_primary(step));
    if cores.is_empty() && on_primary().next().is_none() {
        return Vec::new();
    }
    let mut blocks = vec![
        Block::NewPage,
        Block::heading(2, step.name()),
        Block::Caution(step.caution().into()),
    ];
    if let Some((job, table)) = on_primary().next().zip(blanks::primary(step))
        && let Some(connected) = primary(job, step)
    {
        let tables = on_primary().map(|job| (label(job), table.clone()));
        let table = Block::Table(as_one(tables.collect()));
        blocks.push(Block::Group("card", vec![connected, table]));
    }
    for (name, all) in cores {
        let Some((job, core)) = all.first() else {
            continue;
        };
        let tables = all
            .iter()
            .map(|(job, core)| (label(job), blank(job, core, step)));
        let card = vec![
            Block::heading(3, format!("Core {name}: {}", core.summary())),
            connection(job, core, step),
            Block::Table(as_one(tables.collect())),
        ];
        blocks.push(Block::Group("card", card));
    }
    blocks
}

/// Most blank columns that fit beside each other on a sheet of paper.
const ACROSS: usize = 6;

/// The blank tables of all units as one: beside each other where the told cells are the same and the
/// paper is wide enough, else below each other with the unit in front.
fn as_one(tables: Vec<(String, Table)>) -> Table {
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
    let mut all = Table::default();
    for (label, table) in tables {
        if all.columns.is_empty() {
            let unit = Column {
                head: "unit".into(),
                ..Column::default()
            };
            all.columns = std::iter::once(unit).chain(table.columns.clone()).collect();
            all.caption = table.caption.clone();
        }
        for row in cells(&table) {
            let named = std::iter::once(Cell::from(&label)).chain(row.iter().cloned());
            all.rows.push(Row::Cells(named.collect()));
        }
    }
    all
}
