//! The lists behind the matrix, put into words: records not complete, defects, open points, what was
//! not tested, instruments, rules, items.

use super::cover::{Links, class, link, link_md};
use super::defects::Defect;
use super::items::{Checked, State};
use super::plan::Entry;
use super::points::Point;
use super::used::Used;
use super::view::*;
use crate::judge::decision;
use crate::judge::finding::{Grade, Whose};
use crate::judge::verdict::rule;
use crate::report;

/// Sentences shown per entry of the defects list, and errors per record; the rest is on the CT's page.
const SHOWN: usize = 4;

pub(super) fn broken(entry: &Entry, links: Links) -> BrokenView {
    let unit = &entry.unit;
    let errors: Vec<_> = unit
        .diagnostics
        .iter()
        .filter(|one| one.is_error())
        .collect();
    let said = errors
        .iter()
        .take(SHOWN)
        .map(|one| format!("line {}: {}", unit.source.line(one.span.start), one.title));
    BrokenView {
        name: entry.name.clone(),
        link: link(entry, links),
        link_md: link_md(entry),
        file: unit.source.name.clone(),
        errors: said.collect(),
        more: errors.len().saturating_sub(SHOWN),
    }
}

pub(super) fn defect(
    number: usize,
    defect: &Defect,
    entries: &[Entry],
    links: Links,
) -> DefectView {
    let entry = entries.get(defect.entry);
    let bad = defect.grade == Grade::Bad;
    let core = defect
        .core
        .and_then(|core| entry?.record().cores.get(core))
        .map(|core| core.name.clone());
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
        points: defect
            .points
            .iter()
            .filter_map(|one| point(one, entries, links))
            .collect(),
    }
}

fn place(entry: &Entry) -> String {
    [entry.group.as_str(), entry.position.as_str()]
        .into_iter()
        .filter(|text| !text.is_empty())
        .collect::<Vec<_>>()
        .join(", ")
}

pub(super) fn point(point: &Point, entries: &[Entry], links: Links) -> Option<PointView> {
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

pub(super) fn untested_view(one: &super::untested::Untested, entries: &[Entry]) -> UntestedView {
    let names: Vec<&str> = one
        .entries
        .iter()
        .filter_map(|&index| entries.get(index))
        .map(|entry| entry.name.as_str())
        .collect();
    let cts = if names.len() == entries.len() && names.len() > 1 {
        "all".to_owned()
    } else {
        names.join(", ")
    };
    UntestedView {
        scope: one.scope.clone(),
        why: one.why.clone(),
        count: names.len(),
        cts,
    }
}

pub(super) fn instrument(used: &Used) -> InstrumentView {
    let known = used.known.as_ref();
    let text = |of: fn(&crate::record::instruments::Instrument) -> String| {
        known.map(of).unwrap_or_default()
    };
    let (state, grade) = match (known, used.expired) {
        (None, _) => ("not in instruments.toml".to_owned(), Grade::Open),
        (Some(_), Some(day)) => (format!("not valid on {day}"), Grade::Bad),
        (Some(known), None) if known.due.is_none() => {
            ("validity not stated".to_owned(), Grade::Open)
        }
        (Some(_), None) => ("valid on all days of use".to_owned(), Grade::Good),
    };
    let days = if used.first == used.last {
        used.first.to_string()
    } else {
        format!("{} to {}", used.first, used.last)
    };
    InstrumentView {
        id: used.id.clone(),
        what: text(|known| known.what.clone()),
        maker: text(|known| known.maker.clone()),
        serial: text(|known| known.serial.clone()),
        certificate: text(|known| known.certificate.clone()),
        calibrated: text(|known| {
            known
                .calibrated
                .map(|day| day.to_string())
                .unwrap_or_default()
        }),
        due: text(|known| known.due.map(|day| day.to_string()).unwrap_or_default()),
        used: days,
        units: used.units,
        state,
        grade: class(Some(grade)),
        mark: report::mark(Some(grade)),
    }
}

pub(super) fn rules(entries: &[Entry]) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for entry in entries {
        let criteria = &entry.unit.setting.criteria;
        let file = if criteria.file.is_empty() {
            "the defaults, without a criteria.toml".to_owned()
        } else {
            criteria.file.clone()
        };
        let text = format!(
            "{} Coverage factor k = {}. Taken from {file}.",
            decision::describe(rule(criteria)),
            criteria.k
        );
        if !found.contains(&text) {
            found.push(text);
        }
    }
    found
}

pub(super) fn item(checked: &Checked) -> ItemView {
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
