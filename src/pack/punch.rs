//! The punch list: the points of all CTs on a page of their own, open ones first, each by its day.

use super::card::Card;
use super::cover::{page, report};
use super::plan::Entry;
use crate::document::{Block, Cell, Grade, Table, Text};
use crate::ground::date::Date;
use crate::record::points::Point;
use crate::report::LATE;
use serde::{Deserialize, Serialize};

/// Name of the page, without its ending.
pub const NAME: &str = "punch-list";
/// Its title.
pub const TITLE: &str = "Punch list";

/// A point of a CT.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Item {
    pub label: String,
    pub what: String,
    pub by: String,
    pub until: String,
    due: Option<Date>,
    /// The visit that raised it.
    raised: String,
    /// The visit that closed it, and its remark.
    closed: Option<(String, String)>,
    /// Whether it is open past its day.
    late: bool,
}

impl Item {
    pub fn is_open(&self) -> bool {
        self.closed.is_none()
    }

    fn of(point: &Point<'_>, on: Option<Date>) -> Self {
        let closed = point.closed;
        let closed = closed.map(|(_, visit, remark)| (visit.name(), remark.to_owned()));
        Self {
            label: point.label.to_owned(),
            what: point.what.to_owned(),
            by: point.by.to_owned(),
            until: point.until.to_owned(),
            due: point.due(),
            raised: point.raised.name(),
            closed,
            late: on.is_some_and(|on| point.is_late(on)),
        }
    }

    /// By its day; those without one behind them, those that say nothing of it last.
    fn turn(&self) -> (bool, Option<Date>, bool) {
        (self.due.is_none(), self.due, self.until.is_empty())
    }
}

/// The points of a CT, as they stand on the day of issue, else on that of its last visit.
pub fn of(entry: &Entry<'_>) -> Vec<Item> {
    let points = entry.record().points();
    let all = points.iter().map(|point| Item::of(point, entry.on));
    all.collect()
}

/// The points of all CTs that are open, or that are not, in their order.
fn sorted(cards: &[Card], open: bool) -> Vec<(&Card, &Item)> {
    let all = cards
        .iter()
        .flat_map(|card| card.points.iter().map(move |point| (card, point)));
    let mut all: Vec<_> = all.filter(|(_, point)| point.is_open() == open).collect();
    all.sort_by_key(|(_, point)| point.turn());
    all
}

/// How many there are of which kind.
fn counts(cards: &[Card]) -> Text {
    let points = || cards.iter().flat_map(|card| &card.points);
    let open = points().filter(|point| point.is_open()).count();
    let late = points().filter(|point| point.late).count();
    let closed = points().count() - open;
    let mut said = match open {
        0 => Text::from("0 open"),
        open => Text::word(Grade::Open, format!("{open} open")),
    };
    if late > 0 {
        let late = Text::word(Grade::Review, format!("{late} past their day"));
        said = said.plain(", of which ").join(late);
    }
    said.plain(format!(", {closed} closed"))
}

/// Whether no record has a point.
pub fn is_empty(cards: &[Card]) -> bool {
    cards.iter().all(|card| card.points.is_empty())
}

/// What the front says of it; nothing where no record has a point.
pub fn short(cards: &[Card]) -> Vec<Block> {
    if is_empty(cards) {
        return Vec::new();
    }
    let said = counts(cards).plain(". Each with owner and day: ");
    vec![Block::Paragraph(said.join(page(NAME, TITLE)).plain("."))]
}

/// The page.
pub fn blocks(cards: &[Card]) -> Vec<Block> {
    let mut blocks = vec![
        Block::heading(1, TITLE),
        Block::Paragraph(counts(cards).plain(".")),
        Block::Note("A point is as the records tell it. It is late by the day of issue, without one by the day of the last visit to its CT.".into()),
    ];
    let common = |(card, point): &(&Card, &Item)| -> Vec<Cell> {
        vec![
            (&point.label).into(),
            report(&card.spot, &card.spot.name)
                .under(card.spot.place())
                .into(),
            Text::stated(&point.what).into(),
            Text::stated(&point.by).into(),
            Text::stated(&point.until).into(),
            (&point.raised).into(),
        ]
    };
    let open = |one: &(&Card, &Item)| {
        let state = match one.1.late {
            true => Text::word(Grade::Review, LATE),
            false => Text::grade(Grade::Open),
        };
        let mut cells = common(one);
        cells.push(state.into());
        cells
    };
    let closed = |one: &(&Card, &Item)| {
        let (visit, remark) = one.1.closed.clone().unwrap_or_default();
        let mut cells = common(one);
        cells.extend([visit.into(), remark.into()]);
        cells
    };
    let heads = ["Point", "CT", "What", "Owner", "Due", "Opened"];
    let rows: Vec<_> = sorted(cards, true).iter().map(open).collect();
    if !rows.is_empty() {
        let heads = [&heads[..], &["State"]].concat();
        blocks.extend([
            Block::heading(2, "Open"),
            Block::Table(Table::grid(&heads, rows)),
        ]);
    }
    let rows: Vec<_> = sorted(cards, false).iter().map(closed).collect();
    if !rows.is_empty() {
        let heads = [&heads[..], &["Closed", "Remark"]].concat();
        let table = Table::grid(&heads, rows).without_empty_columns();
        blocks.extend([Block::heading(2, "Closed"), Block::Table(table)]);
    }
    blocks
}
