//! The cover's content: everything the templates show, put into words.

use super::config::Config;
use super::defects::defects;
use super::items::{self, Checked};
use super::lists::{broken, defect, instrument, item, point, rules, untested_view};
use super::matrix::{self, Block, Cell, Matrix};
use super::plan::Entry;
use super::points;
use super::untested::untested;
use super::used;
use super::view::*;
use crate::judge::finding::Grade;
use crate::record::visit::Visit;
use crate::report;
use std::collections::BTreeMap;

/// What stands on every page about safety.
pub const NO_CLEARANCE: &str = "A verdict is never a clearance to energise: local rules and licensed practice decide. \
Open secondaries of a current transformer in service, charge left after a d.c. test and d.c. on a winding can kill.";

/// Where links lead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Links {
    /// To one page per CT.
    Pages,
    /// Within one page.
    Within,
}

/// Everything the cover shows.
pub fn cover(
    config: &Config,
    entries: &[Entry],
    checked: &[Checked],
    logo: &str,
    links: Links,
) -> Cover {
    let matrix = matrix::matrix(entries);
    let groups = groups(entries, &matrix, links);
    Cover {
        title: config.title.clone(),
        number: config.number.clone(),
        revision: config.revision.clone(),
        issued: config
            .issued
            .map(|day| day.value.to_string())
            .unwrap_or_default(),
        history: history(config),
        client: party(&config.client),
        contractor: party(&config.contractor),
        logo: logo.to_owned(),
        job: config.job.clone(),
        site: config.site.clone(),
        methods: config.methods.clone(),
        received: config.received.clone(),
        sampling: config.sampling.clone(),
        authorised: config.authorised.clone(),
        role: config.role.clone(),
        tested: days(entries),
        people: people(entries),
        counts: counts(matrix.blocks.iter().map(|block| &block.ct)),
        circuits: counts(matrix.blocks.iter().map(|block| &block.circuit)),
        groups,
        columns: matrix
            .columns
            .iter()
            .map(|kind| sentence_case(kind.name()))
            .collect(),
        broken: entries
            .iter()
            .filter(|entry| !entry.unit.is_complete())
            .map(|entry| broken(entry, links))
            .collect(),
        defects: defects(entries)
            .iter()
            .enumerate()
            .map(|(index, one)| defect(index + 1, one, entries, links))
            .collect(),
        points: points::points(entries)
            .iter()
            .filter_map(|one| point(one, entries, links))
            .collect(),
        untested: untested(entries)
            .iter()
            .map(|one| untested_view(one, entries))
            .collect(),
        instruments: used::used(entries).iter().map(instrument).collect(),
        rules: rules(entries),
        items: checked.iter().map(item).collect(),
        not_stated: checked.iter().filter(|one| one.is_missing()).count(),
        only_these: items::ONLY_THESE,
        in_full: items::IN_FULL,
        no_clearance: NO_CLEARANCE,
        end: items::END,
        mark: report::MARK,
        whole: links == Links::Within,
    }
}

fn party(party: &super::config::Party) -> PartyView {
    PartyView {
        name: party.name.clone(),
        address: party.address.clone(),
        contact: party.contact.clone(),
    }
}

fn history(config: &Config) -> Vec<RevisionView> {
    let view = |one: &super::config::Revision| RevisionView {
        name: one.name.clone(),
        date: one.date.map(|date| date.to_string()).unwrap_or_default(),
        what: one.what.clone(),
    };
    config.history.iter().map(view).collect()
}

fn visits(entries: &[Entry]) -> impl Iterator<Item = &Visit> {
    entries
        .iter()
        .flat_map(|entry| entry.visits().map(|(_, visit)| visit))
}

fn days(entries: &[Entry]) -> String {
    let days = || visits(entries).map(|visit| visit.date.value);
    match (days().min(), days().max()) {
        (Some(first), Some(last)) if first != last => format!("{first} to {last}"),
        (Some(day), _) => day.to_string(),
        _ => String::new(),
    }
}

fn people(entries: &[Entry]) -> Vec<NamesView> {
    type Of = fn(&Visit) -> Option<&String>;
    let roles: [(&'static str, Of); 4] = [
        ("Tested by", |visit| visit.tested_by.value()),
        ("Reviewed by", |visit| visit.reviewed_by.value()),
        ("Witnessed by", |visit| visit.witnessed_by.value()),
        ("Authorised in the records by", |visit| {
            visit.authorised_by.value()
        }),
    ];
    let view = |(role, of): (&'static str, Of)| {
        let mut names: Vec<&str> = visits(entries).filter_map(of).map(String::as_str).collect();
        names.sort_unstable();
        names.dedup();
        NamesView {
            role,
            names: names.join(", "),
        }
    };
    roles
        .into_iter()
        .map(view)
        .filter(|view| !view.names.is_empty() || view.role.len() < 12)
        .collect()
}

fn counts<'a>(verdicts: impl Iterator<Item = &'a Cell>) -> Vec<CountView> {
    let mut found: BTreeMap<(std::cmp::Reverse<Option<Grade>>, &'static str), usize> =
        BTreeMap::new();
    for verdict in verdicts {
        *found
            .entry((std::cmp::Reverse(verdict.grade), verdict.word))
            .or_default() += 1;
    }
    let view =
        |((grade, word), count): ((std::cmp::Reverse<Option<Grade>>, &'static str), usize)| {
            CountView {
                count,
                word,
                mark: report::mark(grade.0),
                grade: class(grade.0),
            }
        };
    found.into_iter().map(view).collect()
}

fn groups(entries: &[Entry], matrix: &Matrix, links: Links) -> Vec<GroupView> {
    let mut groups: Vec<GroupView> = Vec::new();
    for block in &matrix.blocks {
        let Some(entry) = entries.get(block.entry) else {
            continue;
        };
        let ct = ct(entry, block, links);
        match groups.last_mut().filter(|group| group.name == entry.group) {
            Some(group) => group.cts.push(ct),
            None => {
                let anchor = format!("group-{}", groups.len() + 1);
                groups.push(GroupView {
                    name: entry.group.clone(),
                    anchor,
                    cts: vec![ct],
                });
            }
        }
    }
    groups
}

fn ct(entry: &Entry, block: &Block, links: Links) -> CtView {
    let plate = &entry.record().plate;
    let said = [plate.maker.value(), plate.serial.value()];
    let visit = |visit: &Visit| {
        format!(
            "{} {}",
            visit.name(),
            visit.purpose.value().map_or("", String::as_str)
        )
        .trim_end()
        .to_owned()
    };
    let rows = block.rows.iter().map(|row| RowView {
        core: row.core.clone(),
        plate: row.plate.clone(),
        tap: row.tap.clone(),
        cells: row.cells.iter().map(cell).collect(),
        circuit: cell(&row.circuit),
    });
    CtView {
        name: entry.name.clone(),
        position: entry.position.clone(),
        slug: entry.slug.clone(),
        link: link(entry, links),
        link_md: link_md(entry),
        plate: said
            .into_iter()
            .flatten()
            .cloned()
            .collect::<Vec<_>>()
            .join(", "),
        visits: entry
            .visits()
            .map(|(_, one)| visit(one))
            .collect::<Vec<_>>()
            .join(", "),
        complete: block.complete,
        ct: cell(&block.ct),
        circuit: cell(&block.circuit),
        unit: block
            .unit
            .iter()
            .map(|(kind, one)| UnitView {
                test: sentence_case(kind.name()),
                cell: cell(one),
            })
            .collect(),
        rows: rows.collect(),
    }
}

pub(super) fn link(entry: &Entry, links: Links) -> String {
    match links {
        Links::Pages => format!("ct/{}.html", entry.slug),
        Links::Within => format!("#ct-{}", entry.slug),
    }
}

pub(super) fn link_md(entry: &Entry) -> String {
    format!("ct/{}.md", entry.slug)
}

fn cell(cell: &Cell) -> CellView {
    let mark = if cell.word.is_empty() {
        ""
    } else {
        report::mark(cell.grade)
    };
    CellView {
        mark,
        word: cell.word.to_owned(),
        text: cell.text.clone(),
        grade: class(cell.grade),
    }
}

pub(super) fn class(grade: Option<Grade>) -> &'static str {
    match grade {
        Some(Grade::Good) => "good",
        Some(Grade::Doubt) => "doubt",
        Some(Grade::Bad) => "bad",
        Some(Grade::Open) => "open",
        Some(Grade::Plain) => "plain",
        None => "none",
    }
}

fn sentence_case(text: &str) -> String {
    let mut rest = text.chars();
    rest.next()
        .map(|first| first.to_uppercase().chain(rest).collect())
        .unwrap_or_default()
}
