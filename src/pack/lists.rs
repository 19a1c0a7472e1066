//! The lists behind the matrix: records not readable, defects, what was not tested,
//! instruments, rules, items.

use super::card::{Card, Gathered};
use super::cover::report;
use super::defects::{self, Defect};
use super::items::{Checked, State};
use super::untested::Untested;
use super::used::Used;
use crate::document::{Block, Cell, Grade, Inline, Table, Text};
use crate::ground::date::Date;
use crate::job::RECORD;
use crate::judge::rules::Whose;
use crate::judge::words::OF_A_BOUND;
use crate::record::instruments::Instrument;
use crate::report::sources::{self, Sources};

/// Sentences shown per entry of the defects list, and errors per record; the rest is on the CT's page.
const SHOWN: usize = 4;

/// The first few of many, and how many more there are.
fn first_few(all: &[String]) -> Text {
    let more = all.len().saturating_sub(SHOWN);
    let more = (more > 0).then(|| format!("and {more} more, on its page"));
    Text::sentences(all.iter().take(SHOWN).cloned().chain(more))
}

fn or_not_stated(text: Text) -> Text {
    if text.is_empty() {
        Text(vec![Inline::NotStated])
    } else {
        text
    }
}

/// A table, or a sentence where it has no rows.
pub(super) fn table(table: Table, none: impl Into<Text>) -> Block {
    if table.rows.is_empty() {
        Block::paragraph(none)
    } else {
        Block::Table(table)
    }
}

/// `2026-09-01 to 2026-09-14`, or the one day.
pub(super) fn from_to(first: Date, last: Date) -> String {
    if first == last {
        first.to_string()
    } else {
        format!("{first} to {last}")
    }
}

pub(super) fn broken(cards: &[Card], lost: &[(String, String)]) -> Vec<Block> {
    let line = |card: &Card| {
        vec![
            report(&card.spot, &card.spot.name).into(),
            (&card.file).into(),
            first_few(&card.broken).into(),
        ]
    };
    let broken = cards.iter().filter(|card| card.errors > 0);
    let rows: Vec<Vec<Cell>> = broken.map(line).collect();
    let lost = lost.iter();
    let lost: Vec<Vec<Cell>> = lost
        .map(|(name, why)| vec![name.into(), why.into()])
        .collect();
    let whole = "These records hold lines that cannot be read. What they say is shown on their pages; a test with such a line is not judged.";
    let none = "These files look like a part of the job. Nothing of them is in this report.";
    let mut blocks = Vec::new();
    for (why, heads, rows) in [
        (whole, &["CT", "Record", "Errors"][..], rows),
        (none, &["File", "Why"][..], lost),
    ] {
        if !rows.is_empty() {
            blocks.push(Block::paragraph(why));
            blocks.push(Block::Table(Table::grid(heads, rows)));
        }
    }
    blocks
}

pub(super) fn defects(cards: &[Card]) -> Vec<Block> {
    let heads = "No.|Severity|CT|Core, cause|Findings|What to do next|Owner, until";
    let heads: Vec<&str> = heads.split('|').collect();
    let mut found: Vec<&Defect> = cards.iter().flat_map(|card| &card.defects).collect();
    defects::in_order(&mut found);
    let rows = found.into_iter().map(defect);
    let list = Table::grid(&heads, rows.collect()).named("grid defects");
    let none = "Nothing is out of its limits, nothing needs a look.";
    vec![table(list, none)]
}

fn defect(defect: &Defect) -> Vec<Cell> {
    let spot = &defect.spot;
    let cores = match defect.cores.join(", ") {
        none if none.is_empty() => "unit".to_owned(),
        cores => cores,
    };
    let whose = match defect.whose {
        Whose::Transformer => "CT",
        Whose::Circuit => "circuit",
        Whose::Measurement => "measurement",
    };
    let owners = defect.points.iter().map(|point| {
        let [by, until] = [&point.by, &point.until].map(|text| match text.as_str() {
            "" => "not stated",
            text => text,
        });
        format!("{}: {by}, {until}", point.label)
    });
    let next = match defect.next.is_empty() {
        true => "to be decided with the person in charge of the unit".into(),
        false => steps(&defect.next),
    };
    let severity = defect.grade;
    vec![
        (&defect.number).into(),
        Cell::Graded(severity, Text::grade(severity).under(whose)),
        report(spot, &spot.name).under(spot.place()).into(),
        Text::from(cores).under(&*defect.cause).into(),
        first_few(&defect.sentences).into(),
        next.into(),
        or_not_stated(Text::sentences(owners)).into(),
    ]
}

/// Several steps each on a line of its own, with its number.
fn steps(next: &[String]) -> Text {
    let marked = next.iter().enumerate();
    let marked = marked.map(|(index, step)| match next.len() {
        1 => step.clone(),
        _ => format!("({}) {step}", index + 1),
    });
    Text::sentences(marked)
}

pub(super) fn untested(all: &Gathered) -> Vec<Block> {
    let row = |((scope, why), of): &(Untested, &[usize])| {
        let cts = if of.len() == all.cards.len() && of.len() > 1 {
            "all".to_owned()
        } else {
            let cards = of.iter().filter_map(|at| all.cards.get(*at));
            let names: Vec<&str> = cards.map(|card| card.spot.name.as_str()).collect();
            names.join(", ")
        };
        let why = match why.as_str() {
            "" => Text::strong("due, no reason given"),
            why => why.into(),
        };
        let cts = format!("{}: {cts}", of.len());
        vec![scope.into(), why.into(), cts.into()]
    };
    let rows = all.untested.joined().iter().map(row).collect();
    let list = Table::grid(&["What", "Why", "CTs"], rows).named("grid untested");
    vec![table(
        list,
        "Nothing that the purposes of the visits ask for is missing.",
    )]
}

pub(super) fn instruments(all: &Gathered) -> Vec<Block> {
    let heads = "Instrument|What|Manufacturer, serial number|Certificate|Calibrated|Due|Used|>CTs|Calibration";
    let heads: Vec<&str> = heads.split('|').collect();
    let rows = all.used.values().map(instrument).collect();
    let none = "No record names an instrument.";
    vec![table(Table::grid(&heads, rows), none)]
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
    let day = |of: fn(&Instrument) -> Option<Date>| {
        let day = known.and_then(of).map(|day| day.to_string());
        Text::stated(day.unwrap_or_default())
    };
    let serial = known.map(|known| known.serial.clone()).unwrap_or_default();
    vec![
        (&used.id).into(),
        text(|known| known.what.clone()).into(),
        text(|known| known.maker.clone()).under(serial).into(),
        text(|known| known.certificate.clone()).into(),
        day(|known| known.calibrated).into(),
        day(|known| known.due).into(),
        from_to(used.first, used.last).into(),
        used.units.to_string().into(),
        Cell::Graded(grade, Text::word(grade, state)),
    ]
}

pub(super) fn rules(found: &[String], methods: &[String]) -> Vec<Block> {
    let mut blocks: Vec<Block> = found.iter().map(Block::paragraph).collect();
    blocks.push(Block::paragraph(format!(
        "Each verdict names the value, the limit and the limit's source in the report of its CT. A value without a known limit \
         gets no verdict. {OF_A_BOUND}"
    )));
    blocks.push(Block::heading(3, "Methods"));
    blocks.push(if methods.is_empty() {
        Block::Paragraph(Text::stated(""))
    } else {
        Block::List(methods.iter().map(Into::into).collect())
    });
    blocks
}

/// Where the limits of all CTs come from.
pub(super) fn sources(all: &Sources) -> Vec<Block> {
    let mut sources = all.clone();
    let what = "items of a report";
    sources.told(
        "ISO/IEC 17025:2017, 7.8.2.1 and 7.8.6",
        what,
        "after the published text",
    );
    sources.told("ISO/IEC 17025:2017, 7.8.3.1 and 7.8.8", what, "from memory");
    sources.blocks()
}

/// The files that the pack was made of: each record with its CT, then what all stand on.
pub(super) fn made_of(all: &Gathered) -> Vec<Block> {
    let record = |card: &Card| {
        vec![
            report(&card.spot, &card.spot.name).into(),
            (&card.file).into(),
            (&card.sha256).into(),
        ]
    };
    let records = all.cards.iter().map(record).collect();
    let common = all.basis.parts.iter();
    let common = common.filter(|part| part.what != RECORD);
    vec![
        Block::Table(sources::made_of(common)),
        Block::Table(Table::grid(&["CT", "Record", "SHA-256"], records)),
    ]
}

pub(super) fn items(checked: &[Checked]) -> Vec<Block> {
    let row = |one: &Checked| {
        let matters = match one.item.where_it_matters {
            true => " (where it matters)",
            false => "",
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
            "What ISO/IEC 17025:2017 asks of a report (7.8.2.1, 7.8.3.1, 7.8.6 and 7.8.8, in our words). {missing} This list is no claim of accreditation."
        )),
        Block::Table(Table::grid(&["Clause", "Item", "State", "What"], rows)),
    ]
}
