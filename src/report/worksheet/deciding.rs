//! The readings that would decide what is behind readings on record.

use super::cards::Wanted;
use super::job::{Job, Suspected};
use crate::document::{Block, Cell, Table, joined};
use std::collections::BTreeSet;

/// The readings that would decide what is behind readings on record; nothing where nothing is in doubt.
pub fn deciding(wanted: Wanted<'_, '_>) -> Vec<Block> {
    let of = |job| {
        let unit = wanted.unit(job);
        let unit = Some(unit).filter(|unit| !unit.is_empty());
        suspected(wanted, job).map(move |one| {
            let at = Some(one.at.clone()).filter(|at| !at.is_empty());
            let whole = || "the unit as a whole".to_owned();
            let at = at.or_else(|| unit.is_none().then(whole));
            let cause = match one.next {
                Some(next) => format!("{}, or {next}", one.cause),
                None => one.cause.to_owned(),
            };
            vec![
                Cell::from(joined([unit.clone(), at], ", ")),
                cause.into(),
                one.decide.plain(|_| 0).into(),
                Cell::Blank,
            ]
        })
    };
    let rows: Vec<Vec<Cell>> = wanted.jobs.iter().flat_map(of).collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let heads = [
        "at",
        "what may be behind the readings on record",
        "the reading that decides",
        "read",
    ];
    let steps = wanted.jobs.iter().flat_map(|job| suspected(wanted, job));
    let cautions: BTreeSet<&str> = steps.filter_map(|one| Some(one.step?.caution())).collect();
    let cautions = joined(cautions.into_iter().map(|one| Some(one.to_owned())), " ");
    let told = "Taken before a circuit goes back on and while the leads are there; check says after each what is left. \
                Behind a direct current or a curve the core is demagnetised once more, below.";
    let table = Table::grid(&heads, rows).captioned("Readings that decide");
    vec![
        Block::heading(2, DECIDING),
        Block::Caution(cautions.into()),
        Block::Group("card", vec![Block::paragraph(told), Block::Table(table)]),
    ]
}

fn suspected<'j>(wanted: Wanted<'_, '_>, job: &'j Job<'_>) -> impl Iterator<Item = &'j Suspected> {
    let only = wanted.only.map(str::to_owned);
    job.suspected.iter().filter(move |one| {
        let core = one.core.as_ref();
        only.is_none() || core.is_none() || only.as_ref() == core
    })
}

/// What the chapter is called.
const DECIDING: &str = "Before you leave: the readings that decide";

/// Its line in the order of the work, where there is anything to decide.
pub fn step(wanted: Wanted<'_, '_>) -> Option<String> {
    let mut all = wanted.jobs.iter().flat_map(|job| suspected(wanted, job));
    all.next().map(|_| DECIDING.to_owned())
}
