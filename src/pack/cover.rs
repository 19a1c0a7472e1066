//! The cover's content: everything the templates show, put into words.

use super::config::Config;
use super::defects::{Defect, defects};
use super::items::{self, Checked, State};
use super::matrix::{self, Block, Cell, Matrix};
use super::plan::Entry;
use super::points::{self, Point};
use super::untested::untested;
use super::used::{self, Used};
use super::view::*;
use crate::judge::decision;
use crate::judge::finding::{Grade, Whose};
use crate::judge::verdict::rule;
use crate::record::visit::Visit;
use crate::report;
use std::collections::BTreeMap;

/// What stands on every page about safety.
pub const NO_CLEARANCE: &str = "A verdict is never a clearance to energise: local rules and licensed practice decide. \
Open secondaries of a current transformer in service, charge left after a d.c. test and d.c. on a winding can kill.";

/// Sentences shown per entry of the defects list, and errors per record; the rest is on the CT's page.
const SHOWN: usize = 4;

/// Where links lead.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Links {
    /// To one page per CT.
    Pages,
    /// Within one page.
    Within,
}

/// Everything the cover shows.
pub fn cover(config: &Config, entries: &[Entry], checked: &[Checked], logo: &str, links: Links) -> Cover {
    let matrix = matrix::matrix(entries);
    let groups = groups(entries, &matrix, links);
    Cover {
        title: config.title.clone(),
        number: config.number.clone(),
        revision: config.revision.clone(),
        issued: config.issued.map(|day| day.value.to_string()).unwrap_or_default(),
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
        counts: counts(&matrix),
        groups,
        columns: matrix.columns.iter().map(|kind| sentence_case(kind.name())).collect(),
        broken: entries.iter().filter(|entry| !entry.unit.is_complete()).map(|entry| broken(entry, links)).collect(),
        defects: defects(entries).iter().enumerate().map(|(index, one)| defect(index + 1, one, entries, links)).collect(),
        points: points::points(entries).iter().filter_map(|one| point(one, entries, links)).collect(),
        untested: untested(entries).iter().map(|one| untested_view(one, entries)).collect(),
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
    PartyView { name: party.name.clone(), address: party.address.clone(), contact: party.contact.clone() }
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
    entries.iter().flat_map(|entry| entry.visits().map(|(_, visit)| visit))
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
        ("Authorised in the records by", |visit| visit.authorised_by.value()),
    ];
    let view = |(role, of): (&'static str, Of)| {
        let mut names: Vec<&str> = visits(entries).filter_map(of).map(String::as_str).collect();
        names.sort_unstable();
        names.dedup();
        NamesView { role, names: names.join(", ") }
    };
    roles.into_iter().map(view).filter(|view| !view.names.is_empty() || view.role.len() < 12).collect()
}

fn counts(matrix: &Matrix) -> Vec<CountView> {
    let mut found: BTreeMap<(std::cmp::Reverse<Option<Grade>>, &'static str), usize> = BTreeMap::new();
    for block in &matrix.blocks {
        *found.entry((std::cmp::Reverse(block.ct.grade), block.ct.word)).or_default() += 1;
    }
    let view = |((grade, word), count): ((std::cmp::Reverse<Option<Grade>>, &'static str), usize)| CountView {
        count,
        word,
        mark: report::mark(grade.0),
        grade: class(grade.0),
    };
    found.into_iter().map(view).collect()
}

fn groups(entries: &[Entry], matrix: &Matrix, links: Links) -> Vec<GroupView> {
    let mut groups: Vec<GroupView> = Vec::new();
    for block in &matrix.blocks {
        let Some(entry) = entries.get(block.entry) else { continue };
        let ct = ct(entry, block, links);
        match groups.last_mut().filter(|group| group.name == entry.group) {
            Some(group) => group.cts.push(ct),
            None => {
                let anchor = format!("group-{}", groups.len() + 1);
                groups.push(GroupView { name: entry.group.clone(), anchor, cts: vec![ct] });
            }
        }
    }
    groups
}

fn ct(entry: &Entry, block: &Block, links: Links) -> CtView {
    let plate = &entry.record().plate;
    let said = [plate.maker.value(), plate.serial.value()];
    let visit = |visit: &Visit| format!("{} {}", visit.name(), visit.purpose.value().map_or("", String::as_str)).trim_end().to_owned();
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
        plate: said.into_iter().flatten().cloned().collect::<Vec<_>>().join(", "),
        visits: entry.visits().map(|(_, one)| visit(one)).collect::<Vec<_>>().join(", "),
        complete: block.complete,
        ct: cell(&block.ct),
        circuit: cell(&block.circuit),
        rows: rows.collect(),
    }
}

fn link(entry: &Entry, links: Links) -> String {
    match links {
        Links::Pages => format!("ct/{}.html", entry.slug),
        Links::Within => format!("#ct-{}", entry.slug),
    }
}

fn link_md(entry: &Entry) -> String {
    format!("ct/{}.md", entry.slug)
}

fn cell(cell: &Cell) -> CellView {
    let mark = if cell.word.is_empty() { "" } else { report::mark(cell.grade) };
    CellView { mark, word: cell.word.to_owned(), text: cell.text.clone(), grade: class(cell.grade) }
}

fn class(grade: Option<Grade>) -> &'static str {
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
    rest.next().map(|first| first.to_uppercase().chain(rest).collect()).unwrap_or_default()
}

fn broken(entry: &Entry, links: Links) -> BrokenView {
    let unit = &entry.unit;
    let errors: Vec<_> = unit.diagnostics.iter().filter(|one| one.is_error()).collect();
    let said = errors.iter().take(SHOWN).map(|one| format!("line {}: {}", unit.source.line(one.span.start), one.title));
    BrokenView {
        name: entry.name.clone(),
        link: link(entry, links),
        link_md: link_md(entry),
        file: unit.source.name.clone(),
        errors: said.collect(),
        more: errors.len().saturating_sub(SHOWN),
    }
}

fn defect(number: usize, defect: &Defect, entries: &[Entry], links: Links) -> DefectView {
    let entry = entries.get(defect.entry);
    let bad = defect.grade == Grade::Bad;
    let core = defect.core.and_then(|core| entry?.record().cores.get(core)).map(|core| core.name.clone());
    DefectView {
        number,
        severity: if bad { "out of limits" } else { "to look at" },
        mark: report::mark(Some(defect.grade)),
        grade: class(Some(defect.grade)),
        ct: entry.map(|entry| entry.name.clone()).unwrap_or_default(),
        place: entry.map(place).unwrap_or_default(),
        core: core.unwrap_or_else(|| "unit".to_owned()),
        test: defect.test.name(),
        whose: match defect.whose {
            Whose::Ct => "CT",
            Whose::Circuit => "circuit",
            Whose::Work => "measurement",
        },
        link: entry.map(|entry| link(entry, links)).unwrap_or_default(),
        link_md: entry.map(link_md).unwrap_or_default(),
        sentences: defect.sentences.iter().take(SHOWN).cloned().collect(),
        more: defect.sentences.len().saturating_sub(SHOWN),
        next: defect.next.clone(),
        points: defect.points.iter().filter_map(|one| point(one, entries, links)).collect(),
    }
}

fn place(entry: &Entry) -> String {
    [entry.group.as_str(), entry.position.as_str()].into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join(", ")
}

fn point(point: &Point, entries: &[Entry], links: Links) -> Option<PointView> {
    let entry = entries.get(point.entry)?;
    Some(PointView {
        ct: entry.name.clone(),
        link: link(entry, links),
        link_md: link_md(entry),
        label: point.label.clone(),
        what: point.what.clone(),
        by: point.by.clone(),
        until: point.until.clone(),
        raised: point.raised.clone(),
    })
}

fn untested_view(one: &super::untested::Untested, entries: &[Entry]) -> UntestedView {
    let names: Vec<&str> = one.entries.iter().filter_map(|&index| entries.get(index)).map(|entry| entry.name.as_str()).collect();
    let cts = if names.len() == entries.len() && names.len() > 1 { "all".to_owned() } else { names.join(", ") };
    UntestedView { scope: one.scope.clone(), why: one.why.clone(), count: names.len(), cts }
}

fn instrument(used: &Used) -> InstrumentView {
    let known = used.known.as_ref();
    let text = |of: fn(&crate::record::instruments::Instrument) -> String| known.map(of).unwrap_or_default();
    let (state, grade) = match (known, used.expired) {
        (None, _) => ("not in instruments.toml".to_owned(), Grade::Open),
        (Some(_), Some(day)) => (format!("not valid on {day}"), Grade::Bad),
        (Some(known), None) if known.due.is_none() => ("validity not stated".to_owned(), Grade::Open),
        (Some(_), None) => ("valid on all days of use".to_owned(), Grade::Good),
    };
    let days = if used.first == used.last { used.first.to_string() } else { format!("{} to {}", used.first, used.last) };
    InstrumentView {
        id: used.id.clone(),
        what: text(|known| known.what.clone()),
        maker: text(|known| known.maker.clone()),
        serial: text(|known| known.serial.clone()),
        certificate: text(|known| known.certificate.clone()),
        calibrated: text(|known| known.calibrated.map(|day| day.to_string()).unwrap_or_default()),
        due: text(|known| known.due.map(|day| day.to_string()).unwrap_or_default()),
        used: days,
        units: used.units,
        state,
        grade: class(Some(grade)),
        mark: report::mark(Some(grade)),
    }
}

fn rules(entries: &[Entry]) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for entry in entries {
        let criteria = &entry.unit.setting.criteria;
        let file = if criteria.file.is_empty() { "the defaults, without a criteria.toml".to_owned() } else { criteria.file.clone() };
        let text = format!("{} Coverage factor k = {}. Taken from {file}.", decision::describe(rule(criteria)), criteria.k);
        if !found.contains(&text) {
            found.push(text);
        }
    }
    found
}

fn item(checked: &Checked) -> ItemView {
    let (state, text) = match &checked.state {
        State::Stated(text) => ("stated", text.clone()),
        State::Excused(why) => ("does not apply", why.clone()),
        State::NotStated(what) => ("not stated", what.clone()),
    };
    ItemView {
        clause: checked.item.clause,
        asks: checked.item.asks,
        state,
        text,
        missing: checked.is_missing(),
        where_it_matters: checked.item.where_it_matters,
    }
}
