//! The lists behind the matrix: records not complete, defects, open points, what was not tested,
//! instruments, rules, items.

use super::cover::report;
use super::defects::{self, Defect};
use super::items::{Checked, State};
use super::plan::Entry;
use super::points::{self, Point};
use super::untested::{self, Untested};
use super::used::{self, Used};
use crate::document::{Block, Cell, Grade, Inline, Table, Text};
use crate::judge::decision;
use crate::judge::finding::Whose;
use crate::judge::verdict::rule;
use crate::record::instruments::Instrument;

/// Sentences shown per entry of the defects list, and errors per record; the rest is on the CT's page.
const SHOWN: usize = 4;

/// The first few of many, and how many more there are.
fn first_few(all: Vec<String>) -> Text {
    let more = all.len().saturating_sub(SHOWN);
    let more = (more > 0).then(|| format!("and {more} more, on its page"));
    Text::sentences(all.into_iter().take(SHOWN).chain(more))
}

fn or_not_stated(text: Text) -> Text {
    if text.is_empty() {
        Text(vec![Inline::NotStated])
    } else {
        text
    }
}

/// A table, or a sentence where it has no rows.
fn table(table: Table, none: &str) -> Vec<Block> {
    if table.rows.is_empty() {
        vec![Block::paragraph(none)]
    } else {
        vec![Block::Table(table)]
    }
}

pub(super) fn broken(entries: &[Entry]) -> Vec<Block> {
    let line = |entry: &Entry| {
        let unit = &entry.unit;
        let errors = unit.diagnostics.iter().filter(|one| one.is_error());
        let said = errors.map(|one| {
            let line = unit.source.line(one.span.start);
            format!("line {line}: {}", one.title)
        });
        vec![
            report(entry, entry.name.clone()).into(),
            (&unit.source.name).into(),
            first_few(said.collect()).into(),
        ]
    };
    let broken = entries.iter().filter(|entry| !entry.unit.is_complete());
    let rows: Vec<Vec<Cell>> = broken.map(line).collect();
    if rows.is_empty() {
        return Vec::new();
    }
    let why = "These records hold lines that cannot be read. What they say is shown on their pages; a test with such a line is not judged.";
    vec![
        Block::paragraph(why),
        Block::Table(Table::grid(&["CT", "Record", "Errors"], rows)),
    ]
}

pub(super) fn defects(entries: &[Entry]) -> Vec<Block> {
    let heads = [
        "No.",
        "Severity",
        "CT",
        "Core",
        "Finding",
        "What to do next",
        "Owner, until",
    ];
    let found = defects::defects(entries);
    let rows = found.iter().zip(1..).filter_map(|(one, number)| {
        let entry = entries.get(one.entry)?;
        Some(defect(number, one, entry))
    });
    let list = Table::grid(&heads, rows.collect()).named("grid defects");
    table(list, "Nothing is out of its limits, nothing needs a look.")
}

fn defect(number: usize, defect: &Defect, entry: &Entry) -> Vec<Cell> {
    let core = defect.core.and_then(|core| entry.record().cores.get(core));
    let core = core.map_or("unit", |core| core.name.as_str());
    let whose = match defect.whose {
        Whose::Transformer => "CT",
        Whose::Circuit => "circuit",
        Whose::Measurement => "measurement",
    };
    let place = [entry.group.as_str(), entry.position.as_str()];
    let place: Vec<&str> = place.into_iter().filter(|text| !text.is_empty()).collect();
    let owners = defect.points.iter().map(|point| {
        let [by, until] = [&point.by, &point.until].map(|text| match text.as_str() {
            "" => "not stated",
            text => text,
        });
        format!("{}: {by}, {until}", point.label)
    });
    let severity = defect.grade;
    vec![
        number.to_string().into(),
        Cell::Graded(severity, Text::grade(severity).under(whose)),
        report(entry, entry.name.clone())
            .under(place.join(", "))
            .into(),
        Text::from(core).under(defect.test.name()).into(),
        first_few(defect.sentences.clone()).into(),
        or_not_stated(Text::sentences(defect.next.iter().cloned())).into(),
        or_not_stated(Text::sentences(owners)).into(),
    ]
}

pub(super) fn points(entries: &[Entry]) -> Vec<Block> {
    let row = |point: &Point| {
        let entry = entries.get(point.entry)?;
        Some(vec![
            (&point.label).into(),
            report(entry, entry.name.clone()).into(),
            (&point.what).into(),
            Text::stated(&point.by).into(),
            Text::stated(&point.until).into(),
            (&point.raised).into(),
        ])
    };
    let heads = ["Point", "CT", "What", "Owner", "Until", "Raised"];
    let rows = points::points(entries).iter().filter_map(row).collect();
    table(Table::grid(&heads, rows), "The records name no open point.")
}

pub(super) fn untested(entries: &[Entry]) -> Vec<Block> {
    let row = |one: &Untested| {
        let named = one.entries.iter().filter_map(|&index| entries.get(index));
        let names: Vec<&str> = named.map(|entry| entry.name.as_str()).collect();
        let cts = if names.len() == entries.len() && names.len() > 1 {
            "all".to_owned()
        } else {
            names.join(", ")
        };
        let why = match one.why.as_str() {
            "" => Text::strong("due, no reason given"),
            why => why.into(),
        };
        let cts = format!("{}: {cts}", names.len());
        vec![(&one.scope).into(), why.into(), cts.into()]
    };
    let rows = untested::untested(entries).iter().map(row).collect();
    let list = Table::grid(&["What", "Why", "CTs"], rows).named("grid untested");
    table(list, "Every test that was due was done.")
}

pub(super) fn instruments(entries: &[Entry]) -> Vec<Block> {
    let heads = [
        "Instrument",
        "What",
        "Manufacturer, serial number",
        "Certificate",
        "Calibrated",
        "Due",
        "Used",
        ">CTs",
        "Calibration",
    ];
    let rows = used::used(entries).iter().map(instrument).collect();
    table(Table::grid(&heads, rows), "No record names an instrument.")
}

fn instrument(used: &Used) -> Vec<Cell> {
    let known = used.known.as_ref();
    let text = |of: fn(&Instrument) -> String| Text::stated(known.map(of).unwrap_or_default());
    let (grade, state) = match (known, used.expired) {
        (None, _) => (Grade::Open, "not in instruments.toml".to_owned()),
        (Some(_), Some(day)) => (Grade::Fails, format!("not valid on {day}")),
        (Some(known), None) if known.due.is_none() => {
            (Grade::Open, "validity not stated".to_owned())
        }
        (Some(_), None) => (Grade::Pass, "valid on all days of use".to_owned()),
    };
    let days = if used.first == used.last {
        used.first.to_string()
    } else {
        format!("{} to {}", used.first, used.last)
    };
    let day = |day: Option<crate::ground::date::Date>| day.map(|day| day.to_string());
    let serial = known.map(|known| known.serial.clone()).unwrap_or_default();
    let calibrated = day(known.and_then(|known| known.calibrated));
    let due = day(known.and_then(|known| known.due));
    vec![
        (&used.id).into(),
        text(|known| known.what.clone()).into(),
        text(|known| known.maker.clone()).under(serial).into(),
        text(|known| known.certificate.clone()).into(),
        Text::stated(calibrated.unwrap_or_default()).into(),
        Text::stated(due.unwrap_or_default()).into(),
        days.into(),
        used.units.to_string().into(),
        Cell::Graded(grade, Text::word(grade, state)),
    ]
}

pub(super) fn rules(entries: &[Entry], methods: &[String]) -> Vec<Block> {
    let mut found: Vec<String> = Vec::new();
    for entry in entries {
        let criteria = &entry.unit.setting.criteria;
        let file = match criteria.file.as_str() {
            "" => "the defaults, without a criteria.toml",
            file => file,
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
    let mut blocks: Vec<Block> = found.into_iter().map(Block::paragraph).collect();
    blocks.push(Block::paragraph(
        "Each verdict names the value, the limit and the limit's source in the report of its CT. A value without a known limit gets no verdict.",
    ));
    blocks.push(Block::heading(3, "Methods"));
    blocks.push(if methods.is_empty() {
        Block::Paragraph(Text::stated(""))
    } else {
        Block::List(methods.iter().map(Into::into).collect())
    });
    blocks
}

pub(super) fn items(checked: &[Checked]) -> Vec<Block> {
    let row = |one: &Checked| {
        let matters = if one.item.where_it_matters {
            " (where it matters)"
        } else {
            ""
        };
        let (state, text) = match &one.state {
            State::Stated(text) => ("stated".into(), text),
            State::Excused(why) => ("does not apply".into(), why),
            State::NotStated(what) => (Text::word(Grade::Open, "not stated"), what),
        };
        vec![
            one.item.clause.into(),
            format!("{}{matters}", one.item.asks).into(),
            state.into(),
            text.into(),
        ]
    };
    let missing = checked.iter().filter(|one| one.is_missing()).count();
    let missing = match missing {
        0 => "All are stated.".to_owned(),
        missing => format!("{missing} of {} are not stated.", checked.len()),
    };
    let rows = checked.iter().map(row).collect();
    vec![
        Block::paragraph(format!(
            "What ISO/IEC 17025:2017 asks of a report (7.8.2.1 and 7.8.6; 7.8.3.1 and 7.8.8 from memory). {missing} This list is no claim of accreditation."
        )),
        Block::Table(Table::grid(&["Clause", "Item", "State", "What"], rows)),
    ]
}
